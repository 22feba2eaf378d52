//! Files without an end: refused, or taken in, in little memory. A program of
//! its own, so that what it measures is its own.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![cfg(target_os = "linux")]

use std::io::{BufReader, Read};
use store::Store;

const GIGABYTE: u64 = 1_000_000_000;
/// Most memory the whole program may ever have taken [kB].
const MOST_KB: u64 = 64 * 1024;

/// So many bytes, over and over the same, then the end.
struct Over<'a> {
    what: &'a [u8],
    at: usize,
    left: u64,
}

impl Read for Over<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let long = into
            .len()
            .min(usize::try_from(self.left).unwrap_or(usize::MAX));
        for byte in &mut into[..long] {
            *byte = self.what[self.at];
            self.at = (self.at + 1) % self.what.len();
        }
        self.left -= long as u64;
        Ok(long)
    }
}

fn over(what: &[u8], left: u64) -> Over<'_> {
    Over { what, at: 0, left }
}

/// Lines of a log of so many bytes, each with the next number.
struct Notes {
    next: i64,
    left: u64,
    line: Vec<u8>,
}

impl Read for Notes {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        if self.line.is_empty() && self.left > 0 {
            let text = "castings ".repeat(900);
            self.line = format!(
                r#"{{"id":{},"bin":null,"at_unix_seconds":1760000000,"zone":"UTC","written_unix_seconds":1760000000,"body":{{"kind":"note","text":"{text}"}}}}"#,
                self.next
            )
            .into_bytes();
            self.line.push(b'\n');
            self.next += 1;
            self.left = self.left.saturating_sub(self.line.len() as u64);
        }
        let long = into.len().min(self.line.len());
        into[..long].copy_from_slice(&self.line[..long]);
        self.line.drain(..long);
        Ok(long)
    }
}

fn peak_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find(|l| l.starts_with("VmHWM:")).unwrap();
    line.split_whitespace().nth(1).unwrap().parse().unwrap()
}

#[test]
fn a_file_of_a_gigabyte_takes_little_memory() {
    let dir = tempfile::tempdir().unwrap();
    let mut store = Store::open(&dir.path().join("log.db")).unwrap();
    let head = "id,bin,at_unix_seconds,zone,written_unix_seconds,kind,body\n";
    let too_long = "is longer than 1048576 bytes";
    for what in [&b"x"[..], b"\"", b"{\"id\":", b",", b"\"\"", b" "] {
        let lines = BufReader::new(over(what, GIGABYTE));
        let text = store
            .import_jsonl(lines, &mut |_| Ok(()))
            .unwrap_err()
            .to_string();
        assert!(
            text.starts_with("line 1: ") && text.contains(too_long),
            "{text}"
        );
        for long_head in [false, true] {
            let head = if long_head { "" } else { head };
            let table = head.as_bytes().chain(over(what, GIGABYTE));
            let text = store
                .import_csv(table, &mut |_| Ok(()))
                .unwrap_err()
                .to_string();
            assert!(text.contains("line "), "{text}");
            assert!(text.chars().count() < 300, "{text}");
        }
    }
    // Line after line that is well formed, in one transaction.
    let notes = Notes {
        next: 1,
        left: GIGABYTE / 4,
        line: Vec::new(),
    };
    let done = store
        .import_jsonl(BufReader::new(notes), &mut |_| Ok(()))
        .unwrap();
    assert!(done.added > 25_000);
    assert!(peak_kb() < MOST_KB, "{} kB", peak_kb());
}
