//! One material: how much would do it, how fast it acts, and what else it does.

use crate::advice::{PLAIN, Speak};
use crate::bed::draw::Chance;
use crate::bed::fill::{self, Conditions, ReadyPart};
use crate::bed::possible::PossibleBed;
use crate::bed::product::{Action, Contact, Lot, Ranged};
use crate::bed::soak::MIXED;
use crate::dose::answer::{Asked as Ask, Direction, ShedProduct, band, high};
use crate::dose::consequence::{Rules, ammonia_factor};
use crate::estimate::Ensemble;
use crate::measure::{Packing, describe_grams};
use crate::quantity::Band;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// Days at which the share acted is shown.
pub const SHOWN_DAYS: [f64; 6] = [1.0, 3.0, 7.0, 14.0, 28.0, 56.0];
/// Days of the pH path shown.
const PATH_DAYS: u32 = 56;

/// One possible lot of a material for each member.
#[derive(Debug, Clone)]
pub struct Lots {
    lots: Vec<Lot>,
    /// Sour bedding: one gram of it as a bed, for each member.
    sour: Option<Vec<PossibleBed>>,
}

/// One material as an option.
#[derive(Debug, Clone)]
pub struct Choice {
    /// Material key.
    pub material: String,
    /// Its name.
    pub name: String,
    /// Grams that bring the bed to the target, all steps together [g].
    pub grams: Band,
    /// The median in household measures.
    pub measure: String,
    /// Grams of the first step [g].
    pub step_grams: f64,
    /// That step in household measures.
    pub step_measure: String,
    /// What holds the step to this size.
    pub step_limit: StepLimit,
    /// Share of a step's base that has acted by each of [`SHOWN_DAYS`].
    pub acted: Vec<(f64, Band)>,
    /// pH path after the first step: (day, band).
    pub path: Vec<(f64, Band)>,
    /// Most the first step raises salt in the pore water [mS/cm].
    pub ec_rise: Band,
    /// By how much the gas share of any ammonia grows in the end [times].
    pub ammonia_factor: Band,
    /// Cautions in plain words.
    pub cautions: Vec<String>,
    /// The shed holds enough; `None` when not known.
    pub enough: Option<bool>,
    /// How much trouble it is, for ordering: caution, slowness, shortage [-].
    pub trouble: f64,
    pub(crate) lots: Lots,
    pub(crate) action: Action,
    pub(crate) shed: ShedProduct,
}

/// What holds a step to its size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepLimit {
    /// Nothing: the whole need.
    WholeNeed,
    /// The pH step worms stand.
    PhStep,
    /// The ceiling no bed should pass.
    Ceiling,
    /// Salt.
    Salt,
    /// What there is in the shed.
    Available,
    /// The heat of slaking.
    Slaking,
}

impl StepLimit {
    /// In plain words.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::WholeNeed => "all that is still needed",
            Self::PhStep => "no more than half a pH unit at a time with worms in the bed",
            Self::Ceiling => "so that it does not overshoot if the bed is weaker than thought",
            Self::Salt => "so that the salt does not jump",
            Self::Available => "all you have",
            Self::Slaking => "so that slaking does not heat the bedding too far",
        }
    }
}

impl Lots {
    fn draw(ask: &Ask<'_>, shed: &ShedProduct) -> Self {
        let lots = shed
            .product
            .lots(ask.seed, ask.estimate.ensemble.members.len());
        let mut rng = ChaCha8Rng::seed_from_u64(!shed.product.seed(ask.seed));
        let sour = (shed.product.action == Action::SourBedding)
            .then(|| sour_beds(ask, shed, &mut rng))
            .flatten();
        Self { lots, sour }
    }

    /// Base that `grams` bring to member `i` at `ph` [mol_c].
    pub(crate) fn base(&self, i: usize, grams: f64, ph: f64) -> f64 {
        match &self.sour {
            Some(beds) => -beds[i].base_to_reach(ph) * grams / SOUR_LOT_GRAMS,
            None => self.lots[i].base(grams, &MIXED),
        }
    }

