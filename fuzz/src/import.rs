//! An exported log taken in, JSON Lines or CSV: all or none.

use engine::bed::fill::Own;
use engine::estimate::usable;
use store::{Imported, Store, StoreError};

/// A refusal leaves an empty log empty; what is taken in can be read, is
/// exported, and comes back the same by both forms.
pub fn attack(data: &[u8]) {
    let mut store = empty();
    let taken = take_in(&mut store, data);
    let count = store.all_entries().expect("a log can be read").len();
    match taken {
        Err(refused) => {
            super::told(&refused.to_string());
            assert_eq!(count, 0, "refused, and yet taken in");
        }
        Ok(done) => {
            assert_eq!(done.added, count, "entries taken in can be read");
            assert!(store.unreadable().is_empty());
            comes_back(&store);
        }
    }
}

/// By its first character, as on the page; a file of nothing is how an empty
/// log is saved as JSON Lines.
fn take_in(store: &mut Store, file: &[u8]) -> Result<Imported, StoreError> {
    let own = Own::new();
    let mut fits = |asked: store::Asked<'_>| match asked {
        store::Asked::Entry { new, .. } => {
            let fits = usable(super::tables(), &own, None, &new.body);
            fits.map_err(|e| e.to_string().into())
        }
        _ => Ok(()),
    };
    if file.is_empty() || file.trim_ascii_start().starts_with(b"{") {
        store.import_jsonl(file, &mut fits)
    } else {
        store.import_csv(file, &mut fits)
    }
}

/// The log by its exports, taken in anew, exports the same.
pub(crate) fn comes_back(store: &Store) {
    let whole = exports(store);
    for form in &whole {
        let mut again = empty();
        take_in(&mut again, form).expect("its own export");
        assert!(exports(&again) == whole, "otherwise: {}", text(form));
    }
}

/// As JSON Lines and as CSV.
fn exports(store: &Store) -> [Vec<u8>; 2] {
    let (mut lines, mut table) = (Vec::new(), Vec::new());
    store.export_jsonl(&mut lines).expect("memory takes all");
    store.export_csv(&mut table).expect("memory takes all");
    [lines, table]
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("exports are text")
}

fn empty() -> Store {
    Store::open_in_memory().expect("a log in memory")
}
