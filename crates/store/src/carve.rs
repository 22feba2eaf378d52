//! Entries out of the bytes of a damaged file, whatever became of its trees:
//! every place is tried as the beginning of a row, and what is found must
//! carry its seal. (Format of rows: the SQLite file format, sections 1.6 and
//! 2.1; <https://www.sqlite.org/fileformat2.html>.)

use crate::migrate::is_as_taken;
use crate::seal::Record;
use std::collections::BTreeMap;

/// Page sizes SQLite knows [bytes].
pub(crate) const PAGES: [usize; 8] = [512, 1024, 2048, 4096, 8192, 16_384, 32_768, 65_536];

/// Longest row looked for [bytes]; what an entry may say is far shorter.
const ROW_LONG: usize = 4_194_304;

/// Rows that are looked at whole are together at most so many times as long as
/// the bytes: a row of ours may be put together once for each size of page.
const WORK: usize = 32;

/// What was found, by number of the entry.
#[derive(Debug, Default)]
pub(crate) struct Found {
    /// Entries whose seal holds.
    pub(crate) sealed: BTreeMap<i64, Record>,
    /// Rows of an entry's shape whose seal does not hold.
    pub(crate) broken: BTreeMap<i64, Record>,
    /// Entries of schema 1, which had no seal: whole in themselves.
    pub(crate) unsealed: BTreeMap<i64, Record>,
}

/// Try every place in `bytes`, a file or a part of one; in one full of what only
/// begins like rows, as many as [`WORK`] lets.
pub(crate) fn carve(bytes: &[u8], found: &mut Found) {
    let mut left = bytes.len().saturating_mul(WORK);
    for at in 0..bytes.len() {
        if let Some((id, row)) = row_at(bytes, at, &mut left) {
            take(id, &row, found);
        }
    }
}

fn take(id: i64, row: &[Value], found: &mut Found) {
    if let Some(record) = sealed_shape(id, row) {
        if record.holds() {
            found.sealed.entry(id).or_insert(record);
        } else {
            found.broken.entry(id).or_insert(record);
        }
    } else if let Some(record) = unsealed_shape(id, row) {
        found.unsealed.entry(id).or_insert(record);
    }
}

#[derive(Debug)]
enum Value {
    Null,
    Number(i64),
    Text(String),
}

impl Value {
    fn number(&self) -> Option<i64> {
        match self {
            Self::Number(n) => Some(*n),
            _ => None,
        }
    }

    fn text(&self) -> Option<String> {
        match self {
            Self::Text(t) => Some(t.clone()),
            _ => None,
        }
    }

    /// Nothing, or what `read` makes of it.
    fn or_null<T>(&self, read: fn(&Self) -> Option<T>) -> Option<Option<T>> {
        match self {
            Self::Null => Some(None),
            other => read(other).map(Some),
        }
    }
}

/// A row of schema 2: the columns in the order of its table.
fn sealed_shape(id: i64, row: &[Value]) -> Option<Record> {
    let [Value::Null, rest @ ..] = row else {
        return None;
    };
    let [
        device,
        sequence,
        once,
        demo,
        checksum,
        bin,
        at,
        zone,
        written,
        kind,
        version,
        body,
    ] = rest
    else {
        return None;
    };
    Some(Record {
        id,
        device: device.text()?,
        sequence: sequence.number()?,
        once: once.or_null(Value::text)?,
        demo: demo.number()?,
        checksum: checksum.number()?,
        bin: bin.or_null(Value::number)?,
        at_unix_seconds: at.number()?,
        zone: zone.text()?,
        written_unix_seconds: written.number()?,
        kind: kind.text()?,
        engine_version: version.text()?,
        body: body.text()?,
    })
}

/// A row of schema 1, when its body is one that schema took.
fn unsealed_shape(id: i64, row: &[Value]) -> Option<Record> {
    let [Value::Null, bin, at, zone, written, kind, body, version] = row else {
        return None;
    };
    let (kind, body) = (kind.text()?, body.text()?);
    let record = Record {
        id,
        device: String::new(),
        sequence: 0,
        once: None,
        demo: 0,
        checksum: 0,
        bin: bin.or_null(Value::number)?,
        at_unix_seconds: at.number()?,
        zone: zone.text()?,
        written_unix_seconds: written.number()?,
        kind,
        engine_version: version.text()?,
        body,
    };
    is_as_taken(&record).then_some(record)
}

/// The row that begins at `at`, if one does, and as far as there is work `left`.
fn row_at(bytes: &[u8], at: usize, left: &mut usize) -> Option<(i64, Vec<Value>)> {
    let mut cell = bytes.get(at..)?;
    let long = usize::try_from(varint(&mut cell)?).ok()?;
    let id = varint(&mut cell)?;
    if !(12..=ROW_LONG).contains(&long) || id < 1 {
        return None;
    }
    let sorts = sorts(cell, long)?;
    let head = long - sorts.iter().map(|s| long_of(*s)).sum::<usize>();
    *left = left.checked_sub(long)?;
    if let Some(payload) = cell.get(..long)
        && let Some(row) = values(&payload[head..], &sorts)
        && worth_keeping(id, &row)
    {
        return Some((id, row));
    }
    // It may go on in other pages; how depends on how large they are.
    PAGES.iter().find_map(|page| {
        *left = left.checked_sub(long)?;
        let payload = over_pages(bytes, cell, long, *page)?;
        let row = values(&payload[head..], &sorts)?;
        worth_keeping(id, &row).then_some((id, row))
    })
}

