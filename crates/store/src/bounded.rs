//! Reading from a file that may be anything, without taking more of it into
//! memory than one line may hold.

use crate::StoreError;
use std::cell::Cell;
use std::io::{self, BufRead, Read};
use std::rc::Rc;

/// Longest line taken [bytes].
pub(crate) const LINE_LONG: u64 = 1_048_576;

/// What the CSV reader may take at once beyond the line it is at [bytes].
const AHEAD: u64 = 65_536;

/// What is wrong with a line beyond [`LINE_LONG`].
pub(crate) fn too_long() -> String {
    format!("is longer than {LINE_LONG} bytes")
}

/// Read the next line into `bytes`; false at the end of the file.
pub(crate) fn read_line(input: &mut impl BufRead, bytes: &mut Vec<u8>) -> Result<bool, StoreError> {
    bytes.clear();
    let read = input.take(LINE_LONG + 1).read_until(b'\n', bytes);
    match read {
        Err(e) => Err(StoreError::invalid(
            "line",
            format!("could not be read: {e}"),
        )),
        Ok(_) if bytes.len() as u64 > LINE_LONG => Err(StoreError::invalid("line", too_long())),
        Ok(n) => Ok(n > 0),
    }
}

/// A reader that gives so much of a line and no more.
pub(crate) struct Bounded<R> {
    inner: R,
    allowance: Allowance,
}

/// How much may still be read for the line under way.
#[derive(Clone)]
pub(crate) struct Allowance(Rc<Cell<u64>>);

impl Allowance {
    /// A new line begins.
    pub(crate) fn renew(&self) {
        self.0.set(LINE_LONG + AHEAD);
    }
}

impl<R: Read> Bounded<R> {
    pub(crate) fn new(inner: R) -> (Self, Allowance) {
        let allowance = Allowance(Rc::default());
        allowance.renew();
        let ours = allowance.clone();
        (
            Self {
                inner,
                allowance: ours,
            },
            allowance,
        )
    }
}

impl<R: Read> Read for Bounded<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let left = &self.allowance.0;
        let most = usize::try_from(left.get()).map_or(into.len(), |l| l.min(into.len()));
        if most == 0 && !into.is_empty() {
            return Err(io::Error::other(format!("the line {}", too_long())));
        }
        let read = self.inner.read(&mut into[..most])?;
        left.set(left.get() - read as u64);
        Ok(read)
    }
}
