//! How a living bin is now, and how much to feed it: plain figures that pages
//! and commands both put into words.

use super::seen::Seen;
use super::{BinState, Desk, DeskError};
use engine::estimate::{Ensemble, Estimate, Lesson, Moment, Possible, Track};
use engine::living::observe::gain::{Gain, Kit, PhLook, Possibles};
use engine::living::observe::{Sayings, Tare};
use engine::living::signs::Signs;
use engine::living::trouble::Trouble;
use engine::log::{Body, Measured, Part, Word};
use engine::measure::display::describe_grams;
use engine::quantity::Band;
use engine::ration::{self, Held, Prepared, Ration, RationAsk};
use engine::reading::instrument::Instrument;

/// How a bin is now.
#[derive(Debug, Clone)]
pub struct Now {
    /// All figures.
    pub moment: Moment,
    /// Chance that each trouble is there today, the most pressing first
    /// [0 to 1].
    pub troubles: Vec<(Trouble, f64)>,
    /// What the last few observations taught, oldest first.
    pub lessons: Vec<Lesson>,
    /// The one cheapest observation worth asking for.
    pub look: Option<WorthALook>,
    /// Days since the last feeding [d].
    pub fed_days_ago: Option<f64>,
    /// Times the log contradicted the ensemble.
    pub contradictions: usize,
}

/// What the next decision hangs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decision {
    /// How much feed it could take [g a day].
    Feed,
    /// Whether trouble comes within a fortnight [chance].
    Trouble,
}

/// An observation worth asking for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorthALook {
    /// What it would bring.
    pub gain: Gain,
    /// For which decision.
    pub decision: Decision,
}

/// How much to feed, as asked and in words.
#[derive(Debug, Clone)]
pub struct Fed {
    /// The ration.
    pub ration: Ration,
    /// What was asked for: key, name, and the amount as a household measure.
    pub parts: Vec<Helping>,
    /// The bedding to add beside it.
    pub bedding: Helping,
    /// Where the feed came from.
    pub chosen: Chosen,
    /// What is left of the last food, which that was, and the latest word on
    /// it; `None` when nothing was fed yet.
    pub food: Option<String>,
}

impl Fed {
    /// Whether what is fed holds some of the dry bedding that goes in beside it.
    #[must_use]
    pub fn holds_bedding(&self) -> bool {
        let bedding = &self.bedding.material;
        self.parts.iter().any(|part| part.material == *bedding)
    }
}

/// One thing to put in.
#[derive(Debug, Clone, PartialEq)]
pub struct Helping {
    /// Key of the material.
    pub material: String,
    /// Name.
    pub name: String,
    /// How much [g].
    pub grams: f64,
    /// The same as a household measure; empty for nothing.
    pub measure: String,
}

/// Who chose the feed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chosen {
    /// The keeper.
    Asked,
    /// As fed last.
    LastFed,
    /// Nothing was ever fed: mixed vegetable scraps.
    Usual,
}

/// What holds a ration down, in a sentence.
#[must_use]
pub fn held_words(held: Held) -> String {
    match held {
        Held::Trouble(t) => {
            return format!(
                "More would bring the chance of this over 1 in 10: {}.",
                engine::table::inside_a_sentence(t.title())
            );
        }
        Held::There(t) => {
            return format!(
                "{}: food makes it worse, and worms live on the bedding meanwhile. Put that right first, then feed.",
                t.title()
            );
        }
        Held::Mouths => "It is as much as the worms that live in it can eat before you look again.",
        Held::OffTheBed => "Many worms keep off the bed and do not eat: what lies there uneaten turns sour. More once they are back down.",
        Held::Pause => "Nothing was fed for weeks: half at first, until microbes have built up again.",
        Held::Appetite => "It is what worms and microbes can take before you look again.",
        Held::NewBin => "The worms are new: little at first, until they have settled.",
        Held::FoodLeft => "Much of the last feeding is still there: they finish that first.",
        Held::Step => "At most half as much again as lately: microbes have to keep up.",
        Held::NoWorms => {
            "By what was written and worked out no worms live in it. Where you see some, write it down, and ask again."
        }
        Held::Cold => "It is too cold in there for them to eat much.",
        Held::Food(food) => return format!("This food is given sparingly: {}.", food.why()),
        Held::Salt => "It is salty food: more would raise the salt of the bed too fast.",
        Held::Chill => "Put in frozen, more would chill the bed too far. Thaw it first.",
        Held::Look => "Food for a week at most: what lies there longer unseen spoils.",
        Held::Room => {
            "The bin is nearly full: take castings out, or start a second bin with part of it."
        }
    }
    .to_owned()
}

