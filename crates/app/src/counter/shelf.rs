//! The shelf, the invented shelf, and a new bin.

use super::around::{refused, sentence, shell, units_of};
use super::bin::{Asked, question};
use super::new_bin::{self, NewBin};
use super::once::{self, Tried};
use super::{parse, picture, words};
use crate::chart::{SectionSize, bin_section};
use crate::demo;
use crate::desk::seen::STILL_SETTLING_SHORT;
use crate::desk::{Attention, Desk, DeskError, Level};
use crate::web::widgets::{Drift, Verdict};
use crate::web::*;
use engine::log::Body;
use store::StoreError;

pub(super) fn shelf(desk: &Desk) -> Answer<ShelfPage> {
    let mut bins = Vec::new();
    for view in desk.bins().map_err(refused)? {
        let state = desk.bin(view.id).map_err(refused)?;
        let attention = desk.attention(&state);
        let drawn = picture::section(desk, &state, &attention);
        let next = state.now + (attention.next_look() * 86_400.0) as i64;
        bins.push((
            urgency(attention.level),
            ShelfBin {
                id: view.id.0,
                name: state.description.name.clone(),
                place: words::place_of(&state),
                thumb: bin_section(&drawn, SectionSize::Thumb),
                verdict: verdict(&attention),
                next: words::day_words(desk, next),
                settling: match state.still_settling {
                    true => STILL_SETTLING_SHORT.to_owned(),
                    false => String::new(),
                },
            },
        ));
    }
    bins.sort_by_key(|(urgency, bin)| (*urgency, bin.id));
    Ok(ShelfPage {
        shell: shell(desk, "Shelf", Nav::Shelf),
        bins: bins.into_iter().map(|(_, bin)| bin).collect(),
        demo_goes: demo::there(desk)
            .map_err(refused)?
            .map_or_else(String::new, |d| d.goes()),
        reminder: desk
            .backed_up()
            .map_err(refused)?
            .reminder
            .unwrap_or_default(),
        may_demo: desk
            .store()
            .is_empty()
            .map_err(DeskError::from)
            .map_err(refused)?,
    })
}

/// Those that need something first.
fn urgency(level: Level) -> u8 {
    match level {
        Level::Act => 0,
        Level::Watch => 1,
        Level::Unknown => 2,
        Level::Well => 3,
    }
}

/// The one most important line, with its shape.
pub(super) fn verdict(attention: &Attention) -> Verdict {
    Verdict {
        drift: match attention.level {
            Level::Act => Drift::Stop,
            Level::Watch => Drift::Wait,
            Level::Well => Drift::Good,
            Level::Unknown => Drift::Unknown,
        },
        word: attention.level.word().into(),
        line: if attention.feed_now() && attention.level == Level::Well {
            format!("{}; feed it today", attention.line)
        } else {
            attention.line.clone()
        },
    }
}

pub(super) fn open_demo(desk: &Desk, fields: &Fields) -> Answer<String> {
    match demo::open(desk, once::given(fields).once) {
        // Sent twice: it is there.
        Ok(()) | Err(DeskError::Store(StoreError::Already { .. })) => Ok("/".into()),
        Err(DeskError::Unreadable(why)) => Err(PageError::new(
            409,
            "The demo shelf was not opened",
            &sentence(&why),
        )),
        Err(other) => Err(refused(other)),
    }
}

pub(super) fn close_demo(desk: &Desk, fields: &Fields) -> Answer<String> {
    let given = once::given(fields).once;
    let before = given.as_deref().map(|key| desk.store().written_by(key));
    if let Some(Ok(Some(_))) = before {
        return Ok("/".into());
    }
    if demo::there(desk).map_err(refused)?.is_none() {
        return Err(PageError::new(
            409,
            "There is no demo to put away",
            "What is on the shelf is your own, and stays.",
        ));
    }
    match demo::put_away(desk, given) {
        Ok(()) | Err(DeskError::Store(StoreError::Already { .. })) => Ok("/".into()),
        Err(other) => Err(refused(other)),
    }
}

pub(super) fn add_bin_form(desk: &Desk, fields: &Fields) -> Answer<AddBinPage> {
    let now = words::machine_time(desk, desk.clock.unix_seconds());
    let mut form = new_bin::form(units_of(desk, fields), &now);
    new_bin::prefill(&mut form, fields);
    Ok(AddBinPage {
        shell: shell(desk, "Add a bin", Nav::Shelf),
        form,
        materials: super::around::materials(desk),
    })
}

/// Where the bin is that a form made before; the form when there is none.
fn made_before<T>(desk: &Desk, made: &Result<T, DeskError>) -> String {
    let entry = match made {
        Err(DeskError::Store(StoreError::Already { entry })) => desk.store().entry(*entry).ok(),
        _ => None,
    };
    let bin = entry.and_then(|e| e.bin);
    bin.map_or_else(|| "/bins/new".to_owned(), |bin| format!("/bins/{}", bin.0))
}

pub(super) fn add_bin(desk: &Desk, fields: &Fields) -> Answer<Outcome<AddBinPage>> {
    let again = |faults: &[(String, String)]| -> Answer<Outcome<AddBinPage>> {
        let mut page = add_bin_form(desk, fields)?;
        parse::offer_times(desk, &mut page.form, fields);
        page.form.refill(fields, faults);
        Ok(Outcome::Show(Box::new(page)))
    };
    let NewBin {
        description,
        first,
        at,
    } = match new_bin::read(desk, fields) {
        Ok(new) => new,
        Err(faults) => return again(&faults),
    };
    let body = Body::Bin(description.clone());
    let made = desk.add_bin(description, first, at, &once::given(fields));
    let form = || add_bin_form(desk, fields).map(|page| page.form);
    let back = made_before(desk, &made);
    let tried = Tried {
        bin: None,
        body: &body,
        at: fields.has("when").then_some(at),
        back: &back,
    };
    let twice = |e: &DeskError| once::already(desk, e, &tried, form, fields);
    match made {
        Ok((bin, _)) => Ok(Outcome::Go(format!("/bins/{}?said=added", bin.0))),
        Err(e) if let Some(led) = twice(&e) => led,
        Err(e) if let Some(asked) = Asked::by(&e) => {
            question(desk, asked, form()?, fields, "/bins/new".into())
        }
        Err(e) if e.is_input() => again(&[(String::new(), sentence(&e))]),
        Err(e) => Err(refused(e)),
    }
}
