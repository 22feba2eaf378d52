"""The coupled equations of the living bin as ordinary differential equations
for SciPy, written from the equations and not from our steps: the same bins of
90 days, the same numbers, inputs on the same days, the integrator started anew
at each. Not a test of the tool: it says how far our steps stand from the
continuous equations, and how long a general solver takes.

    cargo build --release --example living_bench
    .venv/bin/python benches/living.py
    .venv/bin/python benches/living.py own    # steps against our own finest alone

Ends with an error, naming the worst figure, when a daily course at our finest
step is further off than 1 % (0.02 pH, 0.2 K): then a law differs. How far the
usual half-day step is off is printed beside it. Fields: `numbers` holds the
parameters by name, `start` the pools, `events` what goes in.
"""

import json
import math
import pathlib
import subprocess
import sys
import time
from types import SimpleNamespace

import numpy as np
from scipy.integrate import solve_ivp

ROOT = pathlib.Path(__file__).resolve().parent.parent
PROGRAM = ROOT / "target" / "release" / "examples" / "living_bench"

# Largest gap allowed: share of the value, or plain for pH and temperature.
RELATIVE = 0.01
PLAIN = {"ph": 0.02, "bed_celsius": 0.2, "core_day_mean_celsius": 0.2, "hot_day_mean_celsius": 0.2}
# Below this share of its largest value a figure is compared with that share:
# a pool next to nothing has no per cent.
FLOOR = 0.01
# What goes through nought is compared with its largest value: base is counted
# from where the bed began.
THROUGH_NOUGHT = {"base_mol"}
# Less than this of anything is none: rounding [mol, kg and the like].
NOTHING = 1e-9
# Of the laws of volume.
ORGANIC_KG_L, MINERAL_KG_L = 1.55, 2.65
# Least room of solids and water, over their own [-].
LEAST_ROOM = 1.02
# Matter that gets wetter follows so fast [1/d]; our steps have it follow at once.
WETS_PER_DAY = 200.0
# Chalk that more falls on is as fine as what falls, so fast [1/d]; in our steps at
# once.
FRESH_PER_DAY = 50.0
# With less calcium in the water than this less falls as chalk [mol_c], and finer
# grains than this go more slowly [µm]: neither comes to nought with a bend that an
# integrator stops at.
LEAST_CALCIUM, LEAST_GRAIN = 1e-5, 0.1
# Water of the food in a pocket [kg/kg dry].
FOOD_WATER = 4.0
# Wet food per labile dry matter [L/kg], and the pocket of the drawn thickness [L].
POCKET_LITRES, POCKET_USUAL = 16.0, 6.0
# Oxygen that burning the acids takes [kg/kg].
ACID_OXYGEN = 64.0 / 60.0
# Carbon [kg/mol].
CARBON = 0.012011


def clamp(x, low=0.0, high=1.0):
    return min(max(x, low), high)


def saturated(t):
    return 611.2 * math.exp(17.62 * t / (243.12 + t)) / (461.5 * (t + 273.15))


def rotting(t, q10, best, stops):
    """Decay against 20 °C."""
    if t <= -2.0:
        return 0.0
    past = clamp((stops - t) / (stops - best))
    return q10 ** ((min(t, best) - 20.0) / 10.0) * min((t + 2.0) / 4.0, 1.0) * past


def free_ammonia(t, ph):
    pka = 0.0901821 + 2729.92 / (t + 273.15)
    return 1.0 / (1.0 + 10.0 ** (pka - ph))


def effect(x, half, power):
    return 1.0 if x <= 0.0 else 1.0 / (1.0 + (x / half) ** power)


def soaked(moisture):
    """How far matter of a moisture [share of wet mass] is wetted."""
    u = clamp((moisture - 0.3) / 0.4)
    return u * u * (3.0 - 2.0 * u)


class Packing:
    """How a matter packs: loose and dry [L/kg], and what wetting and load make
    of it."""

    def __init__(self, told):
        self.__dict__ = dict(told)

    def stands(self, moisture, wetted, settled):
        """Litres of a kilogram [L/kg]: `wetted` as far as it ever was."""
        denser = 1.0 + (self.wetting - 1.0) * max(wetted, soaked(moisture))
        return self.loose / denser * (1.0 - settled)

    def settled(self, kpa, reached):
        return clamp(self.settles_most * kpa / (kpa + self.half_load) * reached, 0.0, 0.8)

    def joined(self, kg, other, other_kg):
        """Of both, each counted by its loose volume."""
        mine, theirs = kg * self.loose, other_kg * other.loose
        mean = lambda name: (getattr(self, name) * mine + getattr(other, name) * theirs) / (mine + theirs)
        of = {name: mean(name) for name in ("wetting", "soaked", "settles_most", "half_load", "days")}
        return Packing(of | {"loose": (mine + theirs) / (kg + other_kg)})


