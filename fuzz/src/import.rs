//! An exported log taken in, JSON Lines or CSV: all or none.

use app::desk::{Clock, Desk};

/// A refusal leaves an empty log empty; what is taken in can be read, is
/// exported, and comes back the same by both forms.
pub fn attack(data: &[u8]) {
    let desk = empty();
    let taken = desk.import(data);
    let count = desk.store().all_entries().expect("a log can be read").len();
    match taken {
        Err(refused) => {
            super::told(&refused.to_string());
            assert_eq!(count, 0, "refused, and yet taken in");
        }
        Ok(done) => {
            assert_eq!(done.added, count, "entries taken in can be read");
            assert!(desk.store().unreadable().is_empty());
            comes_back(&desk);
        }
    }
}

/// The log by its exports, taken in anew, exports the same.
pub(crate) fn comes_back(desk: &Desk) {
    let whole = exports(desk);
    for form in &whole {
        let again = empty();
        again.import(form).expect("its own export");
        assert!(
            exports(&again) == whole,
            "comes back otherwise: {}",
            text(form)
        );
    }
}

/// As JSON Lines and as CSV.
fn exports(desk: &Desk) -> [Vec<u8>; 2] {
    let (mut lines, mut table) = (Vec::new(), Vec::new());
    let store = desk.store();
    store.export_jsonl(&mut lines).expect("memory takes all");
    store.export_csv(&mut table).expect("memory takes all");
    [lines, table]
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("exports are text")
}

fn empty() -> Desk {
    let now = "2026-11-24T18:05[Europe/Paris]".parse().expect("a time");
    Desk::in_memory(Clock::stopped(now)).expect("the tables are sound")
}
