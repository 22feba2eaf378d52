//! A small file of text the keeper gives to a command. It is looked at before
//! it is read, and never read beyond what such a file may hold.

use super::session::Fault;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// Largest file taken [bytes].
const MOST: u64 = 1_000_000;

/// The text of a file.
///
/// # Errors
/// [`Fault::Input`] naming the file when it cannot be read, is too large, or
/// is not text.
pub(super) fn text(path: &Path) -> Result<String, Fault> {
    read(path).map_err(|problem| Fault::input(format!("{}: {problem}", path.display())))
}

/// As [`text`]; what is wrong does not name the file.
pub(super) fn read(path: &Path) -> Result<String, String> {
    let unread = |e: std::io::Error| format!("cannot be read: {e}");
    let about = std::fs::metadata(path).map_err(unread)?;
    if about.is_dir() {
        return Err("cannot be read: it is a folder".to_owned());
    }
    if about.len() > MOST {
        return Err(format!(
            "holds {} bytes; a file of at most {MOST} bytes is read",
            about.len()
        ));
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(MOST + 1).read_to_end(&mut bytes))
        .map_err(unread)?;
    if bytes.len() as u64 > MOST {
        return Err(format!(
            "does not end within {MOST} bytes; a file of at most so many is read"
        ));
    }
    String::from_utf8(bytes).map_err(|e| {
        let good = e.utf8_error().valid_up_to();
        let line = 1 + e.as_bytes()[..good].iter().filter(|b| **b == b'\n').count();
        format!("line {line} is not UTF-8 text")
    })
}

/// Where the lines of a text begin, to tell a line by its byte.
pub(super) struct Lines(Vec<usize>);

impl Lines {
    pub(super) fn of(text: &str) -> Self {
        Self(text.match_indices('\n').map(|(at, _)| at).collect())
    }

    /// The line of a byte, from 1.
    pub(super) fn at(&self, byte: usize) -> usize {
        1 + self.0.partition_point(|end| *end < byte)
    }
}