class Worms:
    """Rates of a population of worms at a place."""

    def __init__(self, vital):
        self.v = SimpleNamespace(**vital)

    def grow_warm(self, t):
        v = self.v
        if not v.growth_low_celsius < t < v.growth_high_celsius:
            return 0.0
        if t > v.growth_fall_celsius:
            return (v.growth_high_celsius - t) / (v.growth_high_celsius - v.growth_fall_celsius)
        cold = min((t - v.growth_low_celsius) / 4.0, 1.0)
        return cold if t >= 25.0 else cold * math.exp(v.growth_slope_per_k * (t - 25.0))

    def breed_warm(self, t):
        v = self.v
        m, o, a = v.breeding_low_celsius, v.breeding_best_celsius, v.breeding_high_celsius
        if not m < t < a:
            return 0.0
        below = (o - m) * ((o - m) * (t - o) - (o - a) * (o + m - 2.0 * t))
        return clamp((t - a) * (t - m) ** 2 / below)

    def feed_warm(self, t):
        v = self.v
        if not v.feeding_low_celsius < t < v.feeding_high_celsius:
            return 0.0
        if t > v.feeding_plateau_celsius:
            return (v.feeding_high_celsius - t) / (v.feeding_high_celsius - v.feeding_plateau_celsius)
        cold = min((t - v.feeding_low_celsius) / 4.0, 1.0)
        return cold if t >= 25.0 else cold * v.feeding_q10 ** ((t - 25.0) / 10.0)

    def develop(self, t):
        v = self.v
        over = t - v.incubation_base_celsius
        if not (t >= 6.0 and over > 0.0):
            return 0.0
        return min(over / v.incubation_degree_days, 1.0 / v.incubation_floor_days) / v.incubation_factor

    def oxygen(self, airless):
        return clamp((1.0 - airless) / (1.0 - self.v.airless_from))

    def feel(self, h):
        """What worms feel at a place."""
        v = self.v
        ammonia = max(h.ammonia, 0.0) * free_ammonia(h.celsius, h.ph) / free_ammonia(20.0, v.ammonia_trial_ph)
        share = clamp(h.moisture / 100.0, 0.1, 0.97)
        water = share / (1.0 - share)
        sour = max(h.sour, 0.0) / water / (1.0 + 10.0 ** (h.ph - 4.76))
        salt = max(h.ec, 0.0) * 5.0 / water / v.salt_ms_per_cm_per_mmol
        dry = math.exp(min((v.moisture_half_percent - h.moisture) / v.moisture_slope_percent, 60.0))
        wet = math.exp(min((h.moisture - v.wet_half_percent) / v.wet_slope_percent, 60.0))
        ph = clamp(min(
            (h.ph - v.ph_low) / (v.ph_full_low - v.ph_low),
            (v.ph_high - h.ph) / (v.ph_high - v.ph_full_high),
        )) * effect(sour, v.sour_half_mmol_per_kg, 2.0)
        ph_breeding = max(1.0 - v.laying_fall_per_ph * max(h.ph - v.laying_falls_from_ph, 0.0), 0.0)
        salty = effect(salt, v.salt_growth_over_death * v.salt_death_mmol_per_kg, v.salt_death_power)
        salt_breeding = effect(salt, v.salt_breeding_mmol_per_kg, v.salt_breeding_power)
        f = SimpleNamespace(ammonia=ammonia, sour=sour, salt=salt)
        f.moisture = 1.0 / ((1.0 + dry) * (1.0 + wet))
        f.oxygen = self.oxygen(h.airless)
        f.air = min(clamp((h.air_filled - v.air_low) / (v.air_full - v.air_low)), f.oxygen)
        # Worms on wet walls neither eat, grow nor lay.
        f.off = self.off_the_bedding(h, f)
        risen = clamp((f.off - v.wall_urge_from) / (v.wall_urge_full - v.wall_urge_from))
        f.down = 1.0 - v.wall_most_share * h.film * risen
        f.growth = f.down * f.moisture * f.air * ph * salty
        ammonia_breeding = effect(ammonia, v.ammonia_breeding_mg_per_g, v.ammonia_breeding_power)
        f.breeding = f.down * f.moisture * f.air * ph * ph_breeding * salt_breeding * ammonia_breeding
        return f

    def off_the_bedding(self, h, f):
        """Urge to leave what does not follow onto wet walls."""
        v = self.v
        start = 0.7 * v.air_full
        acid = 1.0 + (v.acid_one_day_ph + v.acid_urge_over_ph - h.ph) / v.acid_urge_width_ph
        alkaline = 1.0 + (h.ph - v.alkaline_one_day_ph + v.alkaline_urge_under_ph) / v.alkaline_urge_width_ph
        return clamp(max(
            acid, 1.0 - effect(f.sour, v.sour_avoid_mmol_per_kg, 2.0), alkaline,
            (v.moisture_half_percent - h.moisture) / 15.0,
            (1.0 - v.wall_ammonia_share) * self.leave_ammonia(f),
            1.0 - effect(f.salt, v.salt_leave_mmol_per_kg, v.salt_leave_power),
            (start - h.air_filled) / max(start - v.air_low, 0.01), 1.2 * (1.0 - f.oxygen),
        ))

    def leave_ammonia(self, f):
        return 1.0 - effect(f.ammonia, self.v.ammonia_leave_mg_per_g, self.v.ammonia_avoid_power)

    def urge(self, h, f, kept, packed):
        v = self.v
        whole = v.heat_death_celsius - v.heat_urge_under_kelvin
        hot = 1.0 + (h.celsius - whole) / v.heat_urge_width_kelvin
        cold = clamp((v.growth_low_celsius + 4.0 - h.celsius) / 5.0)
        new = v.wandering * math.exp(-h.settled / v.wandering_days) if h.settled <= 30.0 else 0.0
        return clamp(max(f.off, self.leave_ammonia(f), hot, 0.4 * cold, 0.55 * (1.0 - kept), (packed - 40.0) / 160.0, new))

    def heat(self, t):
        v = self.v
        over = t - v.heat_death_celsius
        if over <= -v.heat_from_kelvin:
            return 0.0
        times = lambda kelvin: 2.0 ** min(kelvin / v.heat_doubling_kelvin, 20.0)
        return math.log(2.0) / v.heat_half_days * (times(over) - times(-v.heat_from_kelvin))

    def drought(self, moisture):
        v = self.v
        lost = max(v.dry_from_percent - moisture, 0.0) * v.dry_lost_per_percent
        return v.dry_death_per_day * (lost / v.dry_deadly_share) ** v.dry_death_power

    def by_ph(self, h, f):
        v = self.v
        half_in = lambda decades: min(math.log(2.0) / max(10.0**decades, 1e-9), 20.0)
        return (
            half_in(v.acid_slope_per_ph * (h.ph - v.acid_one_day_ph))
            + half_in(v.acid_slope_per_ph * (v.alkaline_one_day_ph - h.ph))
            + math.log(2.0) * (f.sour / v.organic_acid_one_day_mmol_per_kg) ** 2
        )

    def by_ammonia(self, mg_per_g):
        v = self.v
        return v.ammonia_death_per_day * max(mg_per_g - v.ammonia_harmless_mg_per_g, 0.0) ** 2

    def stifled(self, lack, t):
        v = self.v
        return math.log(2.0) / v.airless_half_days * 2.0 ** ((t - 20.0) / v.airless_doubling_kelvin) * lack

    def dying(self, h, f, condition, packed):
        v = self.v
        frost = v.freeze_slope_per_k * (-v.freeze_half_kelvin - h.celsius)
        cold = math.log(2.0) / v.freeze_half_days * math.exp(min(frost, 10.0))
        chill = max(v.cold_death_celsius - max(h.celsius, 0.0), 0.0) * v.chill_death_per_k_day
        lack = clamp(max(1.0 - h.air_filled / v.air_low, 10.0 * h.airless - 9.0))
        anywhere = (
            v.death_per_day + self.heat(h.celsius) + cold + chill
            + 0.05 * clamp((0.5 - condition) / 0.2, 0.0, 1.5)
            + 0.5 * clamp((packed - 300.0) / 700.0)
        )
        salt = math.log1p((f.salt / v.salt_death_mmol_per_kg) ** v.salt_death_power) / 28.0 if f.salt > 0.0 else 0.0
        down = (
            self.by_ph(h, f) + self.by_ammonia(f.ammonia) + salt + self.drought(h.moisture)
            + self.stifled(lack, h.celsius)
        )
        up = self.by_ammonia(v.wall_ammonia_share * f.ammonia) + self.stifled(h.film_stale * lack, h.celsius)
        return anywhere + f.down * down + (1.0 - f.down) * up

    def cocoons_lost(self, h, f):
        return self.heat(h.celsius) + self.drought(h.moisture) + self.by_ph(h, f) + self.by_ammonia(0.5 * f.ammonia)

    def leaving(self, urge, celsius, escape):
        will = clamp(2.0 * urge - 1.0)
        walks = clamp((celsius - self.v.feeding_low_celsius) / 5.0)
        return self.v.leaving_per_day * will * will * walks * clamp(escape)

    def rich(self, quality):
        """How much heavier than in the boxes of soil a worm alone gets."""
        v = self.v
        good = v.solo_quality**2
        ratio = clamp(v.solo_g / v.adult_g, 1.0, min(3.5, good))
        level = good * (ratio - 1.0) / max(good - ratio, 1e-3)
        return quality**2 * (1.0 + level) / (quality**2 + level)

    def due(self, kg_m2, quality):
        """Mass of a grown worm in this company on this food [g]."""
        v = self.v
        size = 1.0 / (1.0 + max(kg_m2, 0.0) / v.size_half_kg_m2)
        least = v.adult_floor_g * v.laying_g / 0.6
        return max(v.adult_g * size**v.size_power * (1.0 + (self.rich(quality) - 1.0) * size), least)

    def breath(self, celsius):
        """Oxygen [kg/kg/d]."""
        v = self.v
        warm = v.respiration_q10 ** (0.1 * (min(celsius, 40.0) - 20.0))
        return v.oxygen_ul_per_g_hour * 24.0 / 1000.0 * 1.429 * warm / 1000.0

    def appetite(self, h, f, grams):
        """Dry food [g/d]."""
        return self.v.appetite_g_per_g_day * self.feed_warm(h.celsius) * f.moisture * f.air * f.down * grams

    def change(self, h, f, cocoons, worms, sizes, condition, escape):
        """Rates of change of cocoons, worms, sizes and condition; tissue grown
        and died [g/d], and food found over maintenance."""
        v = self.v
        grams = condition * float(sizes.sum())
        each = np.divide(np.maximum(sizes, 0.0), worms, out=np.zeros(6), where=worms > 1e-12)
        kg_m2 = grams / 1000.0 / h.floor
        crowding, due = kg_m2 / max(h.quality, 0.05), self.due(kg_m2, h.quality)
        packed = grams / max(h.litres, 0.1)
        most = v.appetite_g_per_g_day * f.moisture * f.air * f.down
        eaten = clamp(h.food) * most
        nitrogen = 1000.0 * eaten * h.food_nitrogen * v.nitrogen_taken_share
        found = min(eaten / v.maintenance_g_per_g_day, nitrogen / v.nitrogen_kept_mg_per_g_day)
        # Against the same worms in plenty: what keeps them from eating slows
        # growth already.
        surplus = lambda x: 1.0 - 1.0 / max(x, 1.0)
        full = max(surplus(most / v.maintenance_g_per_g_day), 0.2)
        kept, fed = min(found, 1.0), min(surplus(found) / full, 1.0)
        sated = 1.0 - min((1.0 - condition) / 0.5, 1.0) * (1.0 - kept)
        urge = self.urge(h, f, sated, packed)
        grow = self.grow_warm(h.celsius)
        out = min(self.dying(h, f, condition, packed), 20.0), self.leaving(urge, h.celsius, escape)
        adult = min(condition * each[5], 1.2 * v.laying_g)
        r = 1.0 / (1.0 + (crowding / v.crowd_half_kg_m2) ** v.crowd_power) if crowding > 0 else 1.0
        maturing = grow / v.grow_at_reference * f.growth * fed
        growing = 4.0 * r / v.growing_up_days * maturing
        ripening = r / v.ripening_days * maturing
        laid = 0.0
        if h.settled > v.lag_days:
            breed = self.breed_warm(h.celsius) / v.breed_at_reference * f.breeding * fed
            crowd = math.sqrt(1.0 / (1.0 + crowding / v.crowd_half_kg_m2))
            laid = v.laying_per_adult_day * adult / v.laying_g * crowd * breed * worms[5]
        young = v.young_per_adult_day / v.laying_per_adult_day * f.breeding * fed
        if crowding > 0.0:
            young /= 1.0 + (crowding / v.hatch_half_kg_m2) ** v.hatch_power
        on = 12.0 * self.develop(h.celsius) * cocoons
        d_cocoons = -self.cocoons_lost(h, f) * cocoons - on
        d_cocoons[0] += laid
        d_cocoons[1:] += on[:-1]
        hatched = on[-1] * young
        risen = worms * np.array([growing] * 4 + [ripening, 0.0])
        d_worms = -sum(out) * worms - risen
        d_worms[0] += hatched
        d_worms[1:] += risen[:-1]
        d_sizes = -sum(out) * sizes - risen * each
        d_sizes[0] += hatched * v.hatch_g
        d_sizes[1:] += (risen * each)[:-1]
        brisk = (self.rich(h.quality) / self.rich(v.solo_quality)) ** (1.0 / 3.0)
        rate = v.growth_rate_per_day * brisk * grow * f.growth
        rates = rate * fed * np.array([r**v.growth_crowd_power] * 5 + [1.0])
        warm = self.feed_warm(h.celsius)
        over = np.clip((each / due - 1.0) / 0.05, 0.0, 1.0)
        grown = worms * np.where(
            each > due,
            -v.shrink_per_day * warm * kept * over * each,
            3.0 * rates * (due ** (1.0 / 3.0) * each ** (2.0 / 3.0) - each),
        )
        if found < 1.0:
            plump = -v.shrink_per_day * warm * (1.0 - found) * condition
        else:
            plump = 3.0 * rate * fed * (max(condition, 0.0) ** (2.0 / 3.0) - condition)
        gained = condition * (hatched * v.hatch_g + float(grown.sum())) + plump * float(sizes.sum())
        # Worms thin for long become small worms.
        smaller = v.shrink_per_day * warm * (1.0 - condition)
        d_sizes += grown - smaller * sizes
        return d_cocoons, d_worms, d_sizes, plump + smaller * condition, gained, out[0] * grams, found


