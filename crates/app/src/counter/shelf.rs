//! The shelf, the invented shelf, and a new bin.

use super::around::{refused, sentence, shell, units};
use super::bin::{Asked, question};
use super::new_bin::{self, NewBin};
use super::{parse, picture, words};
use crate::chart::{SectionSize, bin_section};
use crate::demo;
use crate::desk::{Attention, Desk, DeskError, Level};
use crate::web::widgets::{Drift, Verdict};
use crate::web::*;

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

pub(super) fn open_demo(desk: &Desk) -> Answer<String> {
    demo::open(desk).map_err(|e| match e {
        DeskError::Unreadable(why) => {
            PageError::new(409, "The demo shelf was not opened", &sentence(&why))
        }
        other => refused(other),
    })?;
    Ok("/".into())
}

pub(super) fn close_demo(desk: &Desk) -> Answer<String> {
    if demo::there(desk).map_err(refused)?.is_none() {
        return Err(PageError::new(
            409,
            "There is no demo to put away",
            "What is on the shelf is your own, and stays.",
        ));
    }
    demo::put_away(desk).map_err(refused)?;
    Ok("/".into())
}

pub(super) fn add_bin_form(desk: &Desk, fields: &Fields) -> Answer<AddBinPage> {
    let now = words::machine_time(desk, desk.clock.unix_seconds());
    let mut form = new_bin::form(units(desk), &now);
    new_bin::prefill(&mut form, fields);
    Ok(AddBinPage {
        shell: shell(desk, "Add a bin", Nav::Shelf),
        form,
        materials: super::around::materials(desk),
    })
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
    for body in &first {
        if let Err(e) = desk.check_materials(body) {
            return again(&[(String::new(), sentence(&e))]);
        }
    }
    let asked = desk.doubts(&description, &first, at).map_err(refused)?;
    if !asked.is_empty() && fields.get("confirmed") != "yes" {
        let asked = Asked::of(&asked);
        let form = add_bin_form(desk, fields)?.form;
        return question(desk, asked, form, fields, "/bins/new".into());
    }
    let now = desk.clock.unix_seconds();
    let made = desk
        .store()
        .create_bin_with(description, at, &desk.clock.zone_name(), now, first);
    match made {
        Ok((bin, _)) => Ok(Outcome::Go(format!("/bins/{}?said=added", bin.0))),
        Err(e) if e.is_input() => again(&[(String::new(), sentence(&e))]),
        Err(e) => Err(refused(e.into())),
    }
}
