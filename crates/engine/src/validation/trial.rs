//! Bins run through the living model for the checks: what is put in, what the
//! air is, what the experimenter does besides. Nothing is tuned: a hundred
//! possible bins drawn from the same ranges as a keeper's, one seed.

use super::ValidationError;
use crate::bed::fill::Own;
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::filter::{Along, Estimate, Setup, estimate_along};
use crate::estimate::live::Staged;
use crate::estimate::scene::Scene;
use crate::estimate::timeline::Told;
use crate::living::population::{self, STAGES, Stages};
use crate::living::room::Day;
use crate::living::signs::Signs;
use crate::living::worms::Worms;
use crate::log::{BinDescription, BinId, Body, Entry, EntryId, Lid, Part, Walls};
use crate::measure::Amount;
use crate::quantity::{Band, Celsius};
use crate::table::Tables;
use std::collections::BTreeMap;

const DAY: f64 = 86_400.0;
/// Possible bins of a run.
pub(super) const MEMBERS: usize = 100;
/// Seed of every run.
pub(super) const SEED: u64 = 5;

/// What an experimenter does every so many days besides the log.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Keeping {
    /// Water is given each day up to this moisture [% of wet mass].
    pub(super) moisture: Option<f64>,
    /// That moisture was printed. One that is assumed stays below what the
    /// bedding holds.
    pub(super) printed: bool,
    /// A cover lets air through and no worm.
    pub(super) kept_in: bool,
    /// Cocoons are taken out each day.
    pub(super) no_cocoons: bool,
    /// Young are taken out and counted every so many days [d].
    pub(super) young_out: Option<u32>,
    /// The air told of is that where the vessel stands, as in an incubator, and
    /// what is wetter than told has dried by the next day: the cover lets
    /// vapour through.
    pub(super) as_told: bool,
}

/// A bin to be run.
#[derive(Debug, Clone)]
pub(super) struct Trial {
    pub(super) bin: BinDescription,
    pub(super) parts: Vec<Part>,
    pub(super) own: Own,
    pub(super) air: Vec<Day>,
    pub(super) usual: Day,
    pub(super) days: f64,
    pub(super) happenings: Vec<(f64, Body)>,
    pub(super) staged: Option<(f64, Staged, String)>,
    /// Worms of one mass each put in at once: number, mass [g].
    pub(super) cohort: Option<(f64, f64)>,
    /// Day on which they are put in.
    pub(super) cohort_day: f64,
    pub(super) keeping: Keeping,
}

/// One possible bin at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Look {
    pub(super) signs: Signs,
    /// Temperature of the bed at this instant [°C]; the zones of the signs are
    /// those at the start of the last step.
    pub(super) bed_celsius: f64,
    /// Carbon to nitrogen of all but worms [g/g].
    pub(super) cn: f64,
    /// Dry matter, worms not counted [kg].
    pub(super) dry_kg: f64,
    /// Carbon and nitrogen of all but worms [kg].
    pub(super) carbon_kg: f64,
    pub(super) nitrogen_kg: f64,
    /// Carbon dioxide carbon given off since the start [kg].
    pub(super) carbon_air: f64,
    /// Water drained or taken out since the start [kg].
    pub(super) drained_kg: f64,
    /// Nitrate, as NO3, in dry matter [mg/kg].
    pub(super) nitrate: f64,
    /// Worms dead and gone out since the start.
    pub(super) died: f64,
    pub(super) left: f64,
    /// Young taken out since the start.
    pub(super) young_out: f64,
    /// Dry paper and card left [kg].
    pub(super) paper_kg: f64,
}

/// Many possible bins through time.
pub(super) struct Ran {
    /// Day, and the bins then; the last is the end of the run.
    pub(super) course: Vec<(f64, Vec<Look>)>,
    pub(super) estimate: Estimate,
}

/// A plain amount of a material.
pub(super) fn part(material: &str, amount: &str) -> Result<Part, ValidationError> {
    Ok(Part::plain(material, Amount::parse(amount)?))
}

