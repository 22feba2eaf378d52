//! The log as it now stands.

use super::{Body, Entry, EntryId};
use std::collections::BTreeMap;

/// The log as it now stands: corrections applied, corrected and struck entries
/// left out, in order of when things happened (then of writing).
///
/// A correction of a correction replaces the correction. Corrections that name
/// no entry present are ignored here (the store refuses them on the way in).
#[must_use]
pub fn effective(entries: &[Entry]) -> Vec<Entry> {
    let mut standing: BTreeMap<EntryId, Entry> = BTreeMap::new();
    let mut stands_for: BTreeMap<EntryId, EntryId> = BTreeMap::new();
    let written: BTreeMap<EntryId, &Entry> = entries.iter().map(|e| (e.id, e)).collect();
    for entry in entries {
        let Body::Correction {
            corrects,
            replacement,
            at_unix_seconds,
            ..
        } = &entry.body
        else {
            standing.insert(entry.id, entry.clone());
            continue;
        };
        let target = stands_for.get(corrects).copied().unwrap_or(*corrects);
        stands_for.insert(entry.id, target);
        let Some(original) = written.get(&target) else {
            continue;
        };
        match replacement {
            Some(body) => {
                let mended = Entry {
                    body: (**body).clone(),
                    at_unix_seconds: at_unix_seconds.unwrap_or(original.at_unix_seconds),
                    zone: original.zone.clone(),
                    ..**original
                };
                standing.insert(target, mended);
            }
            None => {
                standing.remove(&target);
            }
        }
    }
    let mut list: Vec<Entry> = standing.into_values().collect();
    list.sort_by_key(|e| (e.at_unix_seconds, e.id));
    list
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::BinId;

    fn note(id: i64, at: i64, text: &str) -> Entry {
        Entry {
            id: EntryId(id),
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".into(),
            written_unix_seconds: at,
            body: Body::Note { text: text.into() },
        }
    }

    fn correction(id: i64, corrects: i64, text: Option<&str>) -> Entry {
        let mut e = note(id, 100 + id, "");
        e.body = Body::Correction {
            corrects: EntryId(corrects),
            replacement: text.map(|t| Box::new(Body::Note { text: t.into() })),
            at_unix_seconds: None,
            reason: String::new(),
        };
        e
    }

    #[test]
    fn a_correction_replaces_and_a_later_one_wins() {
        let log = [
            note(1, 10, "pH 65"),
            correction(2, 1, Some("pH 6.5")),
            correction(3, 2, Some("pH 6.6")),
        ];
        let now = effective(&log);
        assert_eq!(now.len(), 1);
        assert_eq!(
            now[0].body,
            Body::Note {
                text: "pH 6.6".into()
            }
        );
        assert_eq!(now[0].id, EntryId(1));
    }

    /// Told in a second what took minutes when every correction sought its
    /// entry from the first.
    #[test]
    fn a_chain_of_a_hundred_thousand_corrections_is_followed() {
        let many = 100_000;
        let mut log: Vec<Entry> = (1..=many).map(|id| note(id, id, "said")).collect();
        log.extend((1..=many).map(|i| correction(many + i, many + i - 1, Some("again"))));
        let now = effective(&log);
        assert_eq!(now.len(), many as usize);
        assert_eq!(
            now[now.len() - 1].body,
            Body::Note {
                text: "again".into()
            }
        );
        assert_eq!(
            now[0].body,
            Body::Note {
                text: "said".into()
            }
        );
    }

    #[test]
    fn a_struck_entry_is_left_out_and_the_rest_is_in_order_of_happening() {
        let log = [note(1, 30, "c"), note(2, 10, "a"), correction(3, 1, None)];
        let now = effective(&log);
        assert_eq!(now.len(), 1);
        assert_eq!(now[0].id, EntryId(2));
    }
}
