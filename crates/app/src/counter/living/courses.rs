//! Charts of the figures followed, past and to come.

use super::figures::{name, shown};
use crate::chart::{
    Course, CourseLimit, CourseLine, CourseMark, CoursePoint, CourseReading, MarkKind, ReadingKind,
    Trouble,
};
use crate::counter::words;
use crate::desk::ph_scale::PhScale;
use crate::desk::{BinState, Desk};
use crate::report::{self, Units};
use engine::advice::Remedy;
use engine::estimate::Estimate;
use engine::estimate::ahead::Act;
use engine::estimate::track::{Moment, Track};
use engine::living::comfort::Comfort;
use engine::living::observe::Sayings;
use engine::living::trouble::Trouble as What;
use engine::log::{Body, Entry, Measured};
use engine::quantity::Band;
use jiff::civil::Date;

const DAY: f64 = 86_400.0;
/// How far after now a mark lies that is planned for now [d].
const NOT_YET: f64 = 1e-3;

/// What charts of one bin are drawn from.
pub(in crate::counter) struct Drawn<'a> {
    desk: &'a Desk,
    state: &'a BinState,
    units: Units,
    moments: Vec<&'a Moment>,
    start: Date,
    midnight: i64,
    marks: Vec<CourseMark>,
    from: f64,
    sayings: Option<Sayings>,
}

impl<'a> Drawn<'a> {
    /// The past by the estimate, and what lies ahead when it was looked at;
    /// `back` days of the past are shown.
    pub(in crate::counter) fn of(
        desk: &'a Desk,
        state: &'a BinState,
        estimate: &'a Estimate,
        ahead: &'a [Moment],
        back: f64,
    ) -> Self {
        let start = words::day(desk, estimate.filled_at);
        let zone = desk.clock.now().time_zone().clone();
        let midnight = zone
            .to_zoned_datetime(start.at(0, 0, 0, 0))
            .map_or(estimate.filled_at, |z| z.timestamp().as_second());
        let mut moments: Vec<&Moment> = state.course().iter().collect();
        if let Some(first) = ahead.first() {
            moments.retain(|m| m.at < first.at);
        }
        moments.extend(ahead);
        let mut drawn = Self {
            desk,
            state,
            units: crate::counter::around::units(desk),
            moments,
            start,
            midnight,
            marks: Vec::new(),
            from: 0.0,
            sayings: Sayings::load(desk.tables).ok(),
        };
        drawn.from = (drawn.day(state.now) - back).max(drawn.day(estimate.filled_at));
        drawn.marks = drawn.done(estimate.filled_at);
        drawn
    }

    /// With what is planned marked too: days from now. What is planned for
    /// this hour is not done yet, so its mark lies after now.
    pub(in crate::counter) fn planned(mut self, acts: &[(f64, Act)]) -> Self {
        let now = self.day(self.state.now);
        let units = self.units;
        self.marks.extend(acts.iter().filter_map(|(at, act)| {
            let (kind, label) = act_words(act, units)?;
            Some(CourseMark {
                day: now + at.max(NOT_YET),
                kind,
                label,
            })
        }));
        self
    }

    fn day(&self, at: i64) -> f64 {
        (at - self.midnight) as f64 / DAY
    }

    fn done(&self, since: i64) -> Vec<CourseMark> {
        let log = self.state.log.iter();
        log.filter(|e| e.at_unix_seconds >= since && e.at_unix_seconds <= self.state.now)
            .filter_map(|e| {
                let kind = mark_kind(&e.body)?;
                Some(CourseMark {
                    day: self.day(e.at_unix_seconds),
                    kind,
                    label: words::body(self.desk, &e.body),
                })
            })
            .collect()
    }

    /// The band of a track at all moments.
    fn points(&self, track: Track, how: super::figures::Shown) -> Vec<CoursePoint> {
        let finite = |b: &Band| [b.median, b.low, b.high].iter().all(|v| v.is_finite());
        self.moments
            .iter()
            .map(|m| (self.day(m.at), m.band(track)))
            .filter(|(_, b)| finite(b))
            .map(|(day, b)| {
                let b = how.band(&b);
                CoursePoint {
                    day,
                    median: b.median,
                    low: b.low,
                    high: b.high,
                }
            })
            .collect()
    }

