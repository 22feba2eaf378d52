//! When something was seen or done, as a form sends it.

use crate::desk::Desk;
use crate::typed::{self, MomentFault, short};
use crate::web::Fields;
use crate::web::widgets::{Chips, Control, Form};

/// The field a time is sent in.
const WHEN: &str = "when";
/// Which of two times is meant, where the clocks were changed.
const WHICH: &str = "which_time";

/// When, in the keeper's zone [s since 1970-01-01 00:00 UTC]; now when empty.
///
/// # Errors
/// What is wrong with it; a time the clocks skipped or showed twice is asked
/// about ([`offer_times`]).
pub(in crate::counter) fn when(desk: &Desk, fields: &Fields) -> Result<i64, String> {
    let text = fields.get(WHEN);
    if !matches!(fields.get(WHICH), "" | "earlier" | "later") {
        return Err("Choose one of the two times.".into());
    }
    if text.is_empty() {
        return Ok(desk.clock.unix_seconds());
    }
    let fault = match typed::moment(text, desk.clock.now().time_zone()) {
        Ok(at) => return Ok(at.timestamp().as_second()),
        Err(fault) => fault,
    };
    match (fault.either(), fields.get(WHICH)) {
        (Some(two), "earlier") => Ok(two[0].timestamp().as_second()),
        (Some(two), "later") => Ok(two[1].timestamp().as_second()),
        _ => Err(words(&fault, text)),
    }
}

fn words(fault: &MomentFault, text: &str) -> String {
    let typed = short(text);
    match fault {
        MomentFault::Unreadable => {
            format!("`{typed}` is not a date and time. Write it as 2026-11-24T18:05.")
        }
        MomentFault::Skipped(_) => format!(
            "There was no `{typed}`: the clocks went forward over it. Choose the time that is meant."
        ),
        MomentFault::Twice(_) => {
            format!("`{typed}` came twice: the clocks went back over it. Choose which is meant.")
        }
    }
}

/// Offers the two times a time may mean, under the time of a form that says
/// one the clocks skipped or showed twice.
pub(in crate::counter) fn offer_times(desk: &Desk, form: &mut Form, fields: &Fields) {
    let read = typed::moment(fields.get(WHEN), desk.clock.now().time_zone());
    let Err(fault) = read else { return };
    let (Some(two), Some(at)) = (fault.either(), form.place_of(WHEN)) else {
        return;
    };
    let [earlier, later] = two.each_ref().map(|t| match fault {
        MomentFault::Twice(_) => t.strftime("%H:%M, %:z from world time").to_string(),
        _ => t.strftime("%H:%M").to_string(),
    });
    let (earlier, later) = match fault {
        MomentFault::Twice(_) => (
            format!("The first {earlier}"),
            format!("The second {later}"),
        ),
        _ => (earlier, later),
    };
    let list = [("earlier", earlier.as_str()), ("later", later.as_str())];
    let mut chips = Chips::new(WHICH, "Which time", false, &list, fields.get(WHICH));
    form.kind.clone_into(&mut chips.scope);
    form.controls.insert(at + 1, Control::Chips(chips));
}

/// Fields without the time.
pub(in crate::counter) fn without_time(fields: &Fields) -> Fields {
    let kept = fields.0.iter().filter(|(n, _)| n != WHEN && n != WHICH);
    Fields(kept.cloned().collect())
}
