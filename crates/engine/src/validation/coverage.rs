//! Does the 80 % interval hold the truth eight times in ten? Bins with a
//! hidden truth drawn from the priors are lived through, read with
//! instruments of hidden bias, dosed, and estimated from their log alone.

use super::ValidationError;
use super::scored::side;
use crate::bed::draw::{Chance, in_range_log};
use crate::bed::fill::{self, Conditions, Own};
use crate::bed::possible::PossibleBed;
use crate::bed::product::{Contact, Product, Ranged};
use crate::estimate::{Setup, estimate};
use crate::log::{Applied, BinId, Body, Dose, Entry, EntryId, Measured, Part, Place, Reading};
use crate::measure::Amount;
use crate::quantity::Celsius;
use crate::reading::instrument::Instrument;
use crate::table::Tables;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;

/// One bin lived through; a side is -1 where the truth lay below the 80 %
/// interval, 0 in it, 1 above.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Lived {
    /// Its number.
    pub bin: usize,
    /// Side of the pH at the end.
    pub ph_side: i8,
    /// Side of the buffer at the end.
    pub buffer_side: i8,
    /// Half-width of the pH interval at the end [pH].
    pub half_width: f64,
    /// Half-width the day it was filled [pH].
    pub half_width_at_start: f64,
}

/// What came of all.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Coverage {
    /// Bins lived through.
    pub bins: usize,
    /// Bins whose pH lay in the 80 % interval at the end.
    pub ph_inside: usize,
    /// Bins whose pH lay below it.
    pub ph_below: usize,
    /// Bins whose buffer lay in its 80 % interval at the end.
    pub buffer_inside: usize,
    /// Mean half-width of the pH interval at the end [pH].
    pub mean_half_width: f64,
    /// Mean half-width the day the bins were filled [pH].
    pub mean_half_width_at_start: f64,
}

impl Coverage {
    /// Over these bins.
    #[must_use]
    pub fn over(bins: &[Lived]) -> Self {
        let count = |of: fn(&Lived) -> bool| bins.iter().filter(|b| of(b)).count();
        let mean =
            |of: fn(&Lived) -> f64| bins.iter().map(of).sum::<f64>() / bins.len().max(1) as f64;
        Self {
            bins: bins.len(),
            ph_inside: count(|b| b.ph_side == 0),
            ph_below: count(|b| b.ph_side < 0),
            buffer_inside: count(|b| b.buffer_side == 0),
            mean_half_width: mean(|b| b.half_width),
            mean_half_width_at_start: mean(|b| b.half_width_at_start),
        }
    }

    /// Share of bins whose pH lay in the interval [0 to 1].
    #[must_use]
    pub fn ph_share(&self) -> f64 {
        self.ph_inside as f64 / self.bins.max(1) as f64
    }

    /// Share of bins whose buffer lay in its interval [0 to 1].
    #[must_use]
    pub fn buffer_share(&self) -> f64 {
        self.buffer_inside as f64 / self.bins.max(1) as f64
    }
}

const DAY: i64 = 86_400;
const MATERIALS: [&[&str]; 5] = [
    &["peat_sphagnum_unlimed"],
    &["coir_pith"],
    &["peat_sphagnum_unlimed", "yard_compost_finished"],
    &["coir_pith", "newsprint_shredded"],
    &["peat_sphagnum_limed", "yard_compost_finished"],
];
const LIMES: [&str; 3] = ["limestone_calcitic", "potassium_bicarbonate", "dolomite"];
const PENS: [&str; 3] = ["cheap_pen", "cheap_pen", "two_metal_probe"];

/// One bin with its hidden truth and its log.
struct Hidden<'a> {
    tables: &'a Tables,
    rng: ChaCha8Rng,
    bed: PossibleBed,
    drift_sd: Ranged,
    forgets_days: f64,
    /// pH, and the base that makes it so.
    wandered: (f64, f64),
    instrument: Instrument,
    bias: f64,
    log: Vec<Entry>,
    day: u32,
}

impl<'a> Hidden<'a> {
    fn fill(tables: &'a Tables, mut rng: ChaCha8Rng) -> Result<Self, ValidationError> {
        let mix = MATERIALS[rng.random_range(0..MATERIALS.len())];
        let mut parts = Vec::new();
        for key in mix {
            let litres: u32 = rng.random_range(20..60);
            parts.push(Part::plain(*key, Amount::parse(&format!("{litres} L"))?));
        }
        let conditions = Conditions::usual(tables, Celsius(20.0))?;
        let ready = fill::ready(tables, &parts, &Own::new())?;
        let (mut bed, _) = fill::draw(&mut rng, &ready, &conditions);
        let n = |property: &str| Ranged::of(tables, "bed", "bed", property);
        fill::astray(&mut rng, &mut bed, &conditions);
        let pen = PENS[rng.random_range(0..PENS.len())];
        let instrument = Instrument::from_tables(tables, pen)?;
        let bias = instrument.systematic_sd() * rng.normal();
        let drift = n("drift_ph_per_root_day")?;
        let drift_sd = Ranged::exactly(in_range_log(&mut rng, drift.value, drift.low, drift.high));
        let mut hidden = Self {
            tables,
            rng,
            bed,
            drift_sd,
            forgets_days: tables.value("estimate", "ph", "forgets_days")?,
            wandered: (0.0, 0.0),
            instrument,
            bias,
            log: Vec::new(),
            day: 0,
        };
        hidden.write(Body::Filled { parts });
        Ok(hidden)
    }