/// What to feed and with what.
#[derive(Debug, Clone, Default)]
pub struct RationWish {
    /// Feed by its parts to each other; as fed last when empty.
    pub feed: Vec<Part>,
    /// How it was made ready.
    pub prepared: Prepared,
    /// Dry bedding at hand; out of the shed, or cardboard, when not said.
    pub bedding: Option<String>,
    /// Days until the next look, at the soonest and latest [d].
    pub look_days: Option<(f64, f64)>,
}

/// Members a ration is looked ahead with.
const RATION_MEMBERS: usize = 400;
/// Days until the keeper looks again when they do not say [d].
const LOOK_DAYS: (f64, f64) = (3.0, 7.0);
/// Bedding when there is none in the shed.
const USUAL_BEDDING: &str = "cardboard_corrugated";
/// Feed when nothing was ever fed.
const USUAL_FEED: &str = "kitchen_scraps_veg";
/// Chances between which trouble is the decision.
const IN_DOUBT: (f64, f64) = (0.1, 0.9);
/// An interval no wider than this is well enough known: share of the median of
/// the feed, and chance of trouble.
const MATTERS_SHARE: f64 = 0.15;
const MATTERS_CHANCE: f64 = 0.1;
/// Dry matter in mixed scraps [g/g], for saying dry appetite as wet feed.
const SCRAPS_DRY: f64 = 0.12;

impl Desk {
    /// How a bin is now.
    ///
    /// # Errors
    /// [`DeskError`] when there is no estimate.
    pub fn now_of(&self, state: &BinState) -> Result<Now, DeskError> {
        let e = state.estimated()?;
        let signs = e.ensemble.signs(&e.scene);
        let moment = state.shown(&e.ensemble.moment(e.now, &signs));
        let soon = self.soon(state)?;
        let troubles = soon
            .ahead
            .alarms
            .iter()
            .map(|a| (a.trouble, a.now))
            .collect();
        Ok(Now {
            moment,
            troubles,
            lessons: e.lessons.clone(),
            look: match state.look.get() {
                Some(kept) => *kept,
                None => {
                    let found = self.worth_a_look(state)?;
                    *state.look.get_or_init(|| found)
                }
            },
            fed_days_ago: e.fed.last().map(|f| (e.now - f.at) as f64 / 86_400.0),
            contradictions: e.contradictions,
        })
    }

    /// The one look that narrows the next decision most for its minutes:
    /// whether trouble comes where that is in doubt, how much it could be fed
    /// elsewhere.
    fn worth_a_look(&self, state: &BinState) -> Result<Option<WorthALook>, DeskError> {
        let sayings = Sayings::load(self.tables)?;
        let soon = self.soon(state)?;
        let Ensemble {
            members, weights, ..
        } = &state.estimated()?.ensemble;
        let chance: f64 = soon.troubled.iter().zip(weights).map(|(t, w)| t * w).sum();
        let in_doubt = (IN_DOUBT.0..IN_DOUBT.1).contains(&chance);
        let feed: Vec<f64> = members
            .iter()
            .map(|m| 1000.0 * m.life.carried.appetite_kg / SCRAPS_DRY)
            .collect();
        let middle = engine::quantity::Band::weighted(&feed, weights).map_or(0.0, |b| b.median);
        let (decision, values, matters) = if in_doubt {
            (Decision::Trouble, &soon.troubled, MATTERS_CHANCE)
        } else {
            (Decision::Feed, &feed, MATTERS_SHARE * middle)
        };
        let has = |what: Measured| {
            let of = |b: &Body| matches!(b, Body::Reading(r) if r.what == what);
            state.log.iter().any(|x| of(&x.body))
        };
        let instrument = state.log.iter().rev().find_map(|x| match &x.body {
            Body::Reading(r) if r.what == Measured::Ph => {
                Instrument::from_tables(self.tables, &r.instrument).ok()
            }
            _ => None,
        });
        let shown = |i: usize, s: &Signs| s.ph + bias(&members[i], instrument.as_ref());
        let ph = instrument.as_ref().map(|x| PhLook {
            shown: &shown,
            sd: x.noise_sd.hypot(0.15),
            in_bedding: x.in_bedding,
        });
        let tares: Vec<Tare> = members.iter().filter_map(|m| m.tare).collect();
        let kit = Kit {
            thermometer: has(Measured::BeddingCelsius),
            scale: (tares.len() == members.len()).then_some(&tares[..]),
            ph,
        };
        let possibles = Possibles {
            signs: &soon.signs,
            weights,
            decision: values,
        };
        Ok(sayings
            .rank(&possibles, &kit)
            .and_then(|r| r.best(matters).copied())
            .map(|gain| WorthALook { gain, decision }))
    }