/// So many kilograms of it, at a moisture [% of wet mass].
pub(super) fn kilos(
    material: &str,
    kg: f64,
    moisture: Option<f64>,
) -> Result<Part, ValidationError> {
    let mut part = part(material, &format!("{} g", 1000.0 * kg))?;
    part.moisture_percent = moisture;
    Ok(part)
}

/// A box of plastic with a vented lid [cm].
pub(super) fn tote(length_cm: f64, width_cm: f64, depth_cm: f64) -> BinDescription {
    BinDescription {
        name: String::new(),
        length_cm,
        width_cm,
        depth_cm,
        bedding_depth_cm: None,
        walls: Walls::Plastic,
        lid: Lid::Vented,
        drains: true,
        place: String::new(),
        retired: false,
    }
}

/// Worms by mass [g] and number.
pub(super) fn worms(grams: Option<f64>, count: Option<f64>, species: &str) -> Body {
    Body::WormsIn {
        grams,
        count,
        species: species.to_owned(),
    }
}

/// Grown worms only.
pub(super) fn adults(number: f64) -> Staged {
    Staged {
        adults: number,
        ..Staged::default()
    }
}

impl Trial {
    /// A bin of `parts` kept `days` at an even temperature.
    pub(super) fn new(bin: BinDescription, parts: Vec<Part>, celsius: f64, days: f64) -> Self {
        Self {
            bin,
            parts,
            own: Own::new(),
            air: Vec::new(),
            usual: Day::around(celsius, 0.0),
            days,
            happenings: Vec::new(),
            staged: None,
            cohort: None,
            cohort_day: 0.0,
            keeping: Keeping::default(),
        }
    }

    /// Something on a day.
    pub(super) fn on(mut self, day: f64, body: Body) -> Self {
        self.happenings.push((day, body));
        self
    }

    /// The same feeding every so many days from a first one.
    pub(super) fn feed(mut self, first: f64, every: f64, parts: &[Part]) -> Self {
        let mut day = first;
        while day < self.days {
            let parts = parts.to_vec();
            self.happenings.push((day, Body::Feeding { parts }));
            day += every;
        }
        self
    }

    fn log(&self) -> (Vec<Entry>, BTreeMap<EntryId, Staged>) {
        let filled = Body::Filled {
            parts: self.parts.clone(),
        };
        let mut all = vec![(0.0, filled, None)];
        all.extend(self.happenings.iter().map(|(d, b)| (*d, b.clone(), None)));
        if let Some((day, stages, species)) = &self.staged {
            let body = worms(None, Some(stages.adults + stages.young), species);
            all.push((*day, body, Some(*stages)));
        }
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut staged = BTreeMap::new();
        let log = all
            .into_iter()
            .zip((1..).map(EntryId))
            .map(|((day, body, stages), id)| {
                if let Some(stages) = stages {
                    staged.insert(id, stages);
                }
                let at = (day * DAY).round() as i64;
                Entry {
                    id,
                    bin: Some(BinId(1)),
                    at_unix_seconds: at,
                    zone: "UTC".to_owned(),
                    written_unix_seconds: at,
                    body,
                }
            })
            .collect();
        (log, staged)
    }

    /// Runs it.
    pub(super) fn run(&self, tables: &Tables) -> Result<Ran, ValidationError> {
        self.run_some(tables, MEMBERS, SEED)
    }

    /// Runs so many possible bins of it.
    pub(super) fn run_some(
        &self,
        tables: &Tables,
        members: usize,
        seed: u64,
    ) -> Result<Ran, ValidationError> {
        let (log, staged) = self.log();
        let told = Told::new();
        let mut course: Vec<(f64, Vec<Look>)> = Vec::new();
        let mut out = vec![0.0; members];
        let keeping = self.keeping;
        let mut daily = |day: u32, e: &mut Ensemble, scene: &Scene| {
            let now = (f64::from(day) - self.cohort_day).abs() < 0.5;
            if let (true, Some((number, grams))) = (now, self.cohort) {
                e.each(|m| put_in(m, number, grams, scene));
            }
            course.push((f64::from(day), looks(e, scene, &out)));
            keeping.keep(day, e, scene, &mut out);
        };
        let mut along = Along {
            told: &told,
            air: &self.air,
            staged: &staged,
            daily: Some(&mut daily),
            ..Along::told(&told)
        };
        let middle = f64::midpoint(self.usual.low, self.usual.high);
        let setup = Setup {
            tables,
            own: &self.own,
            temperature: Celsius(middle.clamp(2.0, 40.0)),
            now: (self.days * DAY) as i64,
            seed,
            members,
            bin: Some(&self.bin),
            air: Some(self.usual),
        };
        let estimate = estimate_along(&setup, &log, &mut along)?;
        // The last day's happenings come after its picture was taken.
        course.retain(|(day, _)| *day < self.days);
        course.push((self.days, looks(&estimate.ensemble, &estimate.scene, &out)));
        Ok(Ran { course, estimate })
    }
}

