//! A form sent twice: what it wrote is shown, and nothing is written again.

use super::around::{materials, shell};
use super::words;
use crate::desk::{Desk, DeskError, Given};
use crate::web::widgets::Form;
use crate::web::{Answer, Fields, Link, Nav, Outcome, QuestionPage, Shell};
use engine::log::{BinId, Body, Entry, EntryId};
use store::StoreError;

/// What goes along with an entry of a form.
pub(super) fn given(fields: &Fields) -> Given {
    Given {
        confirmed: fields.get("confirmed") == "yes",
        once: Some(fields.get("once").to_owned()).filter(|k| !k.is_empty()),
    }
}

/// What a form would have written.
pub(super) struct Tried<'a> {
    /// About which bin.
    pub(super) bin: Option<BinId>,
    /// What.
    pub(super) body: &'a Body,
    /// When, where the form says [s since 1970-01-01 00:00 UTC].
    pub(super) at: Option<i64>,
    /// Where to go.
    pub(super) back: &'a str,
}

/// Leads on when the form wrote an entry before: to that entry when it says
/// the same, else to the question what is meant by the difference.
pub(super) fn already<P>(
    desk: &Desk,
    error: &DeskError,
    tried: &Tried<'_>,
    fix: impl FnOnce() -> Answer<Form>,
    fields: &Fields,
) -> Option<Answer<Outcome<P>>> {
    let DeskError::Store(StoreError::Already { entry }) = error else {
        return None;
    };
    let found = find(desk, *entry);
    if found.as_ref().is_some_and(|e| says(e, tried)) {
        let place = format!("{}?said=already&entry={}", tried.back, entry.0);
        return Some(Ok(Outcome::Go(place)));
    }
    Some(fix().map(|fix| differs(desk, *entry, found.as_ref(), tried, fix, fields)))
}

fn find(desk: &Desk, id: EntryId) -> Option<Entry> {
    desk.store().entry(id).ok()
}

/// Whether an entry says what was tried.
fn says(entry: &Entry, tried: &Tried<'_>) -> bool {
    let same_time = tried.at.is_none_or(|at| at == entry.at_unix_seconds);
    let same_bin = tried.bin.is_none_or(|bin| entry.bin == Some(bin));
    same_time && same_bin && unmarked(&entry.body) == unmarked(tried.body)
}

/// A body without the mark that it was kept on the keeper's word.
fn unmarked(body: &Body) -> Body {
    let mut body = body.clone();
    let said = match &mut body {
        Body::Correction {
            replacement: Some(new),
            ..
        } => &mut **new,
        other => other,
    };
    if let Body::Reading(r) = said {
        r.confirmed = false;
    }
    body
}

/// The question what a form means that says something else than it wrote.
fn differs<P>(
    desk: &Desk,
    id: EntryId,
    entry: Option<&Entry>,
    tried: &Tried<'_>,
    mut fix: Form,
    fields: &Fields,
) -> Outcome<P> {
    fix.refill(fields, &[]);
    fix.once = String::new();
    fix.submit = "Write it as a new entry".into();
    let was = entry.map_or_else(
        || format!("It wrote entry {}.", id.0),
        |e| {
            format!(
                "It wrote entry {} on {} ({}): {}.",
                id.0,
                words::when(desk, e.at_unix_seconds),
                words::lower(words::kind(&e.body)),
                words::body(desk, &e.body)
            )
        },
    );
    let ways = entry.and_then(|e| e.bin).map_or_else(
        || Link::new(tried.back, "Look at what is there"),
        |bin| {
            Link::new(
                &format!("/bins/{}/log/{}", bin.0, id.0),
                "Correct that entry",
            )
        },
    );
    let heading = "This form was sent before";
    Outcome::Ask(Box::new(QuestionPage {
        shell: shell(desk, heading, Nav::Shelf),
        question: heading.into(),
        why: vec![
            was,
            "What it says now is not the same. If that entry was wrong, correct it; if something else happened too, write it as a new entry.".into(),
        ],
        may_keep: false,
        sent: Vec::new(),
        fix,
        ways: vec![ways],
        materials: materials(desk),
        back: tried.back.to_owned(),
    }))
}

/// The shell with what was just done; of a form sent twice, which entry it
/// wrote. An address can name an entry, not put words on a page.
pub(super) fn told(desk: &Desk, shell: Shell, fields: &Fields) -> Shell {
    let said = fields.get("said");
    let id = fields.get("entry").parse::<i64>();
    let (true, Ok(id)) = (said == "already", id) else {
        return shell.said(said);
    };
    let mut shell = shell;
    if let Some(entry) = find(desk, EntryId(id)) {
        shell.notice = format!(
            "Written before, as entry {id} on {}. Nothing was written twice.",
            words::when(desk, entry.written_unix_seconds)
        );
    }
    shell
}