class Bin:
    """The whole bin: a state vector and how fast it changes."""

    def __init__(self, told):
        n = told["numbers"]
        self.c = SimpleNamespace(**n["constants"])
        self.n = SimpleNamespace(**n["nature"])
        self.law = SimpleNamespace(**n["law"])
        self.home = SimpleNamespace(**n["home"])
        self.worms = Worms(n["vital"])
        self.bicarbonate_at_7 = n["bicarbonate_at_7"]
        self.extract_co2, self.airless_co2 = n["extract_co2"], n["airless_co2"]
        self.chalk = SimpleNamespace(**n["chalk"])
        self.carbonate = n["carbonate_at_7_and_8"]
        self.events = told["events"]
        start = told["start"]
        if start["slow"] or start["lime"] or self.events["fed"]["acid"]:
            raise ValueError("these equations know no slow doses, no caustic lime and no sour food")
        # Kinds that are there, come as food, or are dead worms.
        meal = n["kinds"].index("meal")
        pools = np.array(start["pools"])
        there = [
            i for i in range(len(n["kinds"]))
            if pools[i].any() or i in (meal, self.events["fed"]["kind"])
        ]
        self.kinds = len(there)
        self.meal = there.index(meal)
        # None of them where there is none.
        manure = n["kinds"].index("manure")
        self.manure = [i for i, kind in enumerate(there) if kind == manure]
        self.fed_kind = there.index(self.events["fed"]["kind"])
        self.rate = np.array(n["per_day"])[there]
        self.alkalinity = np.array(n["alkalinity"])[there]
        self.in_pocket = np.array([i < n["pocket_kinds"] for i in there])
        self.slow_share = n["slow_share"][self.events["fed"]["kind"]]
        self.fixed_labile = n["labile_share"][self.events["fed"]["kind"]]
        self.labile_of_degradable = n["labile_of_degradable"][self.events["fed"]["kind"]]
        self.curve_ph, self.curve_base = np.array(start["curve"]).T
        self.food_base, self.humus_base, self.water_base = (
            np.array(start[name])[:, 1] for name in ("food", "humus", "water")
        )
        self.stretch = start["stretch"]
        self.grains = start["grains"]
        self.raw_hold, self.raw, self.castings = start["raw_hold"], Packing(start["raw"]), Packing(n["castings"])
        self.ash = start["ash_kg"]
        self.stocked = None
        # Where each part lies in the state vector.
        k = 9 * self.kinds
        self.at = {"pools": slice(0, k), "microbes": slice(k, k + 3), "humus": slice(k + 3, k + 6)}
        names = [
            "ammonium", "nitrate", "acid_pocket", "acid_bed", "water", "cell_water", "salt", "salt_of_acids",
            "base", "celsius", "excess", "worked", "rise", "settling", "wetted", "fresh_litres", "alkali", "food_left",
            "calcium", "chalk", "chalk_um", "condition",
        ]
        for i, name in enumerate(names):
            self.at[name] = k + 6 + i
        k += 6 + len(names)
        self.at["retreat"] = slice(k, k + len(self.grains))
        k += len(self.grains)
        self.at["cocoons"] = slice(k, k + 12)
        self.at["worms"] = slice(k + 12, k + 18)
        self.at["sizes"] = slice(k + 18, k + 24)
        self.size = k + 24
        self.y = np.zeros(self.size)
        self.put("pools", pools[there].ravel())
        for name in [
            "worked", "salt", "salt_of_acids", "base", "celsius", "settling", "fresh_litres", "ammonium", "alkali", "food_left",
            "calcium",
        ]:
            self.put(name, start[name])
        self.put("chalk_um", self.chalk.grain_um)
        self.put("wetted", self.raw.soaked)
        self.put("water", start["water_kg"])
        self.put("cell_water", start["cell_water_kg"])

    def put(self, name, value):
        self.y[self.at[name]] = value

    def get(self, name):
        return self.y[self.at[name]]

    def titrated(self, y):
        """The curve of the bed as it is: what lasts of it as filled, new humus, which
        comes as an acid, the food that has not rotted, and the water there is now,
        open to the bed's carbon dioxide."""
        humus, food, water = y[self.at["humus"]][0], y[self.at["food_left"]], y[self.at["water"]]
        self.base_now = (
            self.stretch * self.curve_base + humus * self.humus_base + food * self.food_base + water * self.water_base
        )

    def ph_of(self, base):
        return float(np.interp(base, self.base_now, self.curve_ph))

    def ph_with_acids(self, base, acid):
        """pH where the weak acids of the bed are as far dissociated as it lets
        them; `base` is what stands against them and all else."""
        ph = self.ph_of(base - acid)
        for _ in range(50):
            before, ph = ph, self.ph_of(base - self.posted(acid, ph))
            if abs(ph - before) < 1e-12:
                break
        return ph

    def posted(self, acid, ph):
        return acid / (1.0 + 10.0 ** (self.c.acid_pka - ph))

    def conducts(self, salts, nitrate, acid_bed, ph, dry):
        """Conductivity of a 1:5 extract [mS/cm]: anions no site binds, of which
        the bicarbonate of the extract rises tenfold a pH unit."""
        bicarbonate = 5.0 * dry * self.extract_co2 * self.bicarbonate_at_7 * 10.0 ** (min(ph, 8.5) - 7.0)
        anions = nitrate + self.posted(acid_bed, ph) + bicarbonate
        return (salts + anions * self.c.anion_ec) / dry

    def in_place(self, base, acid_bed, water, ph, airless):
        """pH under the bed's carbon dioxide, of an extract's: as much as in a usual
        bed, and more where decay finds no air."""
        seven, eight = self.carbonate
        twice = (eight - 10.0 * seven) / 90.0
        carbonate = (seven - twice) * 10.0 ** (ph - 7.0) + twice * 100.0 ** (ph - 7.0)
        more = (1.0 - self.extract_co2) * water * carbonate
        times = self.airless_co2**airless
        held = self.base_now + (times - 1.0) * water * self.water_base
        under = float(np.interp(base - self.posted(acid_bed, ph) - more, held, self.curve_ph))
        return clamp(under, ph + math.log10(self.extract_co2 / times), ph)

    def holds(self, dry, worked):
        """Water held in pores against draining [kg]. Castings hold it by their
        organic matter first, and more where they are made of what holds more."""
        c = self.c
        organic, share = clamp(1.0 - self.ash / dry), c.castings_organic
        of_organic = (self.n.castings_hold - (1.0 - share) * c.mineral_castings_hold) / share
        castings = organic * of_organic + (1.0 - organic) * c.mineral_castings_hold
        castings *= max(self.raw_hold / castings, 1.0) ** c.castings_of_raw
        return dry * ((1.0 - worked) * self.raw_hold + worked * castings)

    def lime_retreats(self, ph):
        """Speed at which a surface of calcite goes back [µm/d]."""
        w = self.law
        if ph >= w.saturation_ph:
            return 0.0
        away = 1.0 - 10.0 ** (4.0 / 3.0 * (ph - w.saturation_ph))
        return min((w.k1 * 10.0**-ph + w.rest) * 36.9 * 86400.0 * 10.0 * away, w.cap)

    def falls_as_chalk(self, dissolved, calcium, carbon):
        """Base that falls as chalk [mol_c/d]: what is `dissolved` over calcite
        saturation by its share a day, as far as there is calcium and no faster than
        carbon dioxide comes, of so much carbon burnt [kg/d]."""
        over = dissolved - float(np.interp(self.law.saturation_ph, self.curve_ph, self.base_now))
        if over <= 0.0 or calcium <= 0.0:
            return 0.0
        falls = min(self.chalk.per_day * over, 2.0 * carbon / CARBON)
        return falls * min(calcium / LEAST_CALCIUM, 1.0)

    def as_table_salt(self, all, harsh):
        """Table salt as hard on worms as the salts of the bed, by conductivity:
        bicarbonate and nitrate are milder."""
        harsh = clamp(harsh, 0.0, all)
        return harsh + self.worms.v.salt_mild_share * (all - harsh)

    def quality(self, pools):
        """Of what the worms live in; that of manure is known better."""
        manure = float(pools[self.manure, :, 0].sum()) / max(float(pools[:, :, 0].sum()), 1e-12)
        usual = self.worms.v.solo_quality
        return usual * (self.n.food_quality / usual) ** (1.0 - self.c.manure_known * manure)

    def dry_of(self, y):
        a = self.at
        organic = y[a["pools"]][::3].sum() + y[a["microbes"]][0] + y[a["humus"]][0]
        return organic + self.ash + (y[a["acid_pocket"]] + y[a["acid_bed"]]) * self.c.acid_mass

    def heat_capacity(self, dry, water):
        return self.c.dry_heat * dry + 0.5 + self.c.water_heat * water

    def feed(self):
        e, c = SimpleNamespace(**self.events["fed"]), self.c
        # Its curve joins the bed's: each counts from the pH it comes at.
        charge = e.dry_kg * np.array(e.charge)[:, 1]
        if e.rots:
            self.food_base = self.food_base * self.get("food_left") + charge
            self.put("food_left", 1.0)
        else:
            self.curve_base = self.curve_base + charge / self.stretch
        before = self.dry_of(self.y)
        self.warm_in(before, e.dry_kg, e.water_kg, e.celsius)
        organic = e.dry_kg - e.ash_kg
        matter = np.array([organic, min(e.carbon_kg, 0.6 * organic), min(e.nitrogen_kg - e.ammonium / c.mol_per_kg, 0.2 * organic)])
        labile = e.degradable * self.labile_of_degradable if self.fixed_labile is None else self.fixed_labile
        rest = 1.0 - labile
        shares = np.array([labile, rest * self.slow_share, rest * (1.0 - self.slow_share)])
        pools = self.get("pools").reshape(self.kinds, 3, 3).copy()
        pools[self.fed_kind] += np.outer(shares, matter)
        self.put("pools", pools.ravel())
        self.ash += e.ash_kg
        self.put("water", self.get("water") + e.water_kg)
        self.put("cell_water", self.get("cell_water") + e.cell_water_kg)
        self.put("salt", self.get("salt") + e.salt)
        for name in ["salt_of_acids", "ammonium", "alkali"]:
            self.put(name, self.get(name) + getattr(e, name))
        worked = self.get("worked")
        raw, new = before * (1.0 - worked), e.dry_kg * (1.0 - e.worked)
        self.raw_hold = (self.raw_hold * raw + e.holds_kg / e.dry_kg * new) / (raw + new)
        self.raw.soaked = self.get("wetted")
        self.raw = self.raw.joined(raw, Packing(e.packing), new)
        self.put("wetted", self.raw.soaked)
        self.put("fresh_litres", self.get("fresh_litres") + e.fresh_litres)
        # What comes in is not settled yet.
        self.put("settling", self.get("settling") * before / (before + e.dry_kg))
        self.put("worked", (worked * before + e.worked * e.dry_kg) / (before + e.dry_kg))

    def warm_in(self, dry, dry_in, water_in, celsius):
        had = self.heat_capacity(dry, self.get("water"))
        comes = self.c.dry_heat * dry_in + self.c.water_heat * water_in
        self.put("celsius", (had * self.get("celsius") + comes * celsius) / (had + comes))

    def happen(self, day):
        e = self.events
        if day == e["stocked"]["day"]:
            self.put("worms", self.get("worms") + np.array(e["stocked"]["worms"]))
            self.put("sizes", np.array(e["stocked"]["sizes"]))
            self.put("condition", e["stocked"]["condition"])
            self.stocked = float(day)
        if day > 0 and day % e["fed"]["every"] == 0:
            self.feed()
        if day == e["poured"]["day"]:
            self.warm_in(self.dry_of(self.y), 0.0, e["poured"]["kg"], e["poured"]["celsius"])
            self.put("water", self.get("water") + e["poured"]["kg"])

    def air(self, t):
        a = self.events["air"]
        half = (a["high"] - a["low"]) / 2.0
        return (a["high"] + a["low"]) / 2.0 + half * math.cos(2.0 * math.pi * (t - a["warmest"])) + self.n.room_offset

    def refuge(self, bed, zones):
        low, high = self.home.kindest
        unkind = lambda t: max(low - t, t - high, 0.0)
        best = bed
        for zone in zones:
            if unkind(zone) < unkind(best):
                best = zone
        return best

    def air_in(self, g, air):
        """Oxygen that seeps and is drawn into the bed [kg/d]."""
        c, n, home = self.c, self.n, self.home
        path = max(n.air_path * min(g.height, c.most_height_m), c.least_path_m)
        seeps = c.diffusion * g.air_filled**1.5 / path
        drawn = n.air_drawn * home.inlet * (g.air_filled / 0.3) ** 3 * max(g.felt - air, 0.0)
        return home.floor_m2 * c.oxygen * n.lid_air * (seeps + drawn)

    def rot(self, pools, microbes, humus, g, nitrogen):
        """Rates of rotting, microbes finding `nitrogen` of what they want."""
        c, n = self.c, self.n
        warm = lambda t: rotting(t, c.q10, c.best_celsius, c.stops_celsius)
        pace_bed = n.decay_scale * warm(g.felt) * g.wet_bed
        pace_pocket = n.decay_scale * warm(g.hot) * g.wet_pocket
        pace = np.where(self.in_pocket, pace_pocket, pace_bed)
        eased = (pools[:, :2, 0] * self.rate[:, :2]).sum(axis=1) * pace * g.hasten
        # Acids that are burnt again want oxygen too.
        burn = n.acid_eaten * c.acid_mass * ACID_OXYGEN
        demand_pocket = float(eased[self.in_pocket].sum()) * c.oxygen_per_vs + burn * g.acid_pocket * warm(g.hot)
        demand_bed = float(eased[~self.in_pocket].sum()) * c.oxygen_per_vs + burn * g.acid_bed * warm(g.felt)
        demand_bed += self.worms.breath(g.felt) * g.worms_kg
        # What lies under liquid has no air and wants none of what comes in.
        demand_bed *= 1.0 - g.flooded
        airless = lambda supply, demand: 1.0 / (1.0 + (supply / demand) ** 2) if demand > 0.0 else 0.0
        pocket = airless(g.supply * n.pocket_air, demand_pocket)
        covered = min(g.pocket / 1000.0 / (self.home.floor_m2 * 2.0 * n.pocket_half_m), 1.0)
        above = 1.0 - (1.0 - airless(g.supply * (1.0 - n.pocket_air), demand_bed)) * (1.0 - covered * pocket)
        bed = 1.0 - (1.0 - above) * (1.0 - g.flooded)
        slowed = 1.0 - np.where(self.in_pocket, (1.0 - c.airless_floor * g.ferments) * pocket, (1.0 - c.airless_floor) * bed)
        rate = self.rate * (pace * slowed)[:, None]
        rate[:, :2] *= g.hasten
        food = (pools * rate[:, :, None]).sum(axis=(0, 1))
        rate[:, 1:] *= nitrogen
        went = pools * rate[:, :, None]
        old = humus * (c.humus_per_day * pace_bed)
        dead = microbes * (n.microbe_death * pace_bed)
        labile = went[self.in_pocket, 0]
        per_kg = g.ferments * (pocket + n.acid_with_air * (1.0 - pocket)) * n.acid_per_vs
        acid = float(np.minimum(
            np.minimum(labile[:, 0] * per_kg, 0.8 * labile[:, 0] / c.acid_mass),
            0.8 * labile[:, 1] / c.acid_carbon,
        ).sum())
        decayed = went.sum(axis=(0, 1)) + old
        made, grown, burnt, enough = self.shared(decayed - acid * np.array([c.acid_mass, c.acid_carbon, 0.0]), dead, g)
        nitrogen = c.nitrogen_floor + (1.0 - c.nitrogen_floor) * enough
        of_pocket = float(went[self.in_pocket, :, 0].sum()) / max(float(decayed[0]), 1e-12)
        watts = burnt[0] * of_pocket * c.oxygen_per_vs * 1000.0 * c.heat_per_oxygen / 86.4
        rise = 0.0
        if g.pocket > 0.01 and warm(g.hot) >= 0.01:
            rise = clamp(watts * 1000.0 / g.pocket * g.half**2 / (2.0 * n.bed_w_m_k), 0.0, g.most_rise)
        return SimpleNamespace(
            went=went, food=food + dead, old=old, dead=dead, acid=acid, humus=made, grown=grown, burnt=burnt, bed=bed, above=above, pocket=pocket,
            nitrogen=nitrogen, rise=rise,
        )

    def shared(self, decayed, dead, g):
        """What becomes of what rotted and of dead microbes: humus, new microbes,
        what is burnt, and how far there was nitrogen enough."""
        c, n = self.c, self.n
        carbon = min(n.humus_share * dead[1], dead[2] * c.humus_cn, dead[0] * c.humus_carbon)
        humus = carbon * np.array([1.0 / c.humus_carbon, 1.0, 1.0 / c.humus_cn])
        eaten = decayed + dead - humus
        grown = min(
            n.microbe_yield * max(eaten[1], 0.0),
            max(eaten[2] + c.nitrogen_taken_up * g.mineral, 0.0) * c.microbe_cn,
            0.9 * max(eaten[0], 0.0) * c.microbe_carbon,
        )
        microbes = grown * np.array([1.0 / c.microbe_carbon, 1.0, 1.0 / c.microbe_cn])
        least = min(c.microbe_least_yield, n.microbe_yield) * max(eaten[1], 0.0)
        enough = min(grown / least, 1.0) if least > 1e-12 else 1.0
        return humus, microbes, eaten - microbes, enough

    def settled_rot(self, pools, microbes, humus, g):
        """The same where the nitrogen found is what it brings about itself."""
        nitrogen = self.guess
        for _ in range(60):
            r = self.rot(pools, microbes, humus, g, nitrogen)
            gap = abs(r.nitrogen - nitrogen)
            nitrogen = r.nitrogen
            if gap < 1e-10:
                break
        self.guess = nitrogen
        return r

    guess = 1.0

    def change(self, t, y):
        c, n, home, a = self.c, self.n, self.home, self.at
        pools = y[a["pools"]].reshape(self.kinds, 3, 3)
        microbes, humus = y[a["microbes"]], y[a["humus"]]
        (
            ammonium, nitrate, acid_pocket, acid_bed, water, cell_water, salt, salt_of_acids, base, celsius, excess,
            worked, rise, settling, wetted, fresh_litres, alkali, food_left,
            calcium, chalk, chalk_um, condition,
        ) = (float(x) for x in y[a["ammonium"] : a["condition"] + 1])
        g = SimpleNamespace(acid_pocket=acid_pocket, acid_bed=acid_bed)
        air = self.air(t)
        dry = float(self.dry_of(y))
        holds = self.holds(dry, worked) + min(cell_water, water)
        solids = (dry - self.ash) / ORGANIC_KG_L + self.ash / MINERAL_KG_L
        held = min(water, holds)
        # Mineral beyond what manures hold counts little, and keeps its volume.
        more = max(self.ash - c.usual_mineral * (dry - self.ash), 0.0)
        felt = dry - (1.0 - c.mineral_counts) * more
        share, kpa = water / (water + dry), 9.81 * (dry + water) / home.floor_m2 / 2000.0
        stands = lambda p, wet: p.stands(share, wet, n.settles * p.settled(kpa, settling))
        castings = felt * stands(self.castings, self.castings.soaked) + (dry - felt) * c.mineral_litres
        loosely = n.stands * ((1.0 - worked) * dry * stands(self.raw, wetted) + worked * castings + fresh_litres)
        swollen = (solids + held) / (1.0 - n.drained_air)
        drained = max(loosely, swollen, LEAST_ROOM * (solids + held))
        litres = max(loosely, swollen, LEAST_ROOM * (solids + water))
        pores = max(drained - solids - held, 1e-9)
        g.flooded = clamp(max(water - holds, 0.0) / pores)
        g.air_filled = clamp(pores / drained, 0.0, 0.95)
        moisture = 100.0 * water / (water + felt)
        grams = condition * float(y[a["sizes"]].sum())
        worms_kg = grams / 1000.0
        pocket_kg = float(pools[self.in_pocket, 0, 0].sum())
        g.pocket = pocket_kg * POCKET_LITRES
        g.height = litres / 1000.0 / home.floor_m2
        g.half = min(n.pocket_half_m * (max(g.pocket, 0.0) / POCKET_USUAL) ** (1.0 / 3.0), g.height / 2.0)
        # What is too hot to rot makes no heat: a hot middle flattens out.
        g.hottest = max(c.stops_celsius - celsius, 0.0)
        g.excess = min(excess, g.hottest)
        g.core, g.edge = celsius + g.excess, celsius - 0.5 * (celsius - air)
        middle = (g.core + g.edge) / 2.0
        g.most_rise = clamp(g.hottest - max(g.excess, 0.0), 0.0, 45.0)
        hot = g.hot = g.core + (clamp(rise, 0.0, g.most_rise) if g.pocket > 0.01 else 0.0)
        near = clamp(1.0 - (c.stops_celsius - g.core) / 14.0)
        g.felt = middle + near * max(g.core - middle, 0.0)
        wet = lambda m: clamp((m - c.dry_stop) / (c.wet_enough - c.dry_stop))
        g.wet_bed, g.wet_pocket = wet(moisture), wet(max(moisture, 0.5 * (moisture + 75.0)))
        g.worms_kg = worms_kg
        g.hasten = 1.0 + n.worm_effect * min(worms_kg / home.floor_m2 / c.worm_reference, 1.0)
        g.supply = self.air_in(g, air)
        g.mineral = (ammonium + nitrate) / c.mol_per_kg
        self.titrated(y)
        ph = self.ph_with_acids(base, acid_bed)
        in_food = max(ph - acid_pocket / (n.food_buffer * 2.0 * max(pocket_kg, 1e-3)), min(3.2, ph))
        # Acids that are whole keep food from fermenting, as in silage.
        whole = acid_pocket / (1.0 + 10.0 ** (in_food - c.acid_pka)) / (pocket_kg * FOOD_WATER) if pocket_kg * FOOD_WATER > 1e-9 else 0.0
        g.ferments = 1.0 - whole / (whole + c.pickles_mol_per_l)
        r = self.settled_rot(pools, microbes, humus, g)
        # Nitrifiers live in the bed; ammonia goes off where its water is open.
        met = self.in_place(base, acid_bed, water, ph, r.bed)
        refuge = self.refuge(celsius, (g.core, g.edge))
        self.hot = hot

        d = np.zeros(self.size)
        d_pools = -r.went.copy()
        d_humus, d_microbes = r.humus - r.old, r.grown - r.dead
        burnt = r.burnt[0]
        d_base = float((r.went[:, :, 0].sum(axis=1) * self.alkalinity).sum()) * n.alkalinity
        # What bases rot sets free is taken to stand against calcium.
        d_calcium = max(d_base, 0.0)
        freed = r.burnt[2] * c.mol_per_kg
        d_ammonium = d_nitrate = 0.0
        if freed >= 0.0:
            d_ammonium += freed
            d_base += freed
        else:
            total = max(ammonium + nitrate, 1e-15)
            d_ammonium += freed * ammonium / total
            d_nitrate += freed * nitrate / total
            d_base += freed * (ammonium - nitrate) / total

        warm = rotting(middle, c.q10, 33.0, 45.0)
        ph_share = clamp((met - c.nitrify_stops) / (c.nitrify_full - c.nitrify_stops))
        free = lambda ph: free_ammonia(clamp(middle, 0.0, 60.0), ph)
        mg_per_kg = ammonium * free(met) / c.mol_per_kg * 1e6 / dry
        salty = self.conducts(salt + salt_of_acids, nitrate, acid_bed, ph, dry)
        harm = 1.0 / (1.0 + max(mg_per_kg, 0.0) / c.nitrify_ammonia) / (1.0 + (salty / c.nitrify_salt) ** 2)
        nitrified = n.nitrify * harm * warm * (1.0 - r.bed) * ph_share * ammonium
        volatile = n.volatilise * free(ph) * n.lid_air * ammonium
        denitrified = n.denitrify * warm * (r.bed + n.denitrify_with_air * (1.0 - r.bed)) * nitrate
        d_ammonium -= nitrified + volatile
        d_nitrate += nitrified - denitrified
        d_base += denitrified - volatile - 2.0 * nitrified

        decay = lambda x: rotting(x, c.q10, c.best_celsius, c.stops_celsius)
        eaten_pocket = n.acid_eaten * decay(hot) * (1.0 - r.pocket) * acid_pocket
        # Acids leave the pocket as its food falls apart.
        falls = float(r.went[self.in_pocket, 0, 0].sum()) / pocket_kg if pocket_kg > 1e-12 else 0.0
        seeped = (n.acid_leaves + falls if g.core > 0.0 else 0.0) * acid_pocket
        eaten_bed = n.acid_eaten * decay(g.felt) * (1.0 - r.bed) * acid_bed
        acid_burnt = (eaten_pocket + eaten_bed) * c.acid_mass

        outside = saturated(clamp(air, -30.0, 60.0)) * clamp(n.humidity, 0.05, 0.98)
        inside = saturated(clamp(middle, -30.0, 75.0)) * -math.expm1(-moisture / c.sorption)
        lets = n.evaporation * 86400.0 * home.floor_m2 / (1.0 / c.surface_m_per_s + n.lid_s_per_m)
        vapour = lets * clamp(moisture / c.bound_below) ** 2 * max(inside - outside, 0.0)
        d_water = (burnt + acid_burnt) * c.water_per_vs - vapour
        d_salt = 0.0
        # Salts of organic acids and the cells of food rot as fast as labile
        # matter does.
        labile = float(pools[:, 0, 0].sum())
        rots = float(r.went[:, 0, 0].sum()) / labile if labile > 0.0 else 0.0
        d_of_acids, d_cell, d_fresh = -salt_of_acids * rots, -cell_water * rots, -fresh_litres * rots
        # What stood against the acids that rot is base.
        d_alkali = -alkali * rots
        d_base += n.alkalinity * alkali * rots
        of_food = float(pools[self.in_pocket, :, 0].sum())
        d_food_left = -food_left * float(r.went[self.in_pocket, :, 0].sum()) / of_food if of_food > 1e-12 else 0.0
        posted, acid_drained = self.posted(acid_bed, ph), 0.0
        if home.drains and water > holds:
            drained = (water - holds) / n.drain_days
            share = drained / water
            d_water -= drained
            d_salt -= salt * share
            d_of_acids -= salt_of_acids * share
            d_alkali -= alkali * share
            # Ions go with what stands against them, which changes no base but that
            # counted against acids here; bicarbonate takes its own along.
            d_nitrate -= nitrate * share
            d_ammonium -= c.ammonium_dissolved * ammonium * share
            acid_drained = acid_bed * share
            d_base -= posted * share + drained * float(np.interp(ph, self.curve_ph, self.water_base))

        oxygen = burnt * c.oxygen_per_vs + acid_burnt * ACID_OXYGEN
        made = oxygen * 1000.0 * c.heat_per_oxygen
        made += c.worm_watts * worms_kg * rotting(celsius, 2.0, 30.0, 40.0) * 86.4
        passing = n.wall_w_m2_k * n.exchange * (home.around_m * g.height + 1.5 * home.floor_m2) * 86.4
        d_celsius = made - vapour * c.evaporate - passing * (celsius - air)
        capacity = self.heat_capacity(dry, water)
        d_celsius /= capacity
        d_excess = passing / capacity * (0.25 * (celsius - air) - excess)

        # A pocket warms as the slowest mode of a slab does.
        d_rise = -rise / 1e-3
        if g.pocket > 0.01:
            slab = 4.0 * g.half**2 * 1e6 * capacity / litres / (math.pi**2 * n.bed_w_m_k)
            d_rise = (r.rise - rise) * 86400.0 / slab
        hastened = c.settles_with_worms if self.stocked is not None else 1.0
        d_settling = (1.0 - settling) * hastened / self.raw.days
        d_wetted = WETS_PER_DAY * max(soaked(share) - wetted, 0.0)

        d_retreat = np.zeros(len(self.grains))
        speed = self.lime_retreats(ph)
        for i, grain in enumerate(self.grains):
            left = 1.0 - 2.0 * y[a["retreat"]][i] / grain["size_um"]
            if left > 0.0 and speed > 0.0:
                d_retreat[i] = grain["contact"] * speed
                d_base += grain["whole"] * 6.0 / grain["size_um"] * left**2 * d_retreat[i]
        # Chalk falls of the calcium that rot set free, and dissolves like lime.
        falls = self.falls_as_chalk(base - posted, calcium, r.burnt[1])
        d_calcium -= falls
        grain = max(chalk_um, LEAST_GRAIN)
        again = 6.0 * chalk * speed / grain
        d_chalk, d_base = falls - again, d_base - falls + again
        d_chalk_um = FRESH_PER_DAY * (self.chalk.grain_um - chalk_um) if falls > 0.0 else -2.0 * speed * chalk_um / grain

        d_worked = 0.0
        if self.stocked is not None:
            crowd = clamp(g.pocket / litres - 0.4, 0.0, 0.5) / 0.5
            v = self.worms.v
            wet_walls = clamp((moisture - v.wall_dry_percent) / (v.wall_wet_from_percent - v.wall_dry_percent))
            h = SimpleNamespace(
                celsius=refuge + crowd * (hot - refuge), moisture=moisture + clamp(75.0 - moisture, -v.drier_reach_percent, v.wetter_reach_percent),
                air_filled=g.air_filled * min((1.0 - g.flooded) / 0.1, 1.0), airless=r.above, ph=ph,
                ammonia=ammonium * 35.05 / water * self.worms.v.soil_water_l_per_kg,
                ec=self.as_table_salt(salty, (salt + salt_of_acids + posted * c.anion_ec) / dry), sour=1000.0 * (acid_bed + crowd * acid_pocket) / dry,
                litres=litres * max(1.0 - g.flooded, 0.1), quality=self.quality(pools), settled=t - self.stocked,
            )
            h.film, h.film_stale = home.film * wet_walls, 1.0 - n.lid_air
            h.ph = min(ph, ph + crowd * (in_food - ph)) - (ph - met)
            f = self.worms.feel(h)
            appetite = self.worms.appetite(h, f, grams) / 1000.0
            h.floor = home.floor_m2
            h.food = c.food_of_decay * r.food[0] / max(appetite, 1e-9)
            h.food_nitrogen = r.food[2] / max(r.food[0], 1e-12)
            cocoons, worms, sizes = y[a["cocoons"]], y[a["worms"]], y[a["sizes"]]
            d_cocoons, d_worms, d_sizes, d_condition, grown, died, found = self.worms.change(
                h, f, cocoons, worms, sizes, condition, home.escape
            )
            d[a["cocoons"]], d[a["worms"]], d[a["sizes"]], d[a["condition"]] = d_cocoons, d_worms, d_sizes, d_condition
            d_worked = (1.0 - worked) * n.turnover * appetite / dry
            body = np.array([1.0, c.worm_carbon, c.worm_nitrogen]) * c.worm_dry / 1000.0
            d_pools[self.meal, 0] += died * body
            d_water += (died - grown) * (1.0 - c.worm_dry) / 1000.0
            wanted = grown * body
            # Microbes are eaten with the best of it, slow matter less.
            reach = np.array([1.0, 0.07])[None, :, None]
            there = microbes[0] + float((pools[:, :2] * reach)[:, :, 0].sum())
            breathed = self.worms.breath(h.celsius) * worms_kg * min(found, 1.0) / c.oxygen_per_vs
            share = (breathed + 1.3 * max(wanted[0], 0.0)) / max(there, 1e-12)
            bites = pools[:, :2] * reach * share
            d_pools[:, :2] -= bites
            d_microbes = d_microbes - microbes * share
            eaten = bites.sum(axis=(0, 1)) + microbes * share
            given = eaten - wanted
            if grown > 0.0:
                made = eaten * (1.0 - breathed / max(share * there, 1e-12))
                short = lambda more: max(0.0, float(np.max((wanted - made) / np.maximum(more, 1e-12))))
                take = short(microbes)
                d_microbes, made = d_microbes - microbes * take, made + microbes * take
                given = given + microbes * take
                take = short(humus)
                d_humus, given = d_humus - humus * take, given + humus * take
            d_water += given[0] * c.water_per_vs
            d_ammonium += given[2] * c.mol_per_kg
            d_base += given[2] * c.mol_per_kg

        d[a["pools"]], d[a["retreat"]] = d_pools.ravel(), d_retreat
        d[a["microbes"]], d[a["humus"]] = d_microbes, d_humus
        d[a["ammonium"] : a["condition"]] = (
            d_ammonium, d_nitrate, r.acid - eaten_pocket - seeped, seeped - eaten_bed - acid_drained,
            d_water, d_cell, d_salt, d_of_acids, d_base, d_celsius, d_excess, d_worked, d_rise, d_settling, d_wetted, d_fresh, d_alkali, d_food_left,
            d_calcium, d_chalk, d_chalk_um,
        )
        return d

    def run(self, method, rtol, samples=0):
        """The course by day; `samples` points a day for means of the day."""
        rows, core, scale = [], [], self.tolerances()
        e = self.events
        came = e["stocked"]["day"]
        inputs = {0, came, e["poured"]["day"], *range(e["fed"]["every"], e["days"], e["fed"]["every"])}
        # Where the equations jump or bend by the clock.
        breaks = sorted(inputs | {came + self.worms.v.lag_days, came + 30.0, e["days"]})
        for begin, end in zip(breaks, breaks[1:]):
            self.happen(begin)
            days = [float(d) for d in range(math.floor(begin) + 1, math.ceil(end))]
            got = solve_ivp(
                self.change, (begin, end), self.y, method=method, rtol=rtol, atol=rtol * scale,
                t_eval=days + [float(end)], dense_output=samples > 0,
            )
            if not got.success:
                raise RuntimeError(f"day {begin}: {got.message}")
            self.evaluations += got.nfev
            for t, y in zip(got.t, got.y.T):
                core += self.sampled(got.sol, begin, t, samples)
                begin, self.y = t, y.copy()
                if t == int(t):
                    rows.append(self.figures(core))
                    core = []
        return {name: np.array([row[name] for row in rows]) for name in rows[0]}

    def sampled(self, course, begin, end, samples):
        """Core and pocket [°C] in the middles of equal spans."""
        if not samples:
            return []
        at = (np.arange(math.ceil(begin * samples - 0.5), end * samples - 0.5) + 0.5) / samples
        warm = []
        for t, y in zip(at, course(at).T):
            self.change(t, y)
            warm.append((y[self.at["celsius"]] + y[self.at["excess"]], self.hot))
        return warm

    evaluations = 0

    def tolerances(self):
        """What counts as little of each part, times the relative tolerance."""
        scale = np.full(self.size, 1e-2)
        for name in ["celsius", "excess", "rise", "settling", "wetted", "fresh_litres", "chalk_um"]:
            scale[self.at[name]] = 1.0
        scale[self.at["worms"]] = scale[self.at["cocoons"]] = scale[self.at["sizes"]] = 10.0
        scale[self.at["retreat"]] = 1.0
        # What falls as chalk goes by how much of this little there is.
        scale[self.at["calcium"]] = LEAST_CALCIUM
        return scale

    def figures(self, core):
        dry, water = self.dry_of(self.y), self.get("water")
        pools = self.get("pools").reshape(self.kinds, 3, 3)
        microbes, humus = self.get("microbes"), self.get("humus")
        total = pools.sum(axis=(0, 1)) + microbes + humus
        self.titrated(self.y)
        ph = self.ph_with_acids(self.get("base"), self.get("acid_bed"))
        posted = self.posted(self.get("acid_bed"), ph)
        left = 1.0 - 2.0 * self.get("retreat") / np.array([grain["size_um"] for grain in self.grains])
        whole = np.array([grain["whole"] for grain in self.grains])
        row = {
            "ph": ph, "moisture_percent": 100.0 * water / (water + dry),
            "water_kg": water, "bed_celsius": self.get("celsius"),
            "worms_kg": self.get("condition") * self.get("sizes").sum() / 1000.0, "worms": self.get("worms").sum(),
            "cocoons": self.get("cocoons").sum(), "castings_dry_kg": self.get("worked") * dry, "dry_kg": dry,
            "ammonium_mol": self.get("ammonium"), "nitrate_mol": self.get("nitrate"),
            "acid_pocket_mol": self.get("acid_pocket"), "acid_bed_mol": self.get("acid_bed"),
            "base_mol": (self.get("base") - posted) / self.stretch,
            "chalk_mol": self.get("chalk") + float((whole * np.clip(left, 0.0, None) ** 3).sum()), "food_labile_kg": pools[self.in_pocket, 0, 0].sum(),
            "carbon_kg": total[1], "nitrogen_kg": total[2], "humus_kg": humus[0], "microbes_kg": microbes[0],
            "ec_ms_per_cm": self.conducts(
                self.get("salt") + self.get("salt_of_acids"), self.get("nitrate"), self.get("acid_bed"), ph, dry,
            ),
        }
        if core:
            row["core_day_mean_celsius"], row["hot_day_mean_celsius"] = np.mean(core, axis=0)
        return row