impl Keeping {
    fn keep(self, day: u32, e: &mut Ensemble, scene: &Scene, out: &mut [f64]) {
        let mut i = 0;
        e.each(|m| {
            if let Some(moisture) = self.moisture {
                wet(m, moisture, self.printed, scene);
            }
            if self.as_told {
                m.nature.room_offset = 0.0;
                m.life.room_wander = 0.0;
                dry(m, self.moisture, scene);
                // What is told of stands in it, in its castings too, and not under it.
                let told = self.moisture.map_or(0.0, |of| of / (100.0 - of));
                m.nature.castings_hold = m.nature.castings_hold.max(told);
            }
            if self.kept_in {
                m.vital.leaving_per_day = 0.0;
            }
            if self.no_cocoons {
                m.life.worms.take(0.0, 1.0);
            }
            if self
                .young_out
                .is_some_and(|every| day.is_multiple_of(every))
            {
                out[i] += m.life.worms.take_young().number();
            }
            i += 1;
        });
    }
}

/// Puts in worms of one mass each [g], of the two stages nearest that mass.
fn put_in(m: &mut Possible, number: f64, grams: f64, scene: &Scene) {
    let each = population::masses(&m.vital, 0.0);
    let above = each.iter().position(|g| *g > grams);
    let mut stages = Stages::default();
    match above {
        Some(0) => stages.worms[0] = number,
        Some(i) => {
            let share = (grams - each[i - 1]) / (each[i] - each[i - 1]);
            stages.worms[i] = share * number;
            stages.worms[i - 1] = (1.0 - share) * number;
        }
        None => stages.worms[STAGES - 1] = number,
    }
    let new = Worms::of_stages(scene.species, stages, stages.worms.map(|n| n * grams));
    m.life.worms.join(&new);
    m.life.came_in(number * grams, &scene.priors);
}

/// Gives water up to a moisture [% of wet mass].
fn wet(m: &mut Possible, moisture: f64, printed: bool, scene: &Scene) {
    let dry = m.life.dry_kg(&scene.priors);
    let holds = m
        .life
        .drained_moisture_percent(&scene.priors, &m.nature, dry)
        - 2.0;
    let moisture = if printed {
        moisture
    } else {
        moisture.min(holds)
    };
    let wanted = dry * moisture / (100.0 - moisture) - m.life.water_kg;
    if wanted > 0.0 {
        m.life.pour(wanted, None, &scene.priors);
        m.bed.water_kg = m.life.water_kg;
    }
}

/// Lets what is over a moisture [% of wet mass] go off as vapour.
fn dry(m: &mut Possible, moisture: Option<f64>, scene: &Scene) {
    let Some(moisture) = moisture else { return };
    let dry = m.life.dry_kg(&scene.priors);
    let over = m.life.water_kg - dry * moisture / (100.0 - moisture);
    if over > 0.0 {
        m.life.water_kg -= over;
        m.life.books.evaporated += over;
        m.bed.water_kg = m.life.water_kg;
    }
}

fn looks(e: &Ensemble, scene: &Scene, out: &[f64]) -> Vec<Look> {
    let signs = e.signs(scene);
    let each = e.members.iter().zip(signs).zip(out);
    each.map(|((m, signs), out)| look(m, signs, *out, scene))
        .collect()
}

