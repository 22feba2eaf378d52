//! Entries sent twice, and entries of an invented shelf.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use engine::log::{BinDescription, Body, Lid, Walls};
use store::{New, NewBin, Store, StoreError};

const NOW: i64 = 1_760_000_000;

fn bin(name: &str) -> BinDescription {
    BinDescription {
        name: name.into(),
        length_cm: 60.0,
        width_cm: 40.0,
        depth_cm: 30.0,
        bedding_depth_cm: Some(20.0),
        walls: Walls::Wood,
        lid: Lid::Vented,
        drains: true,
        place: "cellar".into(),
        retired: false,
    }
}

fn note(text: &str) -> Body {
    Body::Note { text: text.into() }
}

#[test]
fn a_form_sent_twice_is_one_entry() {
    let mut store = Store::open_in_memory().unwrap();
    let (id, _) = store.create_bin(bin("North"), NOW, "UTC", NOW).unwrap();
    let sent = New::at(NOW, "UTC", Body::Turned)
        .about(id)
        .once("form 1".to_owned());
    let first = store.append(sent.clone()).unwrap();
    let before = store.all_entries().unwrap();
    let again = store.append(sent.clone()).unwrap_err();
    assert!(
        matches!(again, StoreError::Already { entry } if entry == first),
        "{again}"
    );
    assert!(again.is_input());
    // In a group, too; then nothing of the group is written.
    let group = vec![New::at(NOW, "UTC", note("a")).about(id), sent.clone()];
    assert!(store.append_all(group).is_err());
    // A new bin by the same form.
    let made = NewBin {
        description: New::at(NOW, "UTC", Body::Bin(bin("South"))).once("form 2".to_owned()),
        entries: vec![New::at(NOW, "UTC", Body::Turned)],
    };
    assert_eq!(store.all_entries().unwrap(), before);
    let (south, ids) = store.create(made.clone()).unwrap();
    assert!(matches!(store.create(made), Err(StoreError::Already { entry }) if entry == ids[0]));
    assert_eq!(store.bins().unwrap().len(), 2);
    // Another key is another entry; no key writes as often as asked.
    store
        .append(sent.clone().once("form 3".to_owned()))
        .unwrap();
    store.append(sent.clone().once(None)).unwrap();
    store.append(sent.clone().once(None)).unwrap();
    assert_eq!(store.entries(Some(id)).unwrap().len(), 5);
    assert_eq!(store.entries(Some(south)).unwrap().len(), 2);
    assert!(store.append(sent.once(String::new())).is_err());
}

#[test]
fn the_same_said_again_within_a_minute_is_known() {
    let mut store = Store::open_in_memory().unwrap();
    let (one, _) = store.create_bin(bin("North"), NOW, "UTC", NOW).unwrap();
    let (two, _) = store.create_bin(bin("South"), NOW, "UTC", NOW).unwrap();
    let said = |at: i64, written: i64, text: &str| {
        New::at(at, "UTC", note(text)).about(one).written(written)
    };
    let id = store.append(said(NOW, NOW, "wet")).unwrap();
    let lately = |new: New| store.lately(&new, 60).unwrap();
    assert_eq!(lately(said(NOW + 59, NOW + 59, "wet")), Some(id));
    for other in [
        said(NOW, NOW, "dry"),
        said(NOW, NOW, "wet").about(two),
        said(NOW, NOW, "wet").about(None),
        // Later, or of another day though written now.
        said(NOW + 61, NOW + 61, "wet"),
        said(NOW - 86_400, NOW + 10, "wet"),
    ] {
        assert_eq!(lately(other), None);
    }
}

#[test]
fn an_invented_shelf_is_marked_and_made_whole_or_not_at_all() {
    let dir = tempfile::tempdir().unwrap();
    let mut store = Store::open(&dir.path().join("log.db")).unwrap();
    let demo = |body| New::at(NOW, "UTC", body).demo(true);
    let shelf = |name: &str, last: Body| NewBin {
        description: demo(Body::Bin(bin(name))),
        entries: vec![demo(Body::Turned), demo(last)],
    };
    let setting = Body::Setting {
        name: "demo".into(),
        value: "yes".into(),
    };
    let bad = vec![shelf("North", note("a")), shelf("South", note(""))];
    assert!(
        store
            .append_shelf(bad, vec![demo(setting.clone())])
            .is_err()
    );
    assert!(store.is_empty().unwrap());
    let good = vec![shelf("North", note("a")), shelf("South", note("b"))];
    let made = store.append_shelf(good, vec![demo(setting)]).unwrap();
    assert_eq!(made.len(), 2);
    let mine = store
        .append(New::at(NOW, "UTC", note("mine")).about(made[0].0))
        .unwrap();
    let marked = store.demo_entries().unwrap();
    assert_eq!(marked.len(), 7);
    assert!(!marked.contains(&mine) && marked.contains(&made[1].1[2]));
}
