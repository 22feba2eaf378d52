//! Times as typed, in a zone that has gaps and doubled hours.

use app::args::Global;
use app::command::{Fault, session::Session};
use app::typed;
use jiff::tz::TimeZone;

/// Refused in short lines; or a moment that is written down and read again as
/// itself. `--when` gives nothing that is still to come.
pub fn attack(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    let zone = TimeZone::get("Europe/Paris").expect("zones are built in");
    match typed::moment(text, &zone) {
        Ok(moment) => {
            let said = moment.timestamp().to_string();
            let again = typed::moment(&said, &zone).map(|m| m.timestamp());
            assert_eq!(again.ok(), Some(moment.timestamp()), "`{text}` as `{said}`");
        }
        Err(fault) => super::told(&fault.text(text)),
    }
    as_option(text);
}

fn as_option(text: &str) {
    let global = |now: &str| Global {
        data: None,
        now: Some(now.to_owned()),
        settled: false,
        seed: None,
    };
    if let Err(refused) = Session::new(global(text)) {
        every_line(&refused);
    }
    let session = Session::new(global("2026-11-24T18:05Z")).expect("a plain time");
    match session.when(Some(text)) {
        Ok(at) => assert!(
            at <= session.clock.unix_seconds() + 120,
            "`{text}` is to come"
        ),
        Err(refused) => every_line(&refused),
    }
}

fn every_line(fault: &Fault) {
    match fault {
        Fault::Input(lines) => {
            assert!(!lines.is_empty());
            lines.iter().for_each(|line| super::told(line));
        }
        Fault::Other(line) => super::told(line),
    }
}
