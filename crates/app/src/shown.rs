//! What leaves the program for a screen. Text that came from a file, a form or
//! an argument may hold characters that move a terminal's cursor, ring its
//! bell or turn the order of letters round: they are shown as their number
//! instead, here and nowhere else.

use std::borrow::Cow;
use std::fmt::Write;
use std::io;

/// Whether a character is for machines only, or turns the order of letters.
/// A new line and a tab are text.
#[must_use]
pub fn is_hidden(c: char) -> bool {
    let lays_out = matches!(c, '\n' | '\t');
    let turns = matches!(
        c,
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'
    );
    let breaks = matches!(c, '\u{2028}' | '\u{2029}');
    (c.is_control() && !lays_out) || turns || breaks
}

/// Text for a terminal or a page: `‹U+001B›` for an escape.
#[must_use]
pub fn text(text: &str) -> Cow<'_, str> {
    shown(text, is_hidden, |out, c| {
        let _ = write!(out, "‹U+{:04X}›", u32::from(c));
    })
}

/// As [`text`], in one line: a fault is told in one.
#[must_use]
pub fn line(text: &str) -> Cow<'_, str> {
    let hidden = |c| is_hidden(c) || c == '\n' || c == '\t';
    shown(text, hidden, |out, c| match c {
        '\n' | '\t' => out.push(' '),
        c => {
            let _ = write!(out, "‹U+{:04X}›", u32::from(c));
        }
    })
}

/// JSON says the same with its own escapes, which any reader takes back.
#[must_use]
pub fn json(text: &str) -> Cow<'_, str> {
    shown(text, is_hidden, |out, c| {
        // All of them stand for themselves in UTF-16.
        let _ = write!(out, "\\u{:04x}", u32::from(c));
    })
}

/// Passes text on, shown in one of these ways, a line at a time.
#[derive(Debug)]
pub struct Through<W: io::Write> {
    out: W,
    show: fn(&str) -> Cow<'_, str>,
    held: Vec<u8>,
}

impl<W: io::Write> Through<W> {
    /// On to `out`, by `show`.
    pub fn new(out: W, show: fn(&str) -> Cow<'_, str>) -> Self {
        Self {
            out,
            show,
            held: Vec::new(),
        }
    }

    fn pass_on(&mut self, bytes: usize) -> io::Result<()> {
        let line: Vec<u8> = self.held.drain(..bytes).collect();
        let text = String::from_utf8(line).map_err(|_| io::ErrorKind::InvalidData)?;
        self.out.write_all((self.show)(&text).as_bytes())
    }
}

impl<W: io::Write> io::Write for Through<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.held.extend_from_slice(bytes);
        if let Some(end) = self.held.iter().rposition(|b| *b == b'\n') {
            self.pass_on(end + 1)?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.pass_on(self.held.len())?;
        self.out.flush()
    }
}

fn shown(
    text: &str,
    hidden: impl Fn(char) -> bool,
    write: impl Fn(&mut String, char),
) -> Cow<'_, str> {
    if !text.contains(&hidden) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 32);
    for c in text.chars() {
        if hidden(c) {
            write(&mut out, c);
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_moves_a_cursor_or_turns_letters_is_left() {
        let hostile = "a\u{1b}[2J\u{7}\r\0\u{7f}\u{9b}1m\u{202e}\u{2067}\u{2028}b\n\tc";
        for shown in [text(hostile), json(hostile)] {
            assert!(!shown.contains(is_hidden), "{shown:?}");
            assert!(shown.ends_with("b\n\tc"), "{shown:?}");
        }
        assert!(text(hostile).starts_with("a‹U+001B›[2J‹U+0007›‹U+000D›"));
        let one = line(hostile);
        assert!(
            !one.contains(is_hidden) && one.lines().count() == 1,
            "{one:?}"
        );
        let back: String =
            serde_json::from_str(&json("\"\u{9b}\u{202e}\u{7f}\"")).unwrap_or_default();
        assert_eq!(back, "\u{9b}\u{202e}\u{7f}");
    }

    #[test]
    fn plain_text_is_left_alone() {
        for plain in [
            "20 °C, 1½ cups; “kitchen”",
            "ящик червей",
            "تربة",
            "👩\u{200d}🌾",
        ] {
            assert!(matches!(text(plain), Cow::Borrowed(_)), "{plain}");
        }
    }
}
