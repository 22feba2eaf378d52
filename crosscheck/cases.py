"""The questions: fixed reference cases, random solutions, random mixes.

A problem is a dict: name, temperature_celsius, water_kg, co2_atm (absent:
closed), totals [mmol per kg water], solids [mol], materials [(key, dry kg,
pH)], sites (capacity by pKa [mol_c], reference charge [mol_c]) and, for fixed
cases, what PHREEQC printed when the case was first made.
"""

import numpy

# Site capacities at pKa 3 to 10 [cmol/kg dry], typed a second time on purpose:
# a slip in the program's own table shows up here.
SITES = {
    "peat_sphagnum_unlimed": (25, 29, 29, 25, 18, 13, 16, 20),
    "coir_pith": (6, 8, 10, 10, 9, 8, 8, 10),
    "yard_compost_finished": (15, 20, 28, 32, 32, 28, 20, 20),
    "leaf_mould": (15, 25, 30, 30, 30, 25, 20, 20),
    "newsprint_shredded": (1, 2, 2, 2, 1, 1, 2, 3),
}
PH_AS_RECEIVED = {"peat_sphagnum_unlimed": (3.5, 6.5), "coir_pith": (5.1, 6.9), "yard_compost_finished": (6.5, 8.0),
                  "leaf_mould": (5.0, 7.0), "newsprint_shredded": (6.5, 8.5)}


def as_toml(problem):
    """The file Bedwright reads."""
    lines = [f"temperature_celsius = {problem['temperature_celsius']!r}",
             f"water_kg = {problem['water_kg']!r}"]
    if "co2_atm" in problem:
        lines.append(f"co2_atm = {problem['co2_atm']!r}")
    lines.append("[totals_mmol_per_kg_water]")
    lines += [f"{name} = {mmol!r}" for name, mmol in problem.get("totals", {}).items()]
    for name, mol in problem.get("solids", {}).items():
        lines += ["[[solids]]", f'name = "{name}"', f"amount_mol = {mol!r}"]
    for key, dry_kg, ph in problem.get("materials", ()):
        lines += ["[[materials]]", f'key = "{key}"', f"dry_kg = {dry_kg!r}", f"ph = {ph!r}"]
    return "\n".join(lines) + "\n"


def solution(name, t=25.0, co2=None, solids=None, printed=None, **totals):
    """One fixed case in one kilogram of water."""
    problem = {"name": name, "temperature_celsius": float(t), "water_kg": 1.0,
               "totals": {k: float(v) for k, v in totals.items()},
               "solids": solids or {}, "printed": printed or {}}
    if co2 is not None:
        problem["co2_atm"] = co2
    return problem


CO2 = (0.00042, 0.001, 0.01, 0.05, 0.1, 0.2)
GASES = (None, 0.00042, 0.01)


def fixed():
    """The table of reference cases with the values PHREEQC printed."""
    return water_cases() + carbonate_cases() + alkali_cases() + acid_cases() + salt_cases()


def water_cases():
    rows = [solution(f"A0 {t} C", t, printed={"ph": ph}) for t, ph in
            ((5, 7.3648), (15, 7.1716), (20, 7.0823), (25, 6.9974), (30, 6.9166))]
    for co2, ph, sc in zip(CO2, (5.5980, 5.4099, 4.9100, 4.5606, 4.4101, 4.2597),
                           (0.995, 1.53, 4.85, 10.9, 15.4, 21.7)):
        rows.append(solution(f"A1 {co2}", co2=co2, printed={"ph": ph, "ec_ms_cm": sc / 1000}))
    return rows