    /// Gives `grams` to a bed.
    pub(crate) fn give(&self, i: usize, bed: &mut PossibleBed, grams: f64, contact: &Contact) {
        match &self.sour {
            Some(beds) => {
                bed.join(beds[i].clone().scaled(grams / SOUR_LOT_GRAMS));
            }
            None => self.lots[i].give(bed, grams, contact),
        }
    }
}

/// Size of the lot of sour bedding that is drawn and scaled [g].
const SOUR_LOT_GRAMS: f64 = 1000.0;

fn sour_beds(ask: &Ask<'_>, shed: &ShedProduct, rng: &mut dyn Chance) -> Option<Vec<PossibleBed>> {
    let bed = &ask.estimate.ensemble.members.first()?.bed;
    let conditions = Conditions::usual(ask.tables, bed.temperature).ok()?;
    let sites = ask.tables.sites(&shed.material.key).ok()?;
    let of = Ranged::exactly;
    let packing = Packing::of(&shed.material, ask.tables).ok()?;
    let part = ReadyPart {
        name: shed.material.name.clone(),
        material: Some(shed.material.clone()),
        maybe: None,
        grams: of(SOUR_LOT_GRAMS),
        litres: of(1.0),
        by_volume: false,
        dry_per_litre: of(1000.0 / packing.wetted(0.0)),
        packing,
        ph: None,
        moisture_percent: None,
        sites: sites.capacity_cmol_kg,
        charge: fill::charge_of(&sites.capacity_cmol_kg),
        gsd: sites.gsd,
        reagent: None,
    };
    let parts = [part];
    let members = &ask.estimate.ensemble.members;
    Some(
        members
            .iter()
            .map(|_| fill::draw(rng, &parts, &conditions).0)
            .collect(),
    )
}

/// An amount of a material in household measures.
pub(crate) fn measure(ask: &Ask<'_>, shed: &ShedProduct, grams: f64) -> String {
    describe_grams(grams, &shed.material, ask.tables, ask.system)
        .map_or_else(|_| "none".to_owned(), |h| h.text)
}

/// pH of member `i` once everything given so far, and `grams` more, has acted.
pub(crate) fn eventual(
    lots: &Lots,
    i: usize,
    bed: &PossibleBed,
    grams: f64,
    action: Action,
) -> f64 {
    let base = lots.base(i, grams, bed.ph());
    if lots.sour.is_some() {
        let mut mixed = bed.clone();
        lots.give(i, &mut mixed, grams, &MIXED);
        return mixed.ph_when_all_has_acted();
    }
    if action == Action::Ground {
        bed.ph_to_come_with(0.0, base)
    } else {
        bed.ph_to_come_with(base, 0.0)
    }
}

/// Grams member `i` needs to come to `target`, from all that is in it already [g].
pub(crate) fn grams_needed(
    lots: &Lots,
    i: usize,
    bed: &PossibleBed,
    target: f64,
    rules: &Rules,
) -> f64 {
    let need = bed.base_still_needed(target);
    let per_gram = lots.base(i, 1.0, target);
    if per_gram.abs() < 1e-12 || need * per_gram <= 0.0 {
        return 0.0;
    }
    (need / per_gram).min(rules.most_grams_per_kg * bed.dry_kg.max(0.01))
}

/// Whether an amount [g] keeps within a limit.
type Holds<'a> = Box<dyn Fn(f64) -> bool + 'a>;

