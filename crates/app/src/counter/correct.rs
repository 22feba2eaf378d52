//! Correcting or striking an entry: always a new entry, the first one stays.

use super::around::{materials, refused, sentence, shell, units, units_of};
use super::bin::{self, Asked, Ready};
use super::once::{self, Tried};
use super::parse::{self, Check, Faults};
use super::{fill_in, log_lines, new_bin, words};
use crate::desk::{BinState, Desk, DeskError};
use crate::report::Units;
use crate::web::widgets::{Control, Field, Form, Kind};
use crate::web::*;
use engine::living::species::Species;
use engine::log::{BinId, Body, Entry};
use std::sync::Arc;

/// The entry to correct, and what it says now.
struct Found {
    state: Arc<BinState>,
    entry: Entry,
    body: Body,
    at: i64,
}

fn find(desk: &Desk, bin: i64, entry: i64) -> Answer<Found> {
    let state = desk.bin(BinId(bin)).map_err(refused)?;
    let unreadable = desk.store().unreadable();
    let gone = || {
        if unreadable.iter().any(|u| u.id.0 == entry) {
            let said = "This entry is in the log and cannot be read, so it is left out of everything shown.";
            return PageError::new(422, "This entry cannot be read", said)
                .or(&format!("/bins/{bin}"), "Back to the bin")
                .or("/settings/damage", "What to do");
        }
        PageError::not_found("entry of this number in this bin")
            .or(&format!("/bins/{bin}"), "Back to the bin")
    };
    let written = |id: i64| state.written.iter().find(|e| e.id.0 == id);
    let found = written(entry).cloned().ok_or_else(gone)?;
    let (mut body, mut at) = (found.body.clone(), found.at_unix_seconds);
    // A correction is corrected by saying anew what it says.
    while let Body::Correction {
        corrects,
        replacement,
        at_unix_seconds,
        ..
    } = body
    {
        let before = written(corrects.0).ok_or_else(gone)?;
        at = at_unix_seconds.unwrap_or(before.at_unix_seconds);
        body = replacement.map_or_else(|| before.body.clone(), |b| *b);
    }
    Ok(Found {
        state,
        entry: found,
        body,
        at,
    })
}

/// The form with the entry's values, in these units.
fn form(desk: &Desk, found: &Found, read_in: Units) -> Form {
    let id = found.state.id.0;
    let action = format!("/bins/{id}/log/{}", found.entry.id.0);
    let fields = fill_in::fields(desk, &found.body, found.at, read_in);
    let kind = fields.get("kind").to_owned();
    let quick = bin::forms(desk, &found.state, read_in)
        .into_iter()
        .find(|f| f.kind == kind);
    let mut form = match (quick, &found.body) {
        (Some(form), _) => rows_for(form, &found.body),
        (None, Body::Bin(_)) => {
            let mut controls = new_bin::description_controls(read_in);
            controls.push(Control::Field(when()));
            Form::new("bin", "The bin", &action, "", controls)
        }
        (None, body) => Form::new(
            &kind,
            words::kind(body),
            &action,
            "",
            vec![Control::Field(when())],
        ),
    };
    let mut reason =
        Field::new(Kind::Text, "reason", "Why").hint("Such as wrong decimal, wrong bin");
    reason.scope.clone_from(&form.kind);
    form.controls.push(Control::Field(reason));
    form.action = action;
    form.submit = "Write the correction".into();
    form.shown_in = Some(read_in);
    form.refill(&fields, &[]);
    form
}

fn when() -> Field {
    Field::new(Kind::DateTime, "when", "When")
}

/// An entry of several parts is corrected in rows.
fn rows_for(mut form: Form, body: &Body) -> Form {
    let several = match body {
        Body::Feeding { parts } | Body::BeddingAdded { parts } => parts.len() > 1,
        Body::Filled { .. } => return form,
        _ => false,
    };
    if several {
        let kept = form.controls.split_off(2);
        form.controls = filled_rows();
        form.controls.extend(kept);
        for control in &mut form.controls {
            match control {
                Control::Field(f) => form.kind.clone_into(&mut f.scope),
                Control::Chips(c) => form.kind.clone_into(&mut c.scope),
            }
        }
    }
    form
}

pub(super) fn correct_form(desk: &Desk, bin: i64, entry: i64) -> Answer<CorrectPage> {
    let found = find(desk, bin, entry)?;
    Ok(page(desk, &found, units(desk)))
}

fn page(desk: &Desk, found: &Found, read_in: Units) -> CorrectPage {
    let later = log_lines::in_its_place(&found.state, &found.entry);
    CorrectPage {
        shell: shell(desk, "Correct an entry", Nav::Shelf),
        bin: found.state.id.0,
        entry: found.entry.id.0,
        line: log_lines::one(desk, &found.state, &found.entry),
        later: later.map(|e| e.id.0),
        is_struck: later.is_some_and(log_lines::is_strike),
        form: form(desk, found, read_in),
        materials: materials(desk),
    }
}