def gaps(ours, theirs, since=0):
    """Largest gap of each figure `since` a day against what is allowed: (gap over
    allowed, gap, day), the worst figure first. What is little of a figure is told
    by all its days."""
    found = {}
    for name, course in theirs.items():
        a, b = np.array(ours[name]), np.asarray(course)
        if name in PLAIN:
            gap, allowed = np.abs(a - b), PLAIN[name]
        else:
            least = np.abs(b).max() * (1.0 if name in THROUGH_NOUGHT else FLOOR)
            gap, allowed = np.abs(a - b) / np.maximum(np.abs(b), max(least, NOTHING)), RELATIVE
        day = since + int(np.argmax(gap[since:]))
        found[name] = (gap[day] / allowed, gap[day], day + 1)
    return dict(sorted(found.items(), key=lambda item: -item[1][0]))


def solve(told, method, rtol, samples=0):
    bin = Bin(told)
    start = time.process_time()
    course = bin.run(method, rtol, samples)
    return course, time.process_time() - start, bin.evaluations


NAMES = {"poor": "Paper fed with scraps, short of nitrogen", "rich": "Manure fed with clippings"}
# Usual steps are cut into this many for the comparison.
CUTS = (1, 4, 16, 64)
# The finest method here.
FINEST = ("BDF", 1e-6)
# Methods and tolerances timed.
TRIED = [(m, r) for m in ("BDF", "LSODA") for r in (1e-2, 1e-3, 1e-4, 1e-6)]


