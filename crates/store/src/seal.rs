//! A row of the file as it stands there, and the checksum that seals it.

use crate::StoreError;
use crc32fast::Hasher;
use engine::log::{BinId, Body, Entry, EntryId};
use rusqlite::{Connection, Row, params};

/// The columns [`Record::read`] reads, in order.
pub(crate) const COLUMNS: &str = "id, device, sequence, once, demo, checksum, bin, \
    at_unix_seconds, zone, written_unix_seconds, kind, engine_version, body";

/// One row of the table `entry`, the body as text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Record {
    pub(crate) id: i64,
    pub(crate) device: String,
    pub(crate) sequence: i64,
    pub(crate) once: Option<String>,
    pub(crate) demo: i64,
    pub(crate) checksum: i64,
    pub(crate) bin: Option<i64>,
    pub(crate) at_unix_seconds: i64,
    pub(crate) zone: String,
    pub(crate) written_unix_seconds: i64,
    pub(crate) kind: String,
    pub(crate) engine_version: String,
    pub(crate) body: String,
}

/// Feeds values to a checksum so that no two rows feed the same bytes: each
/// begins with what it is, and texts with their length.
struct Fields(Hasher);

impl Fields {
    fn nothing(&mut self) {
        self.0.update(&[0]);
    }

    fn number(&mut self, n: i64) {
        self.0.update(&[1]);
        self.0.update(&n.to_le_bytes());
    }

    fn text(&mut self, text: &str) {
        self.0.update(&[2]);
        self.0.update(&(text.len() as u64).to_le_bytes());
        self.0.update(text.as_bytes());
    }
}

impl Record {
    /// The checksum of everything but the checksum: CRC-32 (IEEE 802.3).
    pub(crate) fn seal(&self) -> i64 {
        let mut fields = Fields(Hasher::new());
        fields.text("bedwright entry, schema 2");
        fields.number(self.id);
        fields.text(&self.device);
        fields.number(self.sequence);
        match &self.once {
            Some(key) => fields.text(key),
            None => fields.nothing(),
        }
        fields.number(self.demo);
        match self.bin {
            Some(bin) => fields.number(bin),
            None => fields.nothing(),
        }
        fields.number(self.at_unix_seconds);
        fields.text(&self.zone);
        fields.number(self.written_unix_seconds);
        fields.text(&self.kind);
        fields.text(&self.engine_version);
        fields.text(&self.body);
        i64::from(fields.0.finalize())
    }

    /// With its checksum set.
    pub(crate) fn sealed(mut self) -> Self {
        self.checksum = self.seal();
        self
    }

    /// Whether it says what was written.
    pub(crate) fn holds(&self) -> bool {
        self.checksum == self.seal() && (0..=1).contains(&self.demo)
    }

    /// As an entry, with its body read.
    pub(crate) fn entry(self, body: Body) -> Entry {
        Entry {
            id: EntryId(self.id),
            bin: self.bin.map(BinId),
            at_unix_seconds: self.at_unix_seconds,
            zone: self.zone,
            written_unix_seconds: self.written_unix_seconds,
            body,
        }
    }

    /// A row of [`COLUMNS`] as it stands.
    ///
    /// # Errors
    /// When a value is not of the sort its column holds.
    pub(crate) fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            id: row.get(0)?,
            device: row.get(1)?,
            sequence: row.get(2)?,
            once: row.get(3)?,
            demo: row.get(4)?,
            checksum: row.get(5)?,
            bin: row.get(6)?,
            at_unix_seconds: row.get(7)?,
            zone: row.get(8)?,
            written_unix_seconds: row.get(9)?,
            kind: row.get(10)?,
            engine_version: row.get(11)?,
            body: row.get(12)?,
        })
    }

    /// Add the row, and read it back: what the file now says is this, or the
    /// transaction must not stand.
    ///
    /// # Errors
    /// When it was not added exactly once, or reads otherwise.
    pub(crate) fn add(&self, tx: &Connection) -> Result<(), StoreError> {
        let mut insert = tx.prepare_cached(&format!(
            "INSERT INTO entry ({COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)"
        ))?;
        let added = insert.execute(params![
            self.id,
            self.device,
            self.sequence,
            self.once,
            self.demo,
            self.checksum,
            self.bin,
            self.at_unix_seconds,
            self.zone,
            self.written_unix_seconds,
            self.kind,
            self.engine_version,
            self.body,
        ])?;
        let there = by_id(tx, self.id)?;
        if added == 1 && there.as_ref() == Some(self) {
            return Ok(());
        }
        Err(StoreError::Unwritten)
    }
}

/// The row numbered `id`, when it is there.
///
/// # Errors
/// When the file cannot be read, or a value is not of the sort its column holds.
pub(crate) fn by_id(db: &Connection, id: i64) -> rusqlite::Result<Option<Record>> {
    let mut query = db.prepare_cached(&format!("SELECT {COLUMNS} FROM entry WHERE id = ?1"))?;
    let mut rows = query.query([id])?;
    rows.next()?.map(Record::read).transpose()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record() -> Record {
        Record {
            id: 3,
            device: "ab".into(),
            sequence: 2,
            once: None,
            demo: 0,
            checksum: 0,
            bin: Some(1),
            at_unix_seconds: 1_760_000_000,
            zone: "UTC".into(),
            written_unix_seconds: 1_760_000_000,
            kind: "turned".into(),
            engine_version: "0.1.0".into(),
            body: r#"{"kind":"turned"}"#.into(),
        }
        .sealed()
    }

    #[test]
    fn a_seal_breaks_with_any_column() {
        let whole = record();
        assert!(whole.holds());
        let changes: [fn(&mut Record); 13] = [
            |r| r.id += 1,
            |r| r.device.push('c'),
            |r| r.sequence += 1,
            |r| r.once = Some(String::new()),
            |r| r.demo = 1,
            |r| r.checksum ^= 1,
            |r| r.bin = None,
            |r| r.at_unix_seconds -= 1,
            |r| r.zone = "utc".into(),
            |r| r.written_unix_seconds += 1 << 40,
            |r| r.kind.clear(),
            // A letter moved from one text to the next.
            |r| (r.engine_version, r.body) = ("0.1.".into(), r#"0{"kind":"turned"}"#.into()),
            |r| r.body.push(' '),
        ];
        for (n, change) in changes.iter().enumerate() {
            let mut other = whole.clone();
            change(&mut other);
            assert!(!other.holds(), "change {n}");
        }
    }
}
