//! One bin and its quick entry.

use super::around::{instruments, materials, refused, sentence, shell, units_of};
use super::once::{self, Tried};
use super::shelf::verdict;
use super::{bin_words, log_lines, parse, picture, words};
use crate::chart::{SectionSize, bin_section, ph_chart};
use crate::desk::{BinState, Desk, DeskError};
use crate::report::Units;
use crate::web::widgets::{Control, Form, Picture};
use crate::web::*;
use engine::log::{BinId, Body};
use engine::reading::question::Question;

pub(super) fn bin(desk: &Desk, bin: i64, fields: &Fields) -> Answer<BinPage> {
    let state = desk.bin(BinId(bin)).map_err(refused)?;
    let attention = desk.attention(&state);
    let drawn = picture::section(desk, &state, &attention);
    let mut forms = forms(desk, &state, units_of(desk, fields));
    for form in &mut forms {
        form.open = form.kind == fields.get("open");
    }
    if state.estimate.is_err() && !fields.has("open") {
        forms.sort_by_key(|f| f.kind != "filled");
        forms[0].open = true;
    }
    let shell = shell(desk, &state.description.name, Nav::Shelf);
    let shell = once::told(desk, shell, fields);
    Ok(BinPage {
        shell,
        id: bin,
        name: state.description.name.clone(),
        place: words::place_of(&state),
        verdict: verdict(&attention),
        seen: desk.seen_words(&state),
        section: Picture {
            narrow: bin_section(&drawn, SectionSize::Narrow),
            wide: bin_section(&drawn, SectionSize::Wide),
            caption: format!(
                "Cut through and drawn to scale: from what was last written down, and where nobody looked, from the estimate. {}",
                desk.depth_words(&state)
            ),
        },
        todo: bin_words::todo(desk, &state, &attention),
        now: super::living::now::part(desk, &state),
        figures: bin_words::figures(desk, &state),
        ph: chart(desk, &state),
        reading_note: bin_words::reading_note(desk, &state),
        learned: learned(desk, &state),
        log: log_lines::lines(desk, &state, fields.get("log_from").parse().unwrap_or(0)),
        forms,
        materials: materials(desk),
    })
}

fn learned(desk: &Desk, state: &BinState) -> Vec<String> {
    let learned = desk.learned(state).unwrap_or_default();
    learned.iter().map(|l| l.words(desk.units())).collect()
}

fn chart(desk: &Desk, state: &BinState) -> Option<Picture> {
    let estimate = state.estimate.as_ref().ok()?;
    let data = picture::ph_data(desk, state, estimate);
    let caption = format!(
        "pH of the whole bed, the past too as seen from today, with its range, and the next {} days if things go on as now: the same line as on the outlook.",
        picture::AHEAD_DAYS
    );
    Some(Picture::of(|size| ph_chart(&data, size), &caption))
}

/// The quick entry, read in these units, with the instrument used last offered
/// first.
pub(super) fn forms(desk: &Desk, state: &BinState, read_in: Units) -> Vec<Form> {
    let last = state.log.iter().rev().find_map(|e| match &e.body {
        Body::Reading(r) if desk.tables.instrument(&r.instrument).is_ok() => {
            Some(r.instrument.as_str())
        }
        _ => None,
    });
    let now = words::machine_time(desk, desk.clock.unix_seconds());
    let forms = entry_forms(state.id.0, &instruments(desk, last), &now).into_iter();
    let mut forms: Vec<Form> = forms.map(|f| f.shown_in(read_in)).collect();
    if read_in == Units::Us {
        for form in forms.iter_mut().filter(|f| f.kind == "reading") {
            say_units(form);
        }
    }
    forms
}

/// Says which units a value is typed in, when they are not the log's own.
fn say_units(form: &mut Form) {
    for control in &mut form.controls {
        if let Control::Field(f) = control
            && f.name == "spots"
        {
            f.hint.push_str(". Temperatures in °F, weights in lb");
        }
    }
}