def compare(told):
    """Our courses at the usual step and finer ones against the equations, and
    the usual step on the last day."""
    exact, _, _ = solve(told, *FINEST, samples=48)
    return steps_against(told["courses"], exact)


def steps_against(courses, exact):
    """Gaps at every cut, and those of the usual step on the last day."""
    found = {cut: gaps(courses[str(cut)], exact) for cut in CUTS}
    return found, gaps(courses["1"], exact, since=len(exact["ph"]) - 1)


def fastest(told):
    """Methods and tolerances with their processor time, best of three, and how
    far each stands from the finest; the quickest that is within what is
    allowed last."""
    exact, _, _ = solve(told, FINEST[0], FINEST[1] / 10.0)
    rows = []
    for method, rtol in TRIED:
        try:
            runs = [solve(told, method, rtol) for _ in range(3)]
        except RuntimeError:
            continue
        name, (times, _, _) = next(iter(gaps(runs[0][0], exact).items()))
        rows.append({
            "method": method, "rtol": rtol, "seconds": min(r[1] for r in runs),
            "evaluations": runs[0][2], "worst": name, "worst_over_allowed": times,
        })
    within = [row for row in rows if row["worst_over_allowed"] <= 1.0]
    return rows, min(within, key=lambda row: row["seconds"])