    /// How much to feed a bin now.
    ///
    /// # Errors
    /// [`DeskError`] when there is no estimate or the feed cannot be used.
    pub fn ration(&self, state: &BinState, wish: &RationWish) -> Result<Fed, DeskError> {
        let e = state.estimated()?;
        let own = self.own()?;
        let (feed, chosen) = if wish.feed.is_empty() {
            match self.last_fed(state) {
                Some(parts) => (parts, Chosen::LastFed),
                None => (vec![scraps()], Chosen::Usual),
            }
        } else {
            (wish.feed.clone(), Chosen::Asked)
        };
        let bedding = match &wish.bedding {
            Some(key) => key.clone(),
            None => self.dry_bedding()?,
        };
        let (soonest_days, latest_days) = wish.look_days.unwrap_or(LOOK_DAYS);
        let food = state.last_food();
        let left = estimated_left(e);
        let mut ration = ration::ration(&RationAsk {
            tables: self.tables,
            own: &own,
            estimate: e,
            bed: state.temperature,
            feed,
            prepared: wish.prepared,
            bedding: bedding.clone(),
            soonest_days,
            latest_days,
            members: RATION_MEMBERS,
            seen: self.seen_at_feeding(state),
            seen_left: food.and_then(|f| f.told(state.now)),
        })?;
        if let Some(food) = food {
            ration.food_left = food.left(ration.food_left, state.now);
        }
        Ok(Fed {
            parts: ration
                .parts
                .iter()
                .map(|(key, grams)| self.helping(key, *grams))
                .collect(),
            bedding: self.helping(&bedding, ration.bedding_grams),
            ration,
            chosen,
            food: food
                .zip(self.food_words(state))
                .map(|(food, of)| format!("Food left: {} {of}.", food.left_words(left, state.now))),
        })
    }

    /// Troubles that were seen and that count when feeding. A trickle is as wet
    /// as many keep their worms, and holds no food back.
    pub(super) fn seen_at_feeding(&self, state: &BinState) -> Vec<Trouble> {
        let grave = |s: &Seen| s.words.iter().any(|(w, _)| *w != Word::SqueezeTrickle);
        let seen = self.seen(state).into_iter().filter(grave);
        seen.filter_map(|s| s.trouble).collect()
    }

    /// The feed as last given; feedings of what is no feed are passed over.
    pub(crate) fn last_fed(&self, state: &BinState) -> Option<Vec<Part>> {
        state.log.iter().rev().find_map(|x| match &x.body {
            Body::Feeding { parts }
                if x.at_unix_seconds <= state.now
                    && ration::may_be_fed(self.tables, parts).is_ok() =>
            {
                Some(parts.clone())
            }
            _ => None,
        })
    }

    /// So much of a material in words.
    pub(super) fn helping(&self, key: &str, grams: f64) -> Helping {
        let material = self.tables.material(key);
        let measure = match &material {
            Ok(m) if grams >= 1.0 => describe_grams(grams, m, self.tables, self.system())
                .map(|h| h.text)
                .unwrap_or_default(),
            _ => String::new(),
        };
        Helping {
            material: key.to_owned(),
            name: material.map_or_else(|_| key.to_owned(), |m| m.name.clone()),
            grams,
            measure,
        }
    }

    /// The first bedding in the shed, or cardboard.
    pub(crate) fn dry_bedding(&self) -> Result<String, DeskError> {
        let bedding = |key: &str| {
            self.tables
                .material(key)
                .is_ok_and(|m| m.role == engine::table::Role::Bedding)
        };
        Ok(self
            .shed()?
            .into_iter()
            .find(|i| i.have && bedding(&i.material))
            .map_or_else(|| USUAL_BEDDING.to_owned(), |i| i.material))
    }
}

/// What is left of the last feeding by the estimate [0 to 1].
pub(super) fn estimated_left(e: &Estimate) -> Band {
    e.moment.band(Track::FoodLeft)
}

fn bias(m: &Possible, instrument: Option<&Instrument>) -> f64 {
    instrument
        .and_then(|x| m.bias.get(&x.key).copied())
        .unwrap_or(0.0)
}

fn scraps() -> Part {
    Part::plain(
        USUAL_FEED,
        engine::measure::Amount {
            number: 100.0,
            unit: engine::measure::Unit::Gram,
        },
    )
}