def carbonate_cases():
    table = {
        25: ((8.1985, 7.9516, 7.2969, 6.8417, 6.6466, 6.4522),
             (0.5428, 0.7301, 1.6457, 2.9633, 3.8388, 4.9912)),
        20: ((8.2031, 7.9561, 7.3016, 6.8466, 6.6516, 6.4573),
             (0.5881, 0.7921, 1.7893, 3.2258, 4.1808, 5.4382)),
        15: ((8.2098, 7.9628, 7.3084, 6.8536, 6.6587, 6.4645),
             (0.6379, 0.8601, 1.9465, 3.5127, 4.5542, 5.9257)),
    }
    rows = []
    for t, (phs, cas) in table.items():
        for co2, ph, ca in zip(CO2, phs, cas):
            rows.append(solution(f"B{t} {co2}", t, co2, {"calcite": 10.0},
                                 {"ph": ph, "ca_mmol": ca}))
    air = 0.00042
    return rows + [
        solution("B2", solids={"calcite": 10.0}, printed={"ph": 9.9068, "ca_mmol": 0.12301}),
        solution("B3", co2=air, solids={"aragonite": 10.0}, printed={"ph": 8.2473}),
        solution("B4", co2=air, solids={"dolomite": 10.0}, printed={"ph": 8.2784}),
        solution("D3", solids={"portlandite": 10.0}, printed={"ph": 12.464, "ca_mmol": 20.398}),
        solution("D4", co2=air, solids={"calcite": 0.0}, Ca=10, printed={"ph": 8.1985}),
        solution("F4", co2=0.01, solids={"calcite": 10.0}, acetate=10,
                 printed={"ph": 7.0588, "ca_mmol": 6.0128}),
        solution("L1", 20, K=29.9, SO4=3.74, Cl=3.0, carbonate=9.7, printed={"ph": 11.09}),
        solution("L3", 20, K=29.9, SO4=3.74, Cl=3.0, carbonate=9.7,
                 solids={"calcite": 10.0, "portlandite": 10.0}, printed={"ph": 12.65}),
    ]


def alkali_cases():
    rows = []
    phs = {None: (10.519, 10.998, 11.258, 11.358), 0.00042: (8.4624, 9.3236, 9.7543, 9.8982),
           0.01: (7.0994, 8.0567, 8.6788, 8.9187)}
    for co2, row in phs.items():
        for mmol, ph in zip((1, 10, 50, 100), row):
            rows.append(solution(f"C K2CO3 {mmol} {co2}", co2=co2, K=2 * mmol, carbonate=mmol,
                                 printed={"ph": ph}))
    for name, mmol, row in (("K", 10, (8.2490, 9.0886, 7.7735)),
                            ("Na", 10, (8.2242, 9.0813, 7.7713)),
                            ("K", 100, (8.1283, 9.7541, 8.6785))):
        for co2, ph in zip(GASES, row):
            rows.append(solution(f"C {name}HCO3 {mmol} {co2}", co2=co2, printed={"ph": ph},
                                 **{name: mmol, "carbonate": mmol}))
    return rows + [
        solution("C7", K=10, printed={"ph": 11.949}),
        solution("C8", co2=0.00042, K=10, printed={"ph": 9.0886}),
        solution("D1", Ca=1, printed={"ph": 11.264}),
        solution("D2", Ca=10, printed={"ph": 12.193}),
        solution("E3", NH4=10, Cl=10, printed={"ph": 5.6654}),
        solution("E4", NH4=10, printed={"ph": 10.610}),
        solution("E5", NH4=10, carbonate=10, printed={"ph": 7.7728}),
    ]


def acid_cases():
    rows = [solution(f"F Ca {ca}", Ca=ca, acetate=10, printed={"ph": ph}) for ca, ph in zip(
        (0, 0.5, 1, 2, 2.5, 3, 4, 4.5, 4.9, 5.0, 5.1),
        (3.3876, 3.8499, 4.1484, 4.55, 4.7203, 4.8919, 5.3108, 5.66, 6.3938, 8.3108, 10.219))]
    rows += [solution(f"F2 K {k}", co2=0.00042, K=k, acetate=10, printed={"ph": ph})
             for k, ph in zip((0, 5, 9, 10, 11), (3.3876, 4.7269, 5.6671, 6.931, 8.145))]
    return rows + [solution("F3", lactate=10, printed={"ph": 2.956})]


def salt_cases():
    table = (("K", 1, "Cl", 1, 25, 0.1463), ("K", 10, "Cl", 10, 25, 1.3961),
             ("K", 100, "Cl", 100, 25, 12.491), ("Na", 10, "Cl", 10, 25, 1.1756),
             ("Ca", 10, "Cl", 20, 25, 2.3125), ("K", 20, "SO4", 10, 25, 2.4920),
             ("K", 10, "Cl", 10, 20, 1.2412))
    return [solution(f"H {c}{a} {n} {t} C", t, printed={"ec_ms_cm": ec}, **{c: n, a: m})
            for c, n, a, m, t, ec in table]