    fn shown(&self, track: Track) -> super::figures::Shown {
        let bands = self.moments.iter().map(|m| m.band(track).high);
        shown(track, self.units, bands.fold(0.0, f64::max))
    }

    /// One figure over time.
    pub(in crate::counter) fn course(&self, track: Track) -> Course {
        let how = self.shown(track);
        let title = crate::counter::around::capital(name(track));
        let id = format!("{}-{}", self.state.id.0, track.name().replace('_', "-"));
        let mut c = Course::new(&id, &title, how.unit, self.start);
        let last = self.moments.last().map_or(0.0, |m| self.day(m.at));
        c.shown = Some((self.from, last.max(self.from + 1.0)));
        c.now = Some(self.day(self.state.now));
        c.possible = possible(track);
        c.band = self.points(track, how);
        c.readings = self.readings(track, how);
        c.marks = self.marks.clone();
        c.limits = self.limits(track, how);
        c
    }

    /// Core, worm zone and air on one axis.
    pub(in crate::counter) fn temperature(&self) -> Course {
        let mut c = self.course(Track::Core);
        "Temperature".clone_into(&mut c.title);
        "middle".clone_into(&mut c.name);
        let how = self.shown(Track::Core);
        let line = |track: Track, name: &str| CourseLine {
            name: name.to_owned(),
            points: self
                .points(track, how)
                .iter()
                .map(|p| CoursePoint::sure(p.day, p.median))
                .collect(),
        };
        c.extra = vec![line(Track::Refuge, "worms"), line(Track::Air, "air")];
        c
    }

    fn readings(&self, track: Track, how: super::figures::Shown) -> Vec<CourseReading> {
        if track == Track::Ph {
            return self.ph_readings();
        }
        let since = self.moments.first().map_or(i64::MIN, |m| m.at);
        let entries = self.state.log.iter();
        entries
            .filter(|e| e.at_unix_seconds >= since && e.at_unix_seconds <= self.state.now)
            .filter_map(|e| self.reading(e, track, how))
            .collect()
    }

    fn reading(
        &self,
        e: &Entry,
        track: Track,
        how: super::figures::Shown,
    ) -> Option<CourseReading> {
        let (value, sd) = match (&e.body, track) {
            (Body::Reading(r), _) if reads(r.what, track) && !r.spots.is_empty() => {
                let gauge = self.sayings.as_ref()?.gauge(r)?;
                (gauge.read(), gauge.sd())
            }
            (
                Body::WormCount {
                    found,
                    litres_searched: None,
                    grams,
                    ball: false,
                },
                Track::WormKg | Track::Worms,
            ) => match (track, grams) {
                (Track::WormKg, Some(g)) => (g / 1000.0, 0.05 * g / 1000.0),
                (Track::Worms, _) if *found > 0.0 => (*found, 0.1 * found),
                _ => return None,
            },
            _ => return None,
        };
        let half = 1.2816 * sd;
        Some(CourseReading {
            day: self.day(e.at_unix_seconds),
            value: how.of(value),
            low: how.of(value - half),
            high: how.of(value + half),
            kind: ReadingKind::Settled,
            what: String::new(),
        })
    }

    fn ph_readings(&self) -> Vec<CourseReading> {
        let Ok(e) = &self.state.estimate else {
            return Vec::new();
        };
        e.heard
            .iter()
            .map(|h| CourseReading {
                day: self.day(h.at),
                value: h.mean,
                low: h.mean - h.half_width,
                high: h.mean + h.half_width,
                kind: if h.settling.is_local() {
                    ReadingKind::Local
                } else if h.contradicted {
                    ReadingKind::Doubtful
                } else {
                    ReadingKind::Settled
                },
                what: report::count(h.spots, "spot", "spots"),
            })
            .collect()
    }

