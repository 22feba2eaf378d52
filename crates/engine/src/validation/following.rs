//! Do the 80 % intervals of the living bin hold the truth eight times in ten?
//! Bins whose nature, worms and room are hidden are lived through for eight
//! weeks, fed and looked at once or twice a week, mostly in words, and
//! estimated from their log alone.

use super::ValidationError;
use super::scored::{Case, Followed};
use crate::bed::draw::{Block, Chance, Tape};
use crate::bed::fill::{Conditions, Own, ready};
use crate::bed::product::Ranged;
use crate::estimate::ensemble::Possible;
use crate::estimate::live;
use crate::estimate::scene::Scene;
use crate::estimate::track::Track;
use crate::living::observe::{Question, Sayings};
use crate::living::room::Day;
use crate::living::signs::Signs;
use crate::living::step::STEP_DAYS;
use crate::log::{BinId, Body, Entry, EntryId, Measured, Part, Place, Reading, Word};
use crate::measure::Amount;
use crate::quantity::Celsius;
use crate::reading::instrument::Instrument;
use crate::table::Tables;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// The figures followed.
pub const FOLLOWED: [Track; 5] = [
    Track::Ph,
    Track::Moisture,
    Track::Core,
    Track::WormKg,
    Track::Castings,
];
/// When they are held against the truth [d].
pub const WEEKS: [u32; 3] = [2, 4, 8];

const DAY: i64 = 86_400;
const BEDS: [&[(&str, u32)]; 5] = [
    &[
        ("coir_pith", 20),
        ("cardboard_corrugated", 20),
        ("water", 2),
    ],
    &[
        ("newsprint_shredded", 30),
        ("yard_compost_finished", 8),
        ("water", 6),
    ],
    &[
        ("peat_sphagnum_limed", 20),
        ("yard_compost_finished", 20),
        ("water", 3),
    ],
    &[
        ("cardboard_corrugated", 40),
        ("leaf_mould", 8),
        ("water", 6),
    ],
    &[("coir_pith", 25), ("horse_manure_aged", 10), ("water", 2)],
];
const FEEDS: [&str; 4] = [
    "kitchen_scraps_veg",
    "fruit_scraps_mixed",
    "coffee_grounds",
    "veg_waste_nonlegume",
];

/// One bin with its hidden truth and its log.
struct Hidden<'a> {
    tables: &'a Tables,
    sayings: &'a Sayings,
    rng: ChaCha8Rng,
    scene: Scene,
    truth: Possible,
    pen: Instrument,
    pen_bias: f64,
    thermometer_bias: Option<f64>,
    log: Vec<Entry>,
    day: f64,
}

fn part(material: &str, amount: &str) -> Result<Part, ValidationError> {
    Ok(Part::plain(material, Amount::parse(amount)?))
}

fn usual_day() -> Day {
    Day::around(19.0, 4.0)
}

impl<'a> Hidden<'a> {
    fn fill(
        tables: &'a Tables,
        sayings: &'a Sayings,
        seed: u64,
        stream: u64,
    ) -> Result<Self, ValidationError> {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(stream);
        let bed = BEDS[rng.random_range(0..BEDS.len())];
        let parts = bed
            .iter()
            .map(|(key, litres)| part(key, &format!("{litres} L")))
            .collect::<Result<Vec<Part>, _>>()?;
        let scene = Scene::of(tables, None, usual_day(), &[], 0)?;
        let conditions = Conditions::usual(tables, Celsius(20.0))?;
        let drawn = ready(tables, &parts, &Own::new())?;
        let drift = Ranged::of(tables, "bed", "bed", "drift_ph_per_root_day")?;
        let tape = Tape::new(seed ^ 0x5eed ^ (stream << 20), 0);
        let givens = (&scene, &drift, sayings.keepers());
        let truth = live::fill_member(tape, &drawn, &conditions, givens);
        let pen = Instrument::from_tables(tables, "cheap_pen")?;
        let pen_bias = pen.systematic_sd() * rng.normal();
        let mut hidden = Self {
            tables,
            sayings,
            rng,
            scene,
            truth,
            pen,
            pen_bias,
            thermometer_bias: None,
            log: Vec::new(),
            day: 0.0,
        };
        hidden.write(Body::Filled { parts });
        Ok(hidden)
    }

    fn signs(&self) -> Signs {
        self.truth.signs(&self.scene)
    }

    fn write(&mut self, body: Body) {
        let at = (self.day * DAY as f64) as i64;
        self.log.push(Entry {
            id: EntryId(self.log.len() as i64 + 1),
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".to_owned(),
            written_unix_seconds: at,
            body,
        });
    }

    /// Lives to a day, in steps of a day as the estimate does.
    fn live_to(&mut self, day: f64) {
        while self.day < day {
            let next = (self.day.floor() + 1.0).min(day);
            let days = next - self.day;
            let steps = (days / STEP_DAYS).ceil().max(1.0) as u32;
            let airs = self.scene.airs(self.day, days, steps);
            self.truth.live_on(&self.scene, (self.day, days), &airs);
            self.day = next;
        }
    }

    /// Does something to the bin that the entry written next tells of.
    fn happen(&mut self, act: impl FnOnce(&mut Possible, &mut Tape, &Scene)) {
        let block = Block::Entry(self.log.len() as i64 + 1);
        let scene = &self.scene;
        self.truth.by_chance(block, |m, g| act(m, g, scene));
    }