def some(generator, chance, low, high):
    """Zero, or log-uniform between low and high [mmol]."""
    if generator.random() > chance:
        return 0.0
    return float(numpy.exp(generator.uniform(numpy.log(low), numpy.log(high))))


CHARGE = {"K": 1, "Na": 1, "Ca": 2, "Mg": 2, "NH4": 1, "Cl": -1, "SO4": -2, "NO3": -1,
          "PO4": -1, "acetate": -1, "lactate": -1}


def random_totals(generator):
    """Totals [mmol/kg] whose strong charges balance to within a base or acid
    of at most 10 mmol/kg, as waters of a bed do."""
    chance = {"K": .8, "Na": .6, "Ca": .8, "Mg": .6, "NH4": .5, "Cl": .8, "SO4": .6,
              "acetate": .4, "NO3": .4, "PO4": .25, "lactate": .2}
    top = {"NH4": 20.0, "PO4": 5.0, "lactate": 10.0, "acetate": 20.0}
    totals = {n: some(generator, c, 0.02, top.get(n, 25.0)) for n, c in chance.items()}
    wanted = some(generator, 0.8, 0.01, 10.0) * (1 if generator.random() < 0.75 else -1)
    net = sum(CHARGE[n] * mmol for n, mmol in totals.items())
    if net > wanted:
        totals["Cl"] += net - wanted
    else:
        totals["K"] += wanted - net
    return totals


def random_solutions(seed, count):
    """Random solutions: a third each without solid, with calcite, and with
    portlandite or calcite in a limited amount."""
    generator = numpy.random.default_rng(seed)
    problems = []
    for number in range(count):
        problem = {"name": f"random {number}", "water_kg": 1.0,
                   "temperature_celsius": float(generator.uniform(2, 40)),
                   "totals": random_totals(generator), "solids": {}}
        if generator.random() < 0.65:
            problem["co2_atm"] = float(numpy.exp(generator.uniform(
                numpy.log(0.0004), numpy.log(0.2))))
        else:
            problem["totals"]["carbonate"] = some(generator, 0.9, 0.05, 20.0)
        kind = number % 3
        if kind == 1:
            problem["solids"]["calcite"] = 10.0
        elif kind == 2 and "co2_atm" not in problem and generator.random() < 0.7:
            problem["solids"]["portlandite"] = some(generator, 0.9, 1e-4, 1.0)
            if generator.random() < 0.5:
                problem["solids"]["calcite"] = 0.0
        elif kind == 2:
            problem["solids"]["calcite"] = some(generator, 0.7, 1e-5, 1e-2)
        problems.append(problem)
    return problems


def random_mixes(seed, count):
    """Random beddings with their water, salts, carbon dioxide and lime."""
    generator = numpy.random.default_rng([seed, 2])
    problems = []
    for number in range(count):
        keys = generator.choice(list(SITES), size=int(generator.integers(1, 4)), replace=False)
        materials = []
        capacity, charge = numpy.zeros(8), 0.0
        for key in map(str, keys):
            dry_kg = float(generator.uniform(0.2, 5.0))
            ph = float(generator.uniform(*PH_AS_RECEIVED[key]))
            q = numpy.array(SITES[key]) / 100 * dry_kg
            capacity += q
            charge += float(numpy.sum(q / (1 + 10.0 ** (numpy.arange(3, 11) - ph))))
            materials.append((key, dry_kg, ph))
        dry = sum(m[1] for m in materials)
        problem = {"name": f"mix {number}", "materials": materials,
                   "temperature_celsius": float(generator.uniform(2, 40)),
                   "water_kg": dry * float(generator.uniform(1.5, 4.0)),
                   "totals": random_totals(generator), "solids": {},
                   "sites": ([float(q) for q in capacity], charge)}
        if generator.random() < 0.8:
            problem["co2_atm"] = float(numpy.exp(generator.uniform(
                numpy.log(0.0004), numpy.log(0.2))))
        else:
            problem["totals"]["carbonate"] = some(generator, 0.9, 0.05, 20.0)
        if generator.random() < 0.7:
            problem["solids"]["calcite"] = float(10 ** generator.uniform(-3, 0.3)) * dry
        problems.append(problem)
    return problems