/// The largest first step that worms stand, and what holds it.
pub(crate) fn largest_step(
    ask: &Ask<'_>,
    ensemble: &Ensemble,
    choice_lots: &Lots,
    shed: &ShedProduct,
    whole: f64,
) -> (f64, StepLimit) {
    let action = shed.product.action;
    let (mut grams, mut limit) = (whole, StepLimit::WholeNeed);
    if let Some(have) = shed.available_grams.filter(|have| *have < grams) {
        (grams, limit) = (have, StepLimit::Available);
    }
    let moved = |i: usize, m: &crate::estimate::Possible, g: f64| {
        let before = m.bed.ph_when_all_has_acted();
        (eventual(choice_lots, i, &m.bed, g, action) - before).abs()
    };
    let rules = &ask.rules;
    let mut checks: Vec<(StepLimit, Holds<'_>)> = Vec::new();
    if ask.stocked {
        checks.push((
            StepLimit::PhStep,
            Box::new(|g| high(ensemble, |i, m| moved(i, m, g)) <= rules.step_ph),
        ));
        checks.push((
            StepLimit::Salt,
            Box::new(|g| {
                high(ensemble, |i, m| {
                    let base = choice_lots.base(i, g, m.bed.ph());
                    rules.ec_rise(&shed.product, &m.bed, base)
                }) <= rules.step_ec
            }),
        ));
    }
    if shed.product.slaking_kj_per_mol_c > 0.0 {
        checks.push((
            StepLimit::Slaking,
            Box::new(|g| {
                high(ensemble, |i, m| {
                    let base = choice_lots.base(i, g, m.bed.ph());
                    rules.slaking_rise(&shed.product, &m.bed, base)
                }) <= rules.step_slaking_kelvin
            }),
        ));
    }
    if action.raises() {
        let ceiling = rules.ceiling(ask.stocked);
        checks.push((
            StepLimit::Ceiling,
            Box::new(move |g| {
                high(ensemble, |i, m| eventual(choice_lots, i, &m.bed, g, action)) <= ceiling
            }),
        ));
    }
    for (name, holds) in &checks {
        if !holds(grams) {
            grams = bisect(grams, holds.as_ref());
            limit = *name;
        }
    }
    (grams, limit)
}

/// Largest amount up to `most` for which `holds`, which fails from some amount on.
fn bisect(most: f64, holds: &dyn Fn(f64) -> bool) -> f64 {
    let (mut low, mut high) = (0.0, most);
    for _ in 0..18 {
        let middle = f64::midpoint(low, high);
        if holds(middle) {
            low = middle
        } else {
            high = middle
        }
    }
    low
}

/// Works out one material as an option.
pub(crate) fn choice(
    ask: &Ask<'_>,
    shed: &ShedProduct,
    _direction: Direction,
    target: f64,
) -> Choice {
    let ensemble = &ask.estimate.ensemble;
    let lots = Lots::draw(ask, shed);
    let action = shed.product.action;
    let grams = band(ensemble, |i, m| {
        grams_needed(&lots, i, &m.bed, target, &ask.rules)
    });
    let (step_grams, step_limit) = largest_step(ask, ensemble, &lots, shed, grams.median);
    let say = |g: f64| measure(ask, shed, g);
    let mut beds: Vec<PossibleBed> = ensemble.members.iter().map(|m| m.bed.clone()).collect();
    for (i, bed) in beds.iter_mut().enumerate() {
        lots.give(i, bed, step_grams, &MIXED);
    }
    let (path, acted) = follow(&mut beds, ensemble, &lots, step_grams);
    let enough = shed.available_grams.map(|have| have >= grams.median);
    let mut choice = Choice {
        material: shed.product.key.clone(),
        name: shed.product.name.clone(),
        measure: say(grams.median),
        step_measure: say(step_grams),
        ec_rise: band(ensemble, |i, m| {
            let base = lots.base(i, step_grams, m.bed.ph());
            ask.rules.ec_rise(&shed.product, &m.bed, base)
        }),
        ammonia_factor: band(ensemble, |i, m| {
            let after = eventual(&lots, i, &m.bed, step_grams, action);
            ammonia_factor(&m.bed, m.bed.ph(), after)
        }),
        cautions: slaking_caution(ask, shed, &lots, step_grams)
            .into_iter()
            .chain(cautions(shed, action))
            .collect(),
        grams,
        step_grams,
        step_limit,
        acted,
        path,
        enough,
        trouble: 0.0,
        lots,
        action,
        shed: shed.clone(),
    };
    choice.trouble = trouble(&choice);
    choice
}

/// What to mind with a material given to a bed. Sour bedding given to bring an
/// over-limed bed down is wanted sour: what its row says of liming it first,
/// for bedding worms move into, is left out.
fn cautions(shed: &ShedProduct, action: Action) -> Vec<String> {
    let of_liming = |c: &&String| action == Action::SourBedding && c.starts_with("acid: lime");
    shed.material
        .cautions
        .iter()
        .filter(|c| !of_liming(c))
        .cloned()
        .collect()
}

/// What to mind with a lime that slakes: how hot this step makes the bedding,
/// and the usual care.
fn slaking_caution(ask: &Ask<'_>, shed: &ShedProduct, lots: &Lots, grams: f64) -> Option<String> {
    if shed.product.slaking_kj_per_mol_c <= 0.0 {
        return None;
    }
    let rise = band(&ask.estimate.ensemble, |i, m| {
        let base = lots.base(i, grams, m.bed.ph());
        ask.rules.slaking_rise(&shed.product, &m.bed, base)
    });
    let speak = Speak {
        system: ask.system,
        ..PLAIN
    };
    Some(format!(
        "It slakes as it meets water: this step warms the bedding by up to {} {} if it is mixed through at once, and boils and spits where it lies in a lump. Goggles, long sleeves and gloves; no children or pets near; sprinkle it thinly over moist bedding, never water over a heap of it. Its label comes before this. Let it cool and wait two weeks before any worms",
        speak.kelvin(rise.high),
        speak.degree()
    ))
}

type Followed = (Vec<(f64, Band)>, Vec<(f64, Band)>);

/// Carries the dosed beds forward day by day: pH path and share acted. What
/// was pending before is carried alongside without the dose and taken off.
fn follow(beds: &mut [PossibleBed], ensemble: &Ensemble, lots: &Lots, grams: f64) -> Followed {
    let given: Vec<f64> = beds
        .iter()
        .enumerate()
        .map(|(i, b)| lots.base(i, grams, b.ph()).abs().max(1e-12))
        .collect();
    let mut without: Vec<PossibleBed> = ensemble.members.iter().map(|m| m.bed.clone()).collect();
    let mut path = vec![(0.0, weighted(beds, ensemble, |_, b| b.ph()))];
    let mut acted = Vec::new();
    for day in 1..=PATH_DAYS {
        for bed in beds.iter_mut().chain(without.iter_mut()) {
            bed.advance(1.0);
        }
        let now = f64::from(day);
        path.push((now, weighted(beds, ensemble, |_, b| b.ph())));
        if SHOWN_DAYS.contains(&now) {
            let share = weighted(beds, ensemble, |i, b| {
                let left = b.pending() - without[i].pending();
                (1.0 - left / given[i]).clamp(0.0, 1.0)
            });
            acted.push((now, share));
        }
    }
    (path, acted)
}

fn weighted(beds: &[PossibleBed], e: &Ensemble, f: impl Fn(usize, &PossibleBed) -> f64) -> Band {
    let values: Vec<f64> = beds.iter().enumerate().map(|(i, b)| f(i, b)).collect();
    Band::weighted(&values, &e.weights).unwrap_or(Band {
        median: 0.0,
        low: 0.0,
        high: 0.0,
    })
}

/// Ordering: caution first, then slowness, then shortage.
fn trouble(c: &Choice) -> f64 {
    let caution = match c.action {
        Action::Ground | Action::SourBedding => 0.0,
        Action::Soluble => 1.0,
        Action::Ash => 4.0,
        Action::Caustic | Action::Sulphur => 5.0,
        Action::Passing | Action::Inert => 9.0,
    };
    let sodium = if c.shed.product.sodium { 2.0 } else { 0.0 };
    let acted = c
        .acted
        .iter()
        .find(|(d, _)| *d >= 14.0)
        .map_or(0.0, |(_, b)| b.median);
    let shortage = if c.enough == Some(false) { 2.0 } else { 0.0 };
    caution + sodium + 3.0 * (1.0 - acted) + shortage
}