def told_by_ours():
    return json.loads(subprocess.run([PROGRAM, "one"], check=True, capture_output=True, text=True).stdout)


def table(compared):
    """The comparison in Markdown."""
    found, last = compared
    show = lambda name, gap: f"{gap:.3f}" if name in PLAIN else f"{100 * gap:.2f} %"
    heads = ["figure", "worst on day", *(f"step {12 / cut:g} h" for cut in found), "12 h, day 90"]
    lines = ["| " + " | ".join(heads) + " |", "|---" * len(heads) + "|"]
    for name, (_, _, day) in found[1].items():
        cells = [name, str(day), *(show(name, found[cut][name][1]) for cut in found), show(name, last[name][1])]
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines)


def own_steps():
    """Gaps of each coarser step to our own finest: how near the steps are where the
    equations here lack a law."""
    for bin, told in told_by_ours().items():
        compared = steps_against(told["courses"], told["courses"][str(CUTS[-1])])
        print(f"\n{NAMES[bin]}, against our own finest step:\n\n{table(compared)}")


def main():
    print("Largest gap in 90 days, ours against the equations; plain for pH and °C.")
    wrong = []
    for bin, told in told_by_ours().items():
        compared = compare(told)
        print(f"\n{NAMES[bin]}:\n\n{table(compared)}")
        name, (times, gap, day) = next(iter(compared[0][CUTS[-1]].items()))
        wrong += [f"{bin}: {name}, {gap:.4g} on day {day}"] if times > 1.0 else []
    if wrong:
        sys.exit("\ntoo far off at the finest step: " + "; ".join(wrong))


if __name__ == "__main__":
    own_steps() if sys.argv[1:] == ["own"] else main()