pub(super) fn correct(
    desk: &Desk,
    bin: i64,
    entry: i64,
    fields: &Fields,
) -> Answer<Outcome<CorrectPage>> {
    let found = find(desk, bin, entry)?;
    let read_in = units_of(desk, fields);
    let again = |faults: &[(String, String)]| -> Answer<Outcome<CorrectPage>> {
        let mut page = page(desk, &found, read_in);
        parse::offer_times(desk, &mut page.form, fields);
        page.form.refill(fields, faults);
        Ok(Outcome::Show(Box::new(page)))
    };
    let strike = match parse::yes_or_no(fields, "strike", false) {
        Ok(strike) => strike,
        Err(fault) => return again(&[(String::new(), fault)]),
    };
    if strike && let Some(page) = struck_before(desk, &found, fields)? {
        return Ok(Outcome::Show(Box::new(page)));
    }
    let (replacement, at) = if strike {
        (None, None)
    } else {
        match replaced(desk, &found, fields) {
            Ok(ready) => {
                if let Some(asked) = bin::ask_about_time(desk, ready.at, fields) {
                    return bin::question(
                        desk,
                        asked,
                        form(desk, &found, read_in),
                        fields,
                        back(&found),
                    );
                }
                (Some(Box::new(ready.body)), Some(ready.at))
            }
            Err(faults) => return again(&faults),
        }
    };
    let body = Body::Correction {
        corrects: found.entry.id,
        replacement,
        at_unix_seconds: at,
        reason: fields.get("reason").to_owned(),
    };
    let now = desk.clock.unix_seconds();
    let written = desk.write_given(Some(BinId(bin)), now, body.clone(), &once::given(fields));
    let tried = Tried {
        bin: Some(BinId(bin)),
        body: &body,
        at: None,
        back: &back(&found),
    };
    let twice =
        |e: &DeskError| once::already(desk, e, &tried, || Ok(form(desk, &found, read_in)), fields);
    match written {
        Err(e) if let Some(led) = twice(&e) => led,
        Ok(_) => {
            let said = if strike { "struck" } else { "corrected" };
            Ok(Outcome::Go(format!("/bins/{bin}?said={said}")))
        }
        Err(e) if let Some(asked) = Asked::by(&e) => bin::question(
            desk,
            asked,
            form(desk, &found, read_in),
            fields,
            back(&found),
        ),
        Err(e) if e.is_input() => again(&[(String::new(), sentence(&e))]),
        Err(e) => Err(refused(e)),
    }
}

/// The page again, when what is to be struck out was struck out before by
/// another form than this.
fn struck_before(desk: &Desk, found: &Found, fields: &Fields) -> Answer<Option<CorrectPage>> {
    let mut page = page(desk, found, units_of(desk, fields));
    let (true, Some(later)) = (page.is_struck, page.later) else {
        return Ok(None);
    };
    let own = desk.store().written_by(fields.get("once"));
    if own.map_err(|e| refused(e.into()))?.is_some() {
        return Ok(None);
    }
    page.form.error = format!("It was struck out before, by entry {later}. Nothing was written.");
    Ok(Some(page))
}

fn back(found: &Found) -> String {
    format!("/bins/{}", found.state.id.0)
}

/// What the entry should have said. Kinds without a form of their own keep
/// what they say, and only their time changes. Parts keep what the form does
/// not ask: own pH, moisture, label.
fn replaced(desk: &Desk, found: &Found, sent: &Fields) -> Result<Ready, Faults> {
    // A time left as it stood, or left out, is the entry's own, also where
    // clocks changed.
    let is_same_time = !sent.has("when") || words::machine_time(desk, found.at) == sent.get("when");
    let timeless = parse::without_time(sent);
    let fields = if is_same_time { &timeless } else { sent };
    let mut ready = match &found.body {
        Body::Bin(old) => {
            let mut check = Check::default();
            let at = check.take("when", parse::when(desk, fields));
            let description = new_bin::read_description(desk, fields, &mut check);
            match (description, at) {
                (Some(mut d), Some(at)) if check.faults.is_empty() => {
                    d.retired = old.retired;
                    Ready {
                        body: Body::Bin(d),
                        at,
                    }
                }
                _ => return Err(check.faults),
            }
        }
        Body::JarTest(_) | Body::TrayTest(_) => Ready {
            body: found.body.clone(),
            at: parse::when(desk, fields).map_err(|e| vec![("when".to_owned(), e)])?,
        },
        _ => bin::read(desk, fields)?,
    };
    keep_known(&mut ready.body, &found.body);
    if is_same_time {
        ready.at = found.at;
    }
    Ok(ready)
}

fn keep_known(new: &mut Body, old: &Body) {
    match (&mut *new, old) {
        (Body::Reading(n), Body::Reading(o)) if n.text.is_empty() => n.text.clone_from(&o.text),
        // The form always names a species: one left unnamed, or named by a
        // word the form has not, stays as it was unless another is chosen.
        (Body::WormsIn { species: n, .. }, Body::WormsIn { species: o, .. })
            if Species::parse(n) == Some(Species::parse(o).unwrap_or(Species::EiseniaFetida)) =>
        {
            n.clone_from(o);
        }
        _ => {}
    }
    let (
        Body::Filled { parts: new }
        | Body::Feeding { parts: new }
        | Body::BeddingAdded { parts: new },
        Body::Filled { parts: old }
        | Body::Feeding { parts: old }
        | Body::BeddingAdded { parts: old },
    ) = (new, old)
    else {
        return;
    };
    for (n, o) in new.iter_mut().zip(old) {
        if n.material == o.material {
            n.ph = n.ph.or(o.ph);
            n.moisture_percent = n.moisture_percent.or(o.moisture_percent);
            n.label = o.label;
        }
    }
}
