//! The living bin: now, ration, outlook, away, weather, today.

use super::Shell;
use crate::chart::{Chance, Course, Svg, chance_strip, course_chart};
use crate::web::widgets::{
    Control, Drift, Figure, Form, Picture, Reasons, Sources, Table, Verdict,
};
use askama::Template;

/// One way to look at a page: an address, and whether it is the one shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Where.
    pub href: String,
    /// Words: `8 weeks`.
    pub words: String,
    /// This one is shown.
    pub chosen: bool,
}

/// A part of a form that folds.
#[derive(Debug, Clone, PartialEq)]
pub struct Fold {
    /// What it is for.
    pub title: String,
    /// Shown open: something in it is filled in.
    pub open: bool,
    /// Controls, in order.
    pub controls: Vec<Control>,
}

impl Fold {
    /// Something in it was typed wrong.
    fn is_open(&self) -> bool {
        let wrong = |c: &Control| match c {
            Control::Field(f) => !f.error.is_empty(),
            Control::Chips(c) => !c.error.is_empty(),
        };
        self.open || self.controls.iter().any(wrong)
    }
}

/// One chart with its heading and the line that says what it shows.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseView {
    /// Id of its section on the page: letters and hyphens.
    pub id: String,
    /// Heading: `Temperature`.
    pub heading: String,
    /// What it says, in a line: `Warmest about Fri 3 Jul, at 27 °C (24 to 31).`
    pub line: String,
    /// Chart.
    pub picture: Picture,
}

impl CourseView {
    /// A chart drawn for both sizes.
    #[must_use]
    pub fn new(heading: &str, line: &str, course: &Course) -> Self {
        Self {
            id: format!("course-{}", course.id),
            heading: heading.to_owned(),
            line: line.to_owned(),
            picture: Picture::of(|size| course_chart(course, size), ""),
        }
    }
}

/// A trouble or a hope with its chance by date.
#[derive(Debug, Clone, PartialEq)]
pub struct AlarmLine {
    /// What: `Too hot for worms`.
    pub what: String,
    /// How grave: [`Drift::Stop`] for trouble that is likely, [`Drift::Wait`]
    /// for trouble that may come, [`Drift::Good`] for good news.
    pub drift: Drift,
    /// What the keeper saw of it: `You saw worms climbing on Mon 23 Nov.`;
    /// empty for nothing.
    pub seen: String,
    /// How likely by when: `62 % by Fri 17 Jul; 1 in 10 by Sat 4 Jul`.
    pub chance: String,
    /// Why, and what to do.
    pub words: String,
    /// The chance rising through time.
    pub strip: Option<Picture>,
    /// Where to do something about it; empty for nowhere.
    pub href: String,
    /// Words on that link.
    pub link: String,
}

impl AlarmLine {
    /// An alarm with its strip.
    #[must_use]
    pub fn new(drift: Drift, chance: &Chance, by: &str, words: &str) -> Self {
        Self {
            what: chance.what.clone(),
            drift,
            seen: String::new(),
            chance: by.to_owned(),
            words: words.to_owned(),
            strip: Some(Picture::of(|size| chance_strip(chance, size), "")),
            href: String::new(),
            link: String::new(),
        }
    }

    /// As seen: it stands before what the model makes of it.
    #[must_use]
    pub fn seen(mut self, sentence: &str) -> Self {
        sentence.clone_into(&mut self.seen);
        self
    }

    /// With a way to do something about it.
    #[must_use]
    pub fn with_link(mut self, href: &str, link: &str) -> Self {
        href.clone_into(&mut self.href);
        link.clone_into(&mut self.link);
        self
    }
}

/// What lies ahead of one bin, under the plan as it is or a what-if.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "outlook.html")]
pub struct OutlookPage {
    /// Around it.
    pub shell: Shell,
    /// Bin.
    pub id: i64,
    /// Its name.
    pub name: String,
    /// The one most important line.
    pub verdict: Verdict,
    /// How far ahead: two weeks, eight weeks, half a year, a year. Each
    /// address carries the what-if along.
    pub horizons: Vec<Choice>,
    /// What is assumed, one line each: `Fed as in the last four weeks, 300 g
    /// every 4 days.`
    pub plan: Vec<String>,
    /// Where the same is shown with water kept topped up; empty where it is
    /// watered, or was asked for.
    pub water: String,
    /// It is a what-if and not the plan as it is.
    pub is_what_if: bool,
    /// Alarms, gravest first.
    pub alarms: Vec<AlarmLine>,
    /// Charts.
    pub charts: Vec<CourseView>,
    /// What-if: sent by GET. Fields: see [`super::outlook_folds`].
    pub folds: Vec<Fold>,
    /// Fields sent along unseen: `days`.
    pub hidden: Vec<(String, String)>,
    /// What is wrong with the what-if as a whole.
    pub error: String,
    /// The figures by day or week.
    pub table: Option<Table>,
    /// How far to trust it, by quantity.
    pub trust: String,
    /// Names offered where a material is typed.
    pub materials: Vec<(String, String)>,
    /// Sources.
    pub sources: Sources,
}