fn look(m: &Possible, signs: Signs, young_out: f64, scene: &Scene) -> Look {
    /// Nitrate [g/mol].
    const NO3: f64 = 62.0;
    let (life, c) = (&m.life, &scene.priors.constants);
    let all = life.organic.total();
    let acids = (life.acid_bed + life.acid_pocket) * c.acid_carbon;
    let mineral = life.mineral_nitrogen() / c.mol_per_kg;
    let dry_kg = life.dry_kg(&scene.priors);
    let paper = &life.organic.pools[crate::living::rot::Kind::Paper as usize];
    Look {
        signs,
        bed_celsius: life.store(&scene.priors, dry_kg).celsius(life.heat),
        cn: (all.carbon + acids) / (all.nitrogen + mineral).max(1e-9),
        carbon_kg: all.carbon + acids,
        nitrogen_kg: all.nitrogen + mineral,
        dry_kg,
        carbon_air: life.books.carbon_air,
        drained_kg: life.books.water_out,
        nitrate: life.nitrate * NO3 * 1000.0 / dry_kg.max(1e-9),
        died: life.books.worms_died,
        left: life.books.worms_left,
        young_out,
        paper_kg: paper.iter().map(|p| p.organic).sum(),
    }
}

impl Ran {
    /// The bins at the end of a day, or at the end of the run.
    pub(super) fn at(&self, day: f64) -> &[Look] {
        let near = |d: &(f64, Vec<Look>)| (d.0 - day).abs();
        let best = self
            .course
            .iter()
            .min_by(|a, b| near(a).total_cmp(&near(b)));
        best.map_or(&[], |(_, looks)| looks)
    }

    /// Band of a figure at a day; all members weigh the same, since nothing
    /// is looked at.
    pub(super) fn band(&self, day: f64, of: impl Fn(&Look) -> f64) -> Band {
        band(self.at(day).iter().map(of))
    }

    /// The bins at the end.
    pub(super) fn last(&self, of: impl Fn(&Look) -> f64) -> Band {
        self.band(self.end(), of)
    }

    /// Last day of the run.
    fn end(&self) -> f64 {
        self.course.last().map_or(0.0, |c| c.0)
    }

    /// Band over members of a figure of two instants.
    pub(super) fn between(&self, a: f64, b: f64, of: impl Fn(&Look, &Look) -> f64) -> Band {
        band(self.at(a).iter().zip(self.at(b)).map(|(a, b)| of(a, b)))
    }

    /// Band of each member's largest over all days.
    pub(super) fn most(&self, of: impl Fn(&Look) -> f64) -> Band {
        let members = self.course.first().map_or(0, |c| c.1.len());
        let most = |i: usize| {
            let all = self.course.iter().map(|(_, looks)| of(&looks[i]));
            all.fold(f64::NEG_INFINITY, f64::max)
        };
        band((0..members).map(most))
    }

    /// Share of the worms of each bin that live on, of those put in.
    pub(super) fn alive(&self) -> Band {
        self.last(|l| {
            let all = l.signs.worms + l.died + l.left;
            l.signs.worms / all.max(1e-9)
        })
    }

    /// Puts ice in on wet paper and goes on for so many days.
    pub(super) fn ice(&mut self, kg: f64, days: f64) {
        let (e, scene) = (&mut self.estimate.ensemble, &self.estimate.scene);
        let melt = scene.priors.constants.melt;
        e.each(|m| {
            m.life.heat -= kg * melt;
            m.life.pour(kg, Some(0.0), &scene.priors);
        });
        let from = self.course.last().map_or(0.0, |c| c.0);
        e.carry(scene, from, days);
        self.course
            .push((from + days, looks(e, scene, &vec![0.0; e.members.len()])));
    }
}

fn band(values: impl Iterator<Item = f64>) -> Band {
    let values: Vec<f64> = values.collect();
    Band::of(&values).unwrap_or(Band {
        median: f64::NAN,
        low: f64::NAN,
        high: f64::NAN,
    })
}

/// "median (low to high)" for a note.
pub(super) fn said(b: &Band, decimals: usize) -> String {
    format!(
        "ours {:.*}, 80 % interval {:.*} to {:.*}",
        decimals, b.median, decimals, b.low, decimals, b.high
    )
}
