//! What comes from outside, as it is shown in a message.

use std::path::Path;

/// Longest path in a message [characters].
const PATH_LONG: usize = 90;

/// The other name of a file, for a message.
pub(crate) fn other_name(name: Option<&Path>) -> String {
    name.map_or_else(String::new, |n| {
        format!(", `{}`", plain(&n.to_string_lossy(), 30))
    })
}

/// A time for a message: its date, or the bare number where there is none.
pub(crate) fn moment(unix_seconds: i64) -> String {
    match jiff::Timestamp::from_second(unix_seconds) {
        Ok(at) => at.strftime("%Y-%m-%d %H:%M UTC").to_string(),
        Err(_) => format!("{unix_seconds} s since 1970"),
    }
}

/// Text from outside, fit for a terminal or a page: one line, no control
/// characters, and no longer than `long` characters.
#[must_use]
pub fn plain(text: &str, long: usize) -> String {
    let mut out = String::new();
    for (n, c) in text.chars().enumerate() {
        if n >= long {
            out.push_str("...");
            break;
        }
        match c {
            // The marks that turn writing round could make a name read as another.
            '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
                out.push('\u{fffd}');
            }
            '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => out.push(' '),
            c if c.is_control() => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// A path for a message: of a long one the end, which tells files apart.
pub(crate) fn shown(path: &Path) -> String {
    let text = path.to_string_lossy();
    let count = text.chars().count();
    if count <= PATH_LONG {
        return plain(&text, PATH_LONG);
    }
    let end: String = text.chars().skip(count - PATH_LONG).collect();
    format!("...{}", plain(&end, PATH_LONG))
}