    fn stock(&mut self) {
        let grams = f64::from(self.rng.random_range(15..60_u32)) * 10.0;
        self.happen(|m, g, scene| live::stock(m, g, Some(grams), None, scene));
        self.write(Body::WormsIn {
            grams: Some(grams),
            count: None,
            species: String::new(),
        });
    }

    fn feed(&mut self) -> Result<(), ValidationError> {
        let key = FEEDS[self.rng.random_range(0..FEEDS.len())];
        let cups = self.rng.random_range(1..=4_u32);
        let parts = vec![part(key, &format!("{cups} cups"))?];
        let drawn = ready(self.tables, &parts, &Own::new())?;
        self.happen(|m, g, scene| live::feed(m, g, &drawn, scene));
        self.write(Body::Feeding { parts });
        Ok(())
    }

    /// Says what is there, as keepers do: some questions, each answered with
    /// the chances of the observation model.
    fn look(&mut self) {
        const ASKED: [Question; 5] = [
            Question::Squeeze,
            Question::Food,
            Question::Place,
            Question::Condition,
            Question::Sour,
        ];
        let signs = self.signs();
        let mut words: Vec<Word> = Vec::new();
        for question in ASKED {
            if self.rng.random::<f64>() < 0.5 {
                words.extend(self.answer(question, &signs, false));
            }
        }
        if words.is_empty() {
            return;
        }
        // Strong things are told of now and then without being asked.
        let told = words.clone();
        for question in Question::STRONG {
            let open = !told.iter().any(|w| question.is_of(*w));
            let volunteers = self.sayings.volunteers(question, &told);
            if open && self.rng.random::<f64>() < volunteers {
                words.extend(self.answer(question, &signs, true));
            }
        }
        self.write(Body::Observation {
            words,
            text: "".into(),
        });
    }

    /// An answer with the chances of the observation model; only a strong one
    /// when nobody asked.
    fn answer(&mut self, question: Question, signs: &Signs, strong: bool) -> Option<Word> {
        let keeper = &self.truth.keeper;
        let answers = self.sayings.answers_by(question, signs, keeper);
        let mut left = self.rng.random::<f64>();
        let said = answers.probabilities().iter().position(|chance| {
            left -= chance;
            left < 0.0
        })?;
        if strong && !question.is_strong(said) {
            return None;
        }
        question.word(said)
    }

    fn measure(&mut self) {
        if self.rng.random::<f64>() < 0.3 {
            let reading = |value: f64| Reading {
                what: Measured::BeddingCelsius,
                spots: vec![value],
                instrument: "own".into(),
                place: Place::Middle,
                text: String::new(),
                confirmed: true,
            };
            let signs = self.signs();
            if let Some(gauge) = self.sayings.gauge(&reading(20.0)) {
                let bias = match self.thermometer_bias {
                    Some(bias) => bias,
                    None => gauge.bias_sd() * self.rng.normal(),
                };
                self.thermometer_bias = Some(bias);
                let shown = gauge.expected(&signs) + bias + gauge.scatter() * self.rng.normal();
                self.write(Body::Reading(reading((shown * 2.0).round() / 2.0)));
            }
        }
        if self.rng.random::<f64>() < 0.25 {
            let met = self.truth.bed.ph_met() - self.pen.offset + self.pen_bias;
            let sd = self.pen.expected.spot_sd.hypot(self.pen.noise_sd);
            let spots = (0..2)
                .map(|_| ((met + sd * self.rng.normal()) * 10.0).round() / 10.0)
                .collect();
            self.write(Body::Reading(Reading {
                what: Measured::Ph,
                spots,
                instrument: self.pen.key.clone(),
                place: Place::Spread,
                text: String::new(),
                confirmed: true,
            }));
        }
    }

    /// So long as `weeks` say; gives the truth at each.
    fn live(&mut self, weeks: &[u32]) -> Result<Vec<Signs>, ValidationError> {
        let mut truth = Vec::new();
        for week in 0..weeks.iter().copied().max().unwrap_or(0) {
            let start = f64::from(7 * week);
            if week == 0 {
                self.live_to(3.0);
                self.stock();
            }
            self.live_to(start + 4.0);
            self.feed()?;
            if self.rng.random::<f64>() < 0.5 {
                self.live_to(start + 5.5);
                self.look();
            }
            self.live_to(start + 6.5);
            self.look();
            self.measure();
            self.live_to(start + 7.0);
            if weeks.contains(&(week + 1)) {
                truth.push(self.signs());
            }
        }
        Ok(truth)
    }
}

/// Bins followed.
pub const BINS: usize = 300;
/// Members of each estimate.
pub const MEMBERS: usize = 64;
/// Seed of the bins and of the estimates.
pub const SEED: u64 = 97;

/// Lives through one bin.
///
/// # Errors
/// [`ValidationError`] when a number is missing.
pub fn follow(
    tables: &Tables,
    bin: usize,
    members: usize,
    seed: u64,
    weeks: &[u32],
) -> Result<Followed, ValidationError> {
    let sayings = Sayings::load(tables)?;
    let mut hidden = Hidden::fill(tables, &sayings, seed, bin as u64)?;
    let truth = hidden.live(weeks)?;
    let figures = |signs: &Signs| FOLLOWED.map(|track| track.of(signs)).to_vec();
    Case {
        number: bin,
        log: &hidden.log,
        bin: None,
        air: usual_day(),
        temperature: Celsius(20.0),
        figures: &FOLLOWED,
        weeks,
        truth: &truth.iter().map(figures).collect::<Vec<_>>(),
        members,
        seed: seed.wrapping_mul(31).wrapping_add(bin as u64),
        as_shown: false,
    }
    .judged(tables)
}