pub(super) fn log_entry(desk: &Desk, id: i64, fields: &Fields) -> Answer<Outcome<BinPage>> {
    // How the bin stands takes long to work out: not before it is written.
    desk.description(BinId(id)).map_err(refused)?;
    let again = |faults: &[(String, String)]| -> Answer<Outcome<BinPage>> {
        let mut page = bin(desk, id, &fields.only(SHOWN_IN))?;
        let kind = fields.get("kind");
        let found = page.forms.iter_mut().find(|f| f.kind == kind);
        match found {
            Some(form) => {
                parse::offer_times(desk, form, fields);
                form.refill(fields, faults);
            }
            None => {
                let why = faults.iter().map(|(_, m)| m.as_str()).collect::<Vec<_>>();
                return Err(PageError::new(422, "Nothing was written", &why.join(" "))
                    .or(&format!("/bins/{id}"), "Back to the bin"));
            }
        }
        Ok(Outcome::Show(Box::new(page)))
    };
    let ready = match read(desk, fields) {
        Ok(ready) => ready,
        Err(faults) => return again(&faults),
    };
    let fix = || {
        let state = desk.bin(BinId(id)).map_err(refused)?;
        let found = forms(desk, &state, units_of(desk, fields)).into_iter();
        found
            .into_iter()
            .find(|f| f.kind == fields.get("kind"))
            .ok_or_else(|| PageError::ours("The form was lost."))
    };
    let back = format!("/bins/{id}");
    if let Some(asked) = ask_about_time(desk, ready.at, fields) {
        return question(desk, asked, fix()?, fields, back);
    }
    let given = once::given(fields);
    let written = desk.write_given(Some(BinId(id)), ready.at, ready.body.clone(), &given);
    let tried = Tried {
        bin: Some(BinId(id)),
        body: &ready.body,
        at: fields.has("when").then_some(ready.at),
        back: &back,
    };
    let twice = |e: &DeskError| once::already(desk, e, &tried, fix, fields);
    match written {
        Ok(_) => Ok(Outcome::Go(format!("/bins/{id}?said=logged"))),
        Err(e) if let Some(led) = twice(&e) => led,
        Err(e) if let Some(asked) = Asked::by(&e) => question(desk, asked, fix()?, fields, back),
        Err(e @ DeskError::BeforeFilled { .. }) => again(&[("when".into(), sentence(&e))]),
        Err(e) if e.is_input() => again(&[(String::new(), sentence(&e))]),
        Err(e) => Err(refused(e)),
    }
}

/// An entry as read from its form.
pub(super) struct Ready {
    /// What.
    pub(super) body: Body,
    /// When [s since 1970-01-01 00:00 UTC].
    pub(super) at: i64,
}

/// Reads what and when, telling all faults at once.
pub(super) fn read(desk: &Desk, fields: &Fields) -> Result<Ready, parse::Faults> {
    let mut check = parse::Check::default();
    let at = check.take("when", parse::when(desk, fields));
    match parse::body(desk, fields) {
        Ok(body) if check.faults.is_empty() => Ok(Ready {
            body,
            at: at.unwrap_or_else(|| desk.clock.unix_seconds()),
        }),
        Ok(_) => Err(check.faults),
        Err(faults) => Err(faults.into_iter().chain(check.faults).collect()),
    }
}

/// What the keeper is asked.
pub(super) struct Asked {
    heading: String,
    why: Vec<String>,
    may_keep: bool,
}

impl Asked {
    /// What an error asks, when it asks something the keeper may answer by
    /// keeping what was given.
    pub(super) fn by(error: &DeskError) -> Option<Self> {
        match error {
            DeskError::Asked(list) => Some(Self::of(list)),
            DeskError::Again { .. } => Some(Self {
                heading: "Did this happen twice?".into(),
                why: vec![sentence(error)],
                may_keep: true,
            }),
            _ => None,
        }
    }

    /// From the questions an entry raises.
    pub(super) fn of(list: &[Question]) -> Self {
        let may_keep = !list.iter().any(Question::refuses);
        let value = list.first().and_then(|q| match q {
            Question::Idle { value } | Question::AllTheSame { value, .. } => Some(*value),
            Question::DecimalPoint { typed, .. }
            | Question::OffScale { typed }
            | Question::Unlikely { typed }
            | Question::Surprising { typed, .. } => Some(*typed),
            _ => None,
        });
        let heading = match (value, may_keep) {
            (Some(v), true) => format!("Is pH {} right?", crate::report::ph(v)),
            (Some(v), false) => format!("pH {v} cannot be"),
            (None, _) => "Is this right?".into(),
        };
        Self {
            heading,
            why: list.iter().map(Question::text).collect(),
            may_keep,
        }
    }
}

/// Hours a time may lie ahead and still be kept: clocks and zones differ.
const KEPT_AHEAD_HOURS: i64 = 26;

/// Asks about a time in the future.
pub(super) fn ask_about_time(desk: &Desk, at: i64, fields: &Fields) -> Option<Asked> {
    if !parse::ahead(desk, at) {
        return None;
    }
    let may_keep = at - desk.clock.unix_seconds() < KEPT_AHEAD_HOURS * 3600;
    if may_keep && fields.get("confirmed") == "yes" {
        return None;
    }
    Some(Asked {
        heading: "That time is still to come".into(),
        why: vec![
            format!(
                "{} is in the future by this machine's clock ({}).",
                words::when(desk, at),
                words::when(desk, desk.clock.unix_seconds())
            ),
            "The log holds what was seen or done. Until that time comes, nothing is worked out from it.".into(),
        ],
        may_keep,
    })
}

/// The page that asks before writing.
pub(super) fn question<P>(
    desk: &Desk,
    asked: Asked,
    mut fix: Form,
    fields: &Fields,
    back: String,
) -> Answer<Outcome<P>> {
    fix.refill(fields, &[]);
    let sent = fields
        .0
        .iter()
        .filter(|(name, _)| name != "confirmed")
        .cloned()
        .collect();
    Ok(Outcome::Ask(Box::new(QuestionPage {
        shell: shell(desk, &asked.heading, Nav::Shelf),
        question: asked.heading,
        why: asked.why,
        may_keep: asked.may_keep,
        sent,
        fix,
        ways: Vec::new(),
        materials: materials(desk),
        back,
    })))
}
