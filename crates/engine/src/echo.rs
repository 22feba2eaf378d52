//! What was typed, as it is said back in a message: cut when long.

/// Longest piece of input said back [characters].
const LONGEST: usize = 40;

/// What a character that is not text may come to when it is shown, such as
/// `‹U+001B›` [characters].
const SPELT_OUT: usize = 8;

/// The head of `text`, with `…` when more follows.
///
/// # Example
/// ```
/// assert_eq!(engine::echo("2 cups"), "2 cups");
/// assert!(engine::echo(&"9".repeat(500)).ends_with("99…"));
/// ```
#[must_use]
pub fn echo(text: &str) -> String {
    head(text, LONGEST)
}

/// As [`echo`], at most `longest` characters.
pub(crate) fn head(text: &str, longest: usize) -> String {
    let mut long = 0;
    let fits = |c: &char| {
        long += if c.is_ascii_graphic() || c.is_alphanumeric() || *c == ' ' {
            1
        } else {
            SPELT_OUT
        };
        long <= longest
    };
    let mut said: String = text.chars().take_while(fits).collect();
    if said.len() < text.len() {
        said.push('…');
    }
    said
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
