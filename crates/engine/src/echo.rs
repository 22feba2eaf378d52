//! What was typed, as it is said back in a message: cut when long, on one
//! line, with nothing in it that a terminal would obey.

/// Longest piece of input said back [characters].
const LONGEST: usize = 40;

/// The head of `text`, with `…` when more follows; line breaks, control
/// characters and marks that turn the direction of writing are spelt out.
///
/// # Example
/// ```
/// assert_eq!(engine::echo("2 cups"), "2 cups");
/// assert_eq!(engine::echo("a\u{1b}[2Jb"), "a\\u{1b}[2Jb");
/// assert!(engine::echo(&"9".repeat(500)).ends_with("99…"));
/// ```
#[must_use]
pub fn echo(text: &str) -> String {
    let mut said = String::new();
    let mut long = 0;
    for c in text.chars() {
        let piece = match c {
            c if c.is_control() || turns(c) => c.escape_debug().to_string(),
            c => c.to_string(),
        };
        long += piece.chars().count();
        if long > LONGEST {
            said.push('…');
            break;
        }
        said.push_str(&piece);
    }
    said
}

/// Marks of line, paragraph and direction, which hide or reorder what is shown.
fn turns(c: char) -> bool {
    matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
}

/// A number as it is said back: no longer than a hand would write it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Said(pub(crate) f64);

impl std::fmt::Display for Said {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let size = self.0.abs();
        if size == 0.0 || (1e-6..1e12).contains(&size) {
            // Seventeen digits of a division are none of the keeper's.
            let plain = self.0.to_string();
            return match plain.len() <= 16 {
                true => f.write_str(&plain),
                false => write!(f, "{}", (self.0 * 1e6).round() / 1e6),
            };
        }
        write!(f, "{:e}", self.0)
    }
}
