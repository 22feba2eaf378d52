//! Worms by weekly classes: cocoons, young, and grown ones, moved on each week by
//! a matrix of the week's warmth and food. A week's worst mean kills those whose
//! tolerance, spread log-normally, it passes.

use super::chance::{Book, Chance};
use crate::table::TableError;

/// Classes of cocoons and of young.
const COCOONS: usize = 3;
const YOUNG: usize = 7;
/// Days in a week.
const WEEK: f64 = 7.0;
/// Mass of the young by class when well fed, of that of the grown [-].
const YOUNG_MASS: [f64; YOUNG] = [0.012, 0.04, 0.1, 0.2, 0.35, 0.55, 0.8];
/// The troubles, by their rows in the table.
const TROUBLES: [&str; 8] = [
    "heat", "cold", "dryness", "flood", "acid", "low_ph", "high_ph", "salt",
];

/// What worms live through in a day.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Lived {
    /// Warmth [°C].
    pub(super) celsius: f64,
    /// Moisture of the wetter layer, of manure that feels as wet [% of wet mass].
    pub(super) moisture: f64,
    /// Saturation of the upper layer [-].
    pub(super) saturation: f64,
    /// Whole acid [mmol/kg water].
    pub(super) acid: f64,
    /// pH.
    pub(super) ph: f64,
    /// Conductivity of the water in the bed [mS/cm].
    pub(super) pore_salt: f64,
}

impl Lived {
    /// How much there is of each of [`TROUBLES`], above 0.
    fn troubles(&self) -> [f64; 8] {
        [
            self.celsius,
            20.0 - self.celsius,
            100.0 - self.moisture,
            self.saturation,
            self.acid,
            7.0 - self.ph,
            self.ph - 7.0,
            self.pore_salt,
        ]
        .map(|x| x.max(1e-6))
    }
}

/// Share of a log-normal spread that lies below `z` standard deviations [-].
fn below(z: f64) -> f64 {
    1.0 / (1.0 + (-1.5976 * z - 0.070_56 * z.powi(3)).exp())
}

/// A herd.
#[derive(Debug, Clone)]
pub(super) struct Herd {
    cocoons: [f64; COCOONS],
    young: [f64; YOUNG],
    grown: f64,
    /// Mass of a grown worm when well fed [kg].
    grown_kg: f64,
    /// Mass of all, of that when well fed [-].
    plump: f64,
    lays: f64,
    hatches: f64,
    ripens_weeks: f64,
    grown_live: f64,
    young_live: f64,
    starves: f64,
    best: f64,
    grows_width: f64,
    eats_width: f64,
    eats: f64,
    half_fare: f64,
    gains: f64,
    dry_half: f64,
    week_scatter: f64,
    /// Middle and spread of what kills half, by trouble.
    stands: [(f64, f64); 8],
    summed: [f64; 8],
    warm: f64,
    moist: f64,
    fed: f64,
    eaten: f64,
    days: f64,
    /// How far the worst trouble of the last week was, in standard deviations of
    /// tolerance; -9 before the first [-].
    pub(super) worst: f64,
    /// Died in the last week [worms].
    pub(super) died: f64,
    /// Of what they could eat, how much they ate in the last week [-].
    pub(super) fed_last: f64,
}

impl Herd {
    /// No worms, of a kind drawn for one bin.
    pub(super) fn drawn(book: Book<'_>, c: &mut Chance) -> Result<Self, TableError> {
        let mut stands = [(0.0, 0.0); 8];
        for (stand, trouble) in stands.iter_mut().zip(TROUBLES) {
            *stand = (
                book.draw(trouble, "kills_half", c)?,
                book.plain(trouble, "spread_ln")?,
            );
        }
        let mut n = |property: &str| book.draw("worms", property, c);
        Ok(Self {
            cocoons: [0.0; COCOONS],
            young: [0.0; YOUNG],
            grown: 0.0,
            grown_kg: n("grown_g")? / 1000.0,
            plump: 1.0,
            lays: n("cocoons_per_week")?,
            hatches: n("young_per_cocoon")?,
            ripens_weeks: n("ripens_weeks")?,
            grown_live: n("grown_live_week")?.min(1.0),
            young_live: n("young_live_week")?.min(1.0),
            starves: n("starves_per_week")?,
            best: n("best_celsius")?,
            grows_width: n("grows_width_kelvin")?,
            eats_width: n("eats_width_kelvin")?,
            eats: n("eats_kg_kg_day")?,
            half_fare: n("half_fare_kg_kg")?,
            gains: n("gains_kg_kg")?,
            dry_half: n("dry_half_percent")?,
            week_scatter: n("week_scatter_ln")?,
            stands,
            summed: [0.0; 8],
            warm: 0.0,
            moist: 0.0,
            fed: 0.0,
            eaten: 0.0,
            days: 0.0,
            worst: -9.0,
            died: 0.0,
            fed_last: 0.5,
        })
    }

    /// Worms come: so many, so much [kg], this share of them grown.
    pub(super) fn stock(&mut self, number: f64, kg: f64, grown_share: f64) {
        self.grown += number * grown_share;
        for young in &mut self.young[3..] {
            *young += number * (1.0 - grown_share) / 4.0;
        }
        self.plump = kg / self.full_kg().max(1e-12);
    }

    /// Mass if all were well fed [kg].
    fn full_kg(&self) -> f64 {
        let young: f64 = self.young.iter().zip(YOUNG_MASS).map(|(n, m)| n * m).sum();
        self.grown_kg * (self.grown + young)
    }

    /// Live mass [kg].
    pub(super) fn kg(&self) -> f64 {
        self.plump * self.full_kg()
    }