    fn limits(&self, track: Track, how: super::figures::Shown) -> Vec<CourseLimit> {
        let unit = if how.unit.is_empty() {
            String::new()
        } else {
            format!("\u{a0}{}", how.unit)
        };
        let tables = &self.desk.tables;
        let at = |value: f64, trouble: Trouble, says: &str| {
            let value = how.of(value);
            let side = match trouble {
                Trouble::Above => "above",
                Trouble::Below => "below",
            };
            let digits = report::significant(value, 3);
            let digits = digits
                .trim_end_matches(|c| c == '0' && digits.contains('.'))
                .trim_end_matches('.');
            CourseLimit {
                value,
                trouble,
                words: format!("{says} {side} {digits}{unit}"),
            }
        };
        let limit = |property: &str, trouble: Trouble, says: &str| {
            let value = tables.value("living", "alarm", property).ok()?;
            Some(at(value, trouble, says))
        };
        let (above, below) = (Trouble::Above, Trouble::Below);
        let says = |t: What| Remedy::of(t).short;
        match track {
            Track::Ph => match PhScale::of(tables) {
                Ok(s) => vec![
                    Some(at(s.too_acid, below, says(What::Acid))),
                    Some(at(s.too_alkaline, above, says(What::Alkaline))),
                ],
                Err(_) => Vec::new(),
            },
            Track::Moisture => vec![limit("dry_percent", below, says(What::Drying))],
            Track::Core => match comfort(self.desk, self.state) {
                Some(c) => vec![
                    Some(at(c.hot_celsius, above, says(What::TooHot))),
                    Some(at(c.cold_celsius, below, says(What::Freezing))),
                ],
                None => Vec::new(),
            },
            Track::Salt => vec![limit("salt_ms_per_cm", above, says(What::Salty))],
            Track::CastingsShare => vec![limit("ready_share", above, "ready to harvest")],
            _ => Vec::new(),
        }
        .into_iter()
        .flatten()
        .collect()
    }
}

/// Whether a reading is of a track.
fn reads(what: Measured, track: Track) -> bool {
    matches!(
        (what, track),
        (Measured::BeddingCelsius, Track::Core)
            | (Measured::AirCelsius, Track::Air)
            | (Measured::MoisturePercent, Track::Moisture)
            | (Measured::EcMsCm, Track::Salt)
    )
}

fn possible(track: Track) -> (Option<f64>, Option<f64>) {
    match track {
        Track::Moisture | Track::FoodLeft | Track::CastingsShare => (Some(0.0), Some(100.0)),
        Track::Ph => (Some(2.0), Some(12.0)),
        Track::Core | Track::Refuge | Track::Hot | Track::Air => (None, None),
        _ => (Some(0.0), None),
    }
}

fn mark_kind(body: &Body) -> Option<MarkKind> {
    Some(match body {
        Body::Feeding { .. } => MarkKind::Fed,
        Body::Dose(_) => MarkKind::Dosed,
        Body::Water { .. } => MarkKind::Watered,
        Body::BeddingAdded { .. } => MarkKind::Bedding,
        Body::WormsIn { .. } => MarkKind::Worms,
        Body::Harvest { .. } => MarkKind::Harvest,
        Body::Move { .. } => MarkKind::Moved,
        Body::Turned | Body::Drain { .. } => MarkKind::Other,
        _ => return None,
    })
}

/// A planned act as a mark.
fn act_words(act: &Act, units: Units) -> Option<(MarkKind, String)> {
    let sum = |parts: &[engine::bed::fill::ReadyPart]| -> f64 {
        parts.iter().map(|p| p.grams.value).sum()
    };
    Some(match act {
        Act::Feed(parts) => (
            MarkKind::Fed,
            format!("{} of food, planned", report::grams(sum(parts), units)),
        ),
        Act::Bedding(parts) => (
            MarkKind::Bedding,
            format!("{} of bedding, planned", report::grams(sum(parts), units)),
        ),
        Act::Water(kg) => (
            MarkKind::Watered,
            format!("{} of water, planned", report::litres(kg.value, units)),
        ),
        Act::Harvest(kg) => (
            MarkKind::Harvest,
            format!(
                "{} taken out, planned",
                report::grams(1000.0 * kg.value, units)
            ),
        ),
        Act::Stock(grams) => (
            MarkKind::Worms,
            format!("{} of worms, planned", report::grams(*grams, units)),
        ),
        _ => return None,
    })
}

/// Where the worms kept in a bin are warned of heat and cold.
pub(in crate::counter) fn comfort(desk: &Desk, state: &BinState) -> Option<Comfort> {
    let e = state.estimate.as_ref().ok()?;
    Comfort::of(desk.tables, e.scene.species).ok()
}