/// A figure now, with how it has gone lately.
#[derive(Debug, Clone, PartialEq)]
pub struct NowLine {
    /// What it is.
    pub label: String,
    /// The figure with its range: `18 °C (16 to 20)`.
    pub words: String,
    /// A word on it: `comfortable`; may be empty.
    pub note: String,
    /// The last weeks as a small strip ([`crate::chart::course_spark`]).
    pub strip: Option<Svg>,
    /// What the strip covers: `8 weeks, 4.5 to 6.0`.
    pub scale: String,
}

/// What one entry taught.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taught {
    /// When it was written, in words.
    pub when: String,
    /// The entry: `Squeeze: a drop or two`.
    pub entry: String,
    /// What it changed: `moisture 68 % (58 to 78) became 72 % (66 to 77)`.
    pub changed: String,
}

/// The one observation most worth its trouble.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NextLook {
    /// What to look at: `Squeeze a handful from the middle.`
    pub what: String,
    /// What it would decide: `It decides whether to water on Friday.`
    pub why: String,
    /// What it would narrow: `Moisture from ±10 to about ±5 points.`
    pub gain: String,
    /// Form to write it in: `/bins/1?open=observation#write-observation`.
    pub href: String,
    /// Words on that link.
    pub link: String,
}

/// The part of the bin page that says how it is in there now.
#[derive(Debug, Clone, PartialEq, Default, Template)]
#[template(path = "parts/now.html")]
pub struct NowPart {
    /// Bin.
    pub id: i64,
    /// Figures.
    pub lines: Vec<NowLine>,
    /// What the last entries taught, newest first.
    pub taught: Vec<Taught>,
    /// The one cheapest observation worth making.
    pub next_look: Option<NextLook>,
    /// When the log and the model do not fit; empty when they do.
    pub doubt: String,
    /// Where limits come from.
    pub sources: Sources,
}

impl askama::filters::HtmlSafe for NowPart {}

/// How much to feed now.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "ration.html")]
pub struct RationPage {
    /// Around it.
    pub shell: Shell,
    /// Bin.
    pub id: i64,
    /// Its name.
    pub name: String,
    /// What is asked (sent by GET): `material`, `amount`, `prepared`,
    /// `next_visit`.
    pub controls: Vec<Control>,
    /// What is wrong with the question as a whole.
    pub error: String,
    /// The answer; none before something is asked.
    pub answer: Option<RationAnswer>,
    /// Names offered where a material is typed.
    pub materials: Vec<(String, String)>,
    /// Sources.
    pub sources: Sources,
}

/// The ration.
#[derive(Debug, Clone, PartialEq)]
pub struct RationAnswer {
    /// In a word and a line: `Feed 240 g`, `Do not feed yet`.
    pub verdict: Verdict,
    /// How much: `240 g of kitchen scraps`.
    pub grams: String,
    /// The same by hand: `about 3 handfuls`.
    pub handfuls: String,
    /// Dry bedding to add: `60 g of shredded cardboard, about 4 handfuls`;
    /// empty for none.
    pub dry: String,
    /// Why that much dry bedding.
    pub dry_why: String,
    /// When to look again: `Sat 28 Nov (in 4 days)`.
    pub look_again: String,
    /// What to look for then.
    pub look_for: String,
    /// How to give it, step by step.
    pub how: Vec<String>,
    /// What holds it back, heaviest first.
    pub reasons: Reasons,
    /// Cautions for this material.
    pub cautions: Vec<String>,
    /// What is left of the amount on hand, and what to do with it; may be empty.
    pub left_over: String,
    /// Chances of sour, hot, wet, ammonia before the next visit at this amount.
    pub chances: Vec<AlarmLine>,
    /// Where it lies among published advice ([`crate::chart::feed_scale`]).
    pub scale: Picture,
    /// Why it lies there.
    pub scale_line: String,
    /// Form to write the feeding in the log.
    pub log_form: Option<Form>,
}

