//! Files for `mix`, `dose`, `simulate` and `chemistry`.

use app::command::scrutiny::TomlFile;

const KINDS: [TomlFile; 4] = [
    TomlFile::Mix,
    TomlFile::Dose,
    TomlFile::Simulate,
    TomlFile::Chemistry,
];

/// Most lines told of one file, with the one that counts the rest.
const MOST: usize = 21;

/// Every fault in one short line, and not without end.
pub fn attack(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    for kind in KINDS {
        let faults = kind.faults(super::tables(), text);
        assert!(faults.len() <= MOST, "{kind:?}: {} lines", faults.len());
        faults.iter().for_each(|line| super::told(line));
    }
}
