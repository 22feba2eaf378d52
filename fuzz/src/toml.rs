//! Files for `mix`, `dose`, `simulate` and `chemistry`.

use app::command::scrutiny::TomlFile;

const KINDS: [TomlFile; 4] = [
    TomlFile::Mix,
    TomlFile::Dose,
    TomlFile::Simulate,
    TomlFile::Chemistry,
];

/// Every fault in one short line.
pub fn attack(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    for kind in KINDS {
        let faults = kind.faults(super::tables(), text);
        faults.iter().for_each(|line| super::told(line));
    }
}
