//! Judging a bedding, dose plan, jar test, tray test.

use super::Shell;
use crate::chart::Svg;
use crate::web::widgets::{Field, Figure, Form, Picture, Reasons, Sources, Verdict};
use askama::Template;

/// Judge a bedding before worms go in.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "judge.html")]
pub struct JudgePage {
    /// Around it.
    pub shell: Shell,
    /// Six rows of parts.
    pub rows: Vec<PartRow>,
    /// Names offered: key and name.
    pub materials: Vec<(String, String)>,
    /// What is wrong with the form as a whole.
    pub error: String,
    /// The answer, when parts were given.
    pub result: Option<JudgeResult>,
}

/// One part of the mix: fields `materialN`, `amountN`, `phN`, `moistureN`, `labelN`.
#[derive(Debug, Clone, PartialEq)]
pub struct PartRow {
    /// Number, from 1.
    pub number: usize,
    /// What and how much.
    pub main: Vec<Field>,
    /// What else may be known: own pH, moisture, label.
    pub more: Vec<Field>,
    /// Shown unfolded.
    pub open: bool,
}

/// What the bedding is.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgeResult {
    /// Verdict.
    pub verdict: Verdict,
    /// Reasons, heaviest first.
    pub reasons: Reasons,
    /// What to do first, in steps (lime, water, wait).
    pub before_worms: Vec<String>,
    /// Where it becomes a bin; empty when it should not.
    pub bin_address: String,
    /// pH, moisture, C:N, air, salt, ammonia and heating risk.
    pub figures: Vec<Figure>,
    /// How much it makes: `42 L, 9.5 kg`.
    pub makes: String,
    /// Where the numbers come from.
    pub sources: Sources,
}

/// The dose plan of one bin.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "dose.html")]
pub struct DosePage {
    /// Around it.
    pub shell: Shell,
    /// Bin.
    pub id: i64,
    /// Its name.
    pub name: String,
    /// Verdict: no dose needed, dose, back down, or not without a reading.
    pub verdict: Verdict,
    /// pH now, base needed, and so on.
    pub figures: Vec<Figure>,
    /// What was given already and how much of it has yet to act.
    pub running: Vec<String>,
    /// Recommended steps.
    pub steps: Vec<PlanStep>,
    /// Why steps of this size.
    pub why_steps: String,
    /// What would prove the plan wrong.
    pub wrong_if: Vec<String>,
    /// Each usable material.
    pub options: Vec<DoseOption>,
    /// Materials refused, with reasons.
    pub refused: Vec<Refusal>,
    /// What if.
    pub slider: Option<Slider>,
    /// Form to log the dose when given.
    pub log_form: Option<Form>,
    /// What helps besides, and sooner.
    pub also: Vec<String>,
    /// Materials offered for an empty shed: key, name and why.
    pub offers: Vec<(String, String, String)>,
    /// pH aimed at as chosen; empty for the usual.
    pub target: String,
    /// Names offered where a material is typed.
    pub materials: Vec<(String, String)>,
    /// Where the numbers come from.
    pub sources: Sources,
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanStep {
    /// When: `Today, Wed 25 Nov`.
    pub when: String,
    /// What: `Give 40 g (3 level tablespoons) of ground limestone`.
    pub give: String,
    /// How to apply it.
    pub how: String,
    /// pH after, with range, and when that is reached.
    pub ph_after: String,
    /// When and how to read again.
    pub reread: String,
    /// If the reading is lower than the range.
    pub if_lower: String,
    /// If it is in the range.
    pub if_expected: String,
    /// If it is higher.
    pub if_higher: String,
}

/// One material that would do.
#[derive(Debug, Clone, PartialEq)]
pub struct DoseOption {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Whole amount: `120 g (90 to 170)`.
    pub amount: String,
    /// The same in household measures.
    pub measure: String,
    /// Share acted by day.
    pub acted: Svg,
    /// Salt it adds.
    pub salt: String,
    /// Free ammonia it would raise.
    pub ammonia: String,
    /// What to be careful of.
    pub caution: String,
    /// The one the plan uses.
    pub chosen: bool,
}

/// A material refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// Name.
    pub name: String,
    /// Why.
    pub why: String,
}

/// The what-if: an amount of one material, and where it leads.
#[derive(Debug, Clone, PartialEq)]
pub struct Slider {
    /// Materials to choose: key, name, chosen.
    pub materials: Vec<(String, String, bool)>,
    /// Smallest, largest, step and value [g].
    pub min: f64,
    /// Largest [g].
    pub max: f64,
    /// Step [g].
    pub step: f64,
    /// Where it stands [g].
    pub value: f64,
    /// The part that changes.
    pub part: WhatIfPart,
}

/// What the slider changes: sent alone to the script, or in the page.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "what_if.html")]
pub struct WhatIfPart {
    /// The amount in words: `60 g, 4 tablespoons`.
    pub amount: String,
    /// What comes of it: pH by when, with range; salt; caution.
    pub lines: Vec<String>,
    /// A caution when the amount breaks a limit; empty when none.
    pub caution: String,
    /// Dose curve.
    pub curve: Picture,
    /// pH over the coming weeks.
    pub path: Picture,
}

impl askama::filters::HtmlSafe for WhatIfPart {}

/// The jar test.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "jar_test.html")]
pub struct JarTestPage {
    /// Around it.
    pub shell: Shell,
    /// Bin.
    pub id: i64,
    /// Its name.
    pub name: String,
    /// How to do it, step by step.
    pub how: Vec<String>,
    /// Form for the results.
    pub form: Form,
    /// Names offered where a material is typed.
    pub materials: Vec<(String, String)>,
    /// What the last one taught.
    pub result: Option<JarResult>,
}

/// What a jar test taught.
#[derive(Debug, Clone, PartialEq)]
pub struct JarResult {
    /// Points and fit.
    pub plot: Picture,
    /// Buffer before.
    pub before: Figure,
    /// Buffer after.
    pub after: Figure,
    /// In a line: how much tighter.
    pub line: String,
}

/// The half-and-half tray test.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "tray_test.html")]
pub struct TrayTestPage {
    /// Around it.
    pub shell: Shell,
    /// How to do it, step by step.
    pub how: Vec<String>,
    /// Form for the counts (sent by GET).
    pub form: Form,
    /// The test read.
    pub result: Option<TrayResult>,
}

/// A tray test read.
#[derive(Debug, Clone, PartialEq)]
pub struct TrayResult {
    /// Verdict.
    pub verdict: Verdict,
    /// Share in the suspect half with its interval, and so on.
    pub figures: Vec<Figure>,
    /// Reasons.
    pub reasons: Reasons,
    /// Forms to write it in the log, one for each bin.
    pub log_forms: Vec<Form>,
}