/// Leaving a bin alone for a while.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "away.html")]
pub struct AwayPage {
    /// Around it.
    pub shell: Shell,
    /// Bin.
    pub id: i64,
    /// Its name.
    pub name: String,
    /// What is asked (sent by GET): `from`, `to`, `place_celsius`.
    pub controls: Vec<Control>,
    /// What is wrong with the question as a whole.
    pub error: String,
    /// The answer.
    pub answer: Option<AwayAnswer>,
    /// Sources.
    pub sources: Sources,
}

/// What an absence takes.
#[derive(Debug, Clone, PartialEq)]
pub struct AwayAnswer {
    /// Whether it can be left.
    pub verdict: Verdict,
    /// What to do before leaving, with amounts.
    pub before: Vec<String>,
    /// What not to do before leaving.
    pub not: Vec<String>,
    /// Latest safe return: `Sun 10 Jan (7 weeks from leaving)`.
    pub latest_return: String,
    /// What sets that date.
    pub latest_why: String,
    /// Chances while away.
    pub alarms: Vec<AlarmLine>,
    /// What to do on coming back.
    pub back: Vec<String>,
    /// Charts over the absence.
    pub charts: Vec<CourseView>,
}

/// Heat and cold, by the hour.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "weather.html")]
pub struct WeatherPage {
    /// Around it.
    pub shell: Shell,
    /// Bin.
    pub id: i64,
    /// Its name.
    pub name: String,
    /// What is asked (sent by GET): `weather` (a line a day: date, high, low),
    /// `sun`, `humidity`, `place_celsius`, `help`.
    pub controls: Vec<Control>,
    /// What is wrong with the question as a whole.
    pub error: String,
    /// The answer.
    pub answer: Option<WeatherAnswer>,
    /// Sources.
    pub sources: Sources,
}

/// What the weather does to the bin and what helps.
#[derive(Debug, Clone, PartialEq)]
pub struct WeatherAnswer {
    /// The one most important line.
    pub verdict: Verdict,
    /// What helps, in order.
    pub advice: Vec<HelpLine>,
    /// Each measure by itself beside doing nothing.
    pub compared: Option<Table>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Hottest, coldest, hours beyond.
    pub figures: Vec<Figure>,
    /// Charts: temperature of core, refuge and room by the hour.
    pub charts: Vec<CourseView>,
    /// Chances.
    pub alarms: Vec<AlarmLine>,
    /// By the hour.
    pub hours: Option<Table>,
}

/// One thing that helps against heat or cold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HelpLine {
    /// What: `Ice, 1.2 kg in closed bottles`.
    pub what: String,
    /// What it does: `takes about 3 °C off the core`.
    pub effect: String,
    /// When: `in at 11:00, swap at 15:00`.
    pub when: String,
    /// A caution; may be empty.
    pub caution: String,
}

/// What is worth doing now across all bins.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "today.html")]
pub struct TodayPage {
    /// Around it.
    pub shell: Shell,
    /// The day: `Tue 24 Nov`.
    pub day: String,
    /// What is worth doing, most pressing first.
    pub things: Vec<TodayLine>,
    /// What else comes: bin, its name, what and when.
    pub later: Vec<(i64, String, String)>,
    /// Bins that need nothing: number, name, when to look next.
    pub quiet: Vec<(i64, String, String)>,
}

/// One thing worth doing in one bin.
#[derive(Debug, Clone, PartialEq)]
pub struct TodayLine {
    /// Bin.
    pub bin: i64,
    /// Its name.
    pub name: String,
    /// How pressing.
    pub drift: Drift,
    /// What.
    pub what: String,
    /// What the keeper saw, in sentences; may be empty.
    pub seen: Vec<String>,
    /// Why.
    pub why: String,
    /// What happens if it waits.
    pub if_it_waits: String,
    /// How likely trouble is if it waits: `40 % by Sun 29 Nov`; may be empty.
    pub chance: String,
    /// Where to do it; empty when it is done by hand alone.
    pub href: String,
    /// Words on that link.
    pub link: String,
}

impl TodayPage {
    /// Things that should not wait.
    fn pressing(&self) -> usize {
        let stop = |t: &&TodayLine| t.drift == Drift::Stop;
        self.things.iter().filter(stop).count()
    }
}