/// Whether to look no further for how a row goes on.
fn worth_keeping(id: i64, row: &[Value]) -> bool {
    sealed_shape(id, row).is_some_and(|r| r.holds()) || unsealed_shape(id, row).is_some()
}

/// The sorts of the columns, when they make up a row of that length of one of
/// our tables.
fn sorts(payload: &[u8], long: usize) -> Option<Vec<u64>> {
    let mut head = payload;
    let head_long = usize::try_from(varint(&mut head)?).ok()?;
    let sorts_long = head_long.checked_sub(payload.len() - head.len())?;
    let mut head = head.get(..sorts_long)?;
    let mut sorts = Vec::new();
    while !head.is_empty() {
        if sorts.len() > 13 {
            return None;
        }
        sorts.push(u64::try_from(varint(&mut head)?).ok()?);
    }
    let ours = sorts.first() == Some(&0) && matches!(sorts.len(), 8 | 13);
    let body = sorts.iter().try_fold(head_long, |sum, s| {
        // Numbers with a point and blobs are in none of our columns.
        let known = matches!(s, 0..=6 | 8 | 9) || s % 2 == 1 && *s >= 13;
        known.then(|| sum.checked_add(long_of(*s)))?
    })?;
    (ours && body == long).then_some(sorts)
}

/// Bytes of a value of that sort.
fn long_of(sort: u64) -> usize {
    match sort {
        1..=4 => sort as usize,
        5 => 6,
        6 => 8,
        s if s >= 13 => usize::try_from((s - 13) / 2).unwrap_or(usize::MAX),
        _ => 0,
    }
}

fn values(mut body: &[u8], sorts: &[u64]) -> Option<Vec<Value>> {
    sorts
        .iter()
        .map(|sort| {
            let (own, rest) = body.split_at_checked(long_of(*sort))?;
            body = rest;
            Some(match sort {
                0 => Value::Null,
                8 => Value::Number(0),
                9 => Value::Number(1),
                1..=6 => Value::Number(big_endian(own)),
                _ => Value::Text(String::from_utf8(own.to_vec()).ok()?),
            })
        })
        .collect()
}

/// A number as it stands in a row, with its sign.
fn big_endian(bytes: &[u8]) -> i64 {
    let negative = bytes.first().is_some_and(|b| b & 0x80 != 0);
    let start = if negative { -1 } else { 0 };
    bytes.iter().fold(start, |n, b| (n << 8) | i64::from(*b))
}

/// A row that goes on from page to page: what of it is in the cell, and the
/// number of the page it goes on in.
fn over_pages(bytes: &[u8], cell: &[u8], long: usize, page: usize) -> Option<Vec<u8>> {
    let least = (page - 12) * 32 / 255 - 23;
    if long <= page - 35 {
        return None;
    }
    let fits = least + (long - least) % (page - 4);
    let local = if fits <= page - 35 { fits } else { least };
    let mut payload = cell.get(..local)?.to_vec();
    let mut next = cell.get(local..local + 4)?;
    while payload.len() < long {
        let number = usize::try_from(u32::from_be_bytes(next.try_into().ok()?)).ok()?;
        let start = number.checked_sub(1)?.checked_mul(page)?;
        let other = bytes.get(start..start.checked_add(page)?)?;
        next = &other[..4];
        let more = (long - payload.len()).min(page - 4);
        payload.extend_from_slice(&other[4..4 + more]);
    }
    Some(payload)
}

/// A number of one to nine bytes, taken from the front.
fn varint(from: &mut &[u8]) -> Option<i64> {
    let mut n: u64 = 0;
    for place in 0..9 {
        let (byte, rest) = from.split_first()?;
        *from = rest;
        if place == 8 {
            return Some((n << 8 | u64::from(*byte)).cast_signed());
        }
        n = n << 7 | u64::from(byte & 0x7f);
        if byte & 0x80 == 0 {
            return Some(n.cast_signed());
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::{Duration, Instant};

    /// A row of 8 columns that says it is over a megabyte long, again and again:
    /// each would be summed whole.
    #[test]
    fn what_only_begins_like_rows_is_not_looked_at_without_end() {
        let text = |long: usize| 2 * long + 13;
        let var = |n: usize| {
            let bytes = [n >> 21, n >> 14, n >> 7, n].map(|b| (b & 0x7f) as u8);
            [bytes[0] | 0x80, bytes[1] | 0x80, bytes[2] | 0x80, bytes[3]]
        };
        let mut row = Vec::new();
        // Sorts: bin, at, zone, written, kind, body, version.
        let sorts = [&[12, 0, 0, 1, 13, 1, 13][..], &var(text(1_200_000)), &[13]].concat();
        row.extend(var(sorts.len() + 2 + 1_200_000));
        row.push(1);
        row.extend(sorts);
        let bytes = row.repeat(3_000_000 / row.len());
        assert!(row_at(&bytes, 0, &mut 0).is_none());
        let mut enough = usize::MAX;
        row_at(&bytes, 0, &mut enough);
        assert!(enough < usize::MAX - 1_000_000, "no row is looked at whole");
        let begun = Instant::now();
        carve(&bytes, &mut Found::default());
        assert!(begun.elapsed() < Duration::from_secs(60));
    }
}