    fn write(&mut self, body: Body) {
        let at = i64::from(self.day) * DAY;
        self.log.push(Entry {
            id: EntryId(self.log.len() as i64 + 1),
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".to_owned(),
            written_unix_seconds: at,
            body,
        });
    }

    fn live_to(&mut self, day: u32) {
        while self.day < day {
            self.wandered.0 = self.wandered.0 * (-1.0 / self.forgets_days).exp()
                + self.drift_sd.value * self.rng.normal();
            let bed = &mut self.bed;
            let own = bed.base - self.wandered.1;
            bed.set_ph(bed.ph_with(-self.wandered.1) + self.wandered.0);
            self.wandered.1 = bed.base - own;
            bed.advance(1.0);
            self.day += 1;
        }
    }

    fn read(&mut self) {
        let spots = self.rng.random_range(1..=4);
        let sd = self
            .instrument
            .expected
            .spot_sd
            .hypot(self.instrument.noise_sd);
        let met = self.bed.ph_met() - self.instrument.offset + self.bias;
        let step = self.instrument.resolution;
        let shown: Vec<f64> = (0..spots)
            .map(|_| ((met + sd * self.rng.normal()) / step).round() * step)
            .collect();
        self.write(Body::Reading(Reading {
            what: Measured::Ph,
            spots: shown,
            instrument: self.instrument.key.clone(),
            place: Place::Spread,
            text: String::new(),
            confirmed: true,
        }));
    }

    fn dose(&mut self) -> Result<(), ValidationError> {
        let material = LIMES[self.rng.random_range(0..LIMES.len())];
        let grams: u32 = self.rng.random_range(20..90);
        let how = if self.rng.random::<bool>() {
            Applied::MixedIn
        } else {
            Applied::OnTop
        };
        let product = Product::from_tables(self.tables, material, &BTreeMap::new())?;
        let lot = product.draw(&mut self.rng);
        let n = |property: &str| Ranged::of(self.tables, "constants", "dose", property);
        let contact = Contact {
            how,
            touched_share: n("contacted_share_poured")?
                .draw_log(&mut self.rng)
                .min(1.0),
            tau_days: n("mixing_days")?.draw_log(&mut self.rng),
            steep_litres: 4.0,
        };
        lot.give(&mut self.bed, f64::from(grams), &contact);
        self.write(Body::Dose(Dose {
            material: material.to_owned(),
            amount: Amount::parse(&format!("{grams} g"))?,
            how,
        }));
        Ok(())
    }
}

/// Bins behind the page.
pub const BINS: usize = 300;
/// Members of each estimate.
pub const MEMBERS: usize = 100;
/// Seed of the bins behind the page.
pub const SEED: u64 = 1;

/// Lives through bin number `bin` of `seed` for sixty days.
///
/// # Errors
/// [`ValidationError`] when a number is missing.
pub fn live(tables: &Tables, bin: usize, seed: u64) -> Result<Lived, ValidationError> {
    let own = Own::new();
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    rng.set_stream(bin as u64);
    let mut hidden = Hidden::fill(tables, rng)?;
    for visit in 1..=6 {
        hidden.live_to(9 * visit);
        hidden.read();
        if hidden.rng.random_range(0..3) == 0 {
            hidden.dose()?;
        }
    }
    hidden.live_to(60);
    let setup = Setup {
        tables,
        own: &own,
        temperature: Celsius(20.0),
        now: 60 * DAY,
        seed: seed.wrapping_mul(31).wrapping_add(bin as u64),
        members: MEMBERS,
        bin: None,
        air: None,
    };
    let e = estimate(&setup, &hidden.log)?;
    // As it was believed then, not as it is seen from today.
    let start = estimate(&Setup { now: 0, ..setup }, &hidden.log)?;
    let truth = hidden.bed.ph();
    let buffer = 1000.0 * hidden.bed.buffer_at(truth);
    Ok(Lived {
        bin,
        ph_side: side(truth, &e.ph),
        buffer_side: side(buffer, &e.buffer_meq_per_ph),
        half_width: e.ph.half_width(),
        half_width_at_start: start.ph.half_width(),
    })
}