    /// Number without cocoons.
    pub(super) fn number(&self) -> f64 {
        self.grown + self.young.iter().sum::<f64>()
    }

    /// Mass of a grown one, of that when well fed [-].
    pub(super) fn plump(&self) -> f64 {
        self.plump
    }

    /// How strong they are: 0 at one plumpness, 1 from another on [-].
    fn strong(&self, none: f64, full: f64) -> f64 {
        ((self.plump - none) / (full - none)).clamp(0.0, 1.0)
    }

    fn warmth(&self, celsius: f64, width: f64) -> f64 {
        let narrower = if celsius > self.best { 0.7 } else { 1.0 };
        (-((celsius - self.best) / (width * narrower)).powi(2)).exp()
    }

    fn moistness(&self, moisture: f64) -> f64 {
        1.0 / (1.0 + (-(moisture - self.dry_half) / 3.8).exp())
    }

    /// What they would eat of so much fare [kg dry] in a day, by a saturating law.
    pub(super) fn wants(&mut self, fare_kg: f64, lived: &Lived) -> f64 {
        let kg = self.kg();
        if kg <= 0.0 {
            return 0.0;
        }
        let offered = fare_kg / kg;
        let full = offered / (offered + self.half_fare);
        self.fed += full;
        let most = self.eats * kg * self.warmth(lived.celsius, self.eats_width);
        most * full * self.moistness(lived.moisture)
    }

    /// A day went by in which so much was eaten [kg dry]; at the end of a week the
    /// classes move on. `whole` tells whether the week ends.
    pub(super) fn live_a_day(&mut self, lived: &Lived, eaten: f64, whole: bool, c: &mut Chance) {
        for (sum, x) in self.summed.iter_mut().zip(lived.troubles()) {
            *sum += x;
        }
        self.warm += lived.celsius;
        self.moist += self.moistness(lived.moisture);
        self.eaten += eaten;
        self.days += 1.0;
        if whole {
            self.turn(c);
        }
    }

    fn turn(&mut self, c: &mut Chance) {
        let days = self.days;
        let (warm, moist) = (self.warm / days, self.moist / days);
        let fed = (self.fed / days).clamp(0.0, 1.0);
        let before = self.kg();
        self.move_on(warm, moist, fed, c);
        self.fatten(before, fed, days);
        let living = self.number();
        self.die(fed, days);
        self.died = living - self.number();
        self.fed_last = fed;
        self.summed = [0.0; 8];
        (self.warm, self.moist, self.fed) = (0.0, 0.0, 0.0);
        (self.eaten, self.days) = (0.0, 0.0);
    }

    /// The matrix: of each class so many stay and so many go one on.
    fn move_on(&mut self, warm: f64, moist: f64, fed: f64, c: &mut Chance) {
        let grows = self.warmth(warm, self.grows_width) * moist;
        // Degree days: 483 above 4 °C from cocoon to hatchling.
        let broods = COCOONS as f64 * WEEK * (warm - 4.0).max(0.0) / 483.0;
        let broods = broods.min(0.98);
        let ripens = YOUNG as f64 / self.ripens_weeks * grows * 1.2 * fed / (fed + 0.2);
        let ripens = (ripens * self.strong(0.25, 0.6)).min(0.98);
        let breeds = fed * fed / (fed * fed + 0.16) * 1.16 * self.strong(0.3, 0.8);
        let laid = self.grown * self.lays * grows * breeds * c.factor(self.week_scatter);
        self.grown += self.young[YOUNG - 1] * ripens;
        for i in (0..YOUNG).rev() {
            let comes = if i > 0 {
                self.young[i - 1] * ripens
            } else {
                self.cocoons[COCOONS - 1] * broods * self.hatches
            };
            self.young[i] += comes - self.young[i] * ripens;
        }
        for i in (0..COCOONS).rev() {
            let comes = if i > 0 {
                self.cocoons[i - 1] * broods
            } else {
                laid
            };
            self.cocoons[i] += comes - self.cocoons[i] * broods;
        }
    }

    /// Mass follows food, no faster than what was eaten allows.
    fn fatten(&mut self, before: f64, fed: f64, days: f64) {
        let full = self.full_kg();
        if full <= 0.0 {
            return;
        }
        let towards = 0.35 + 0.8 * fed;
        let nears = 1.0 - (-days / 28.0).exp();
        let plump = self.plump + nears * (towards - self.plump);
        let most = before + self.gains * self.eaten;
        self.plump = plump.min(most / full);
    }

    fn die(&mut self, fed: f64, days: f64) {
        let z = self.summed.iter().zip(self.stands).map(|(sum, stand)| {
            let (half, spread) = stand;
            (sum / days / half).ln() / spread
        });
        self.worst = z.fold(-9.0, f64::max);
        let stood = 1.0 - below(self.worst);
        let thin = 1.0 - self.strong(0.12, 0.4);
        let hunger = (1.0 - fed).powi(4).max(thin) * self.starves;
        let weeks = days / WEEK;
        let grown = stood * self.grown_live.powf(weeks) * (1.0 - 0.3 * hunger);
        let young = stood * self.young_live.powf(weeks) * (1.0 - hunger);
        self.grown *= grown.max(0.0);
        for n in &mut self.young {
            *n *= young.max(0.0);
        }
        // Cocoons stand more: half of what kills worms leaves them alone.
        for n in &mut self.cocoons {
            *n *= 0.5 + 0.5 * stood;
        }
    }

    /// Cocoons there are.
    #[cfg(test)]
    pub(super) fn cocoons(&self) -> f64 {
        self.cocoons.iter().sum()
    }
}
