//! Inputs that a fuzzer found worth keeping, and those that once did harm, tried
//! on the same functions the fuzzer tries (`fuzz/`).

#[path = "../../../fuzz/src/lib.rs"]
#[expect(
    unreachable_pub,
    clippy::expect_used,
    reason = "a target fails by panicking"
)]
mod fuzz;

use std::path::Path;

/// Tries everything in the corpus of a target; the name of what fails is told.
fn replay(target: &str) {
    let (name, attack) = fuzz::TARGETS
        .iter()
        .find(|(name, _)| *name == target)
        .expect("a target");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../fuzz/corpus")
        .join(name);
    let (mut tried, mut harmful) = (0, Vec::new());
    for file in std::fs::read_dir(&folder).expect("a corpus").flatten() {
        let data = std::fs::read(file.path()).expect("a file of the corpus");
        if std::panic::catch_unwind(|| attack(&data)).is_err() {
            harmful.push(file.file_name());
        }
        tried += 1;
    }
    assert!(
        harmful.is_empty(),
        "{harmful:?} of {} do harm",
        folder.display()
    );
    assert!(tried >= 5, "only {tried} inputs in {}", folder.display());
}

#[test]
fn amounts() {
    replay("amounts");
}

#[test]
fn times() {
    replay("times");
}

#[test]
fn toml() {
    replay("toml");
}

#[test]
fn import() {
    replay("import");
}

#[test]
fn forms() {
    replay("forms");
}
