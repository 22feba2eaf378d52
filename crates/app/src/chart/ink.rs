//! The pen: SVG elements written as text, with escaping and with text that
//! cannot leave the frame.

use std::fmt::{self, Display, Write};

/// A finished picture, safe to place in a page as it is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Svg(String);

impl Svg {
    /// The SVG text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Display for Svg {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl askama::filters::HtmlSafe for Svg {}

/// Where a text is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// Height of chart text [px].
pub(super) const TEXT: f64 = 12.0;
/// Width reserved for one character, as a share of text height. Wider than
/// the mean of common system fonts, so that a guess is on the safe side.
const CHARACTER: f64 = 0.58;

/// Width reserved for `text` [px].
pub(super) fn text_width(text: &str, size: f64) -> f64 {
    text.chars().count() as f64 * size * CHARACTER
}

/// `text`, shortened with an ellipsis to fit `room` [px].
pub(super) fn fitted(text: &str, room: f64, size: f64) -> String {
    let most = (room / (size * CHARACTER)).floor().max(1.0) as usize;
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let mut short: String = text.chars().take(most.saturating_sub(1)).collect();
    short.truncate(short.trim_end().len());
    short.push('…');
    short
}

/// Text made safe inside SVG or HTML.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // Control characters are not allowed in XML at all.
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// A coordinate, to the hundredth of a pixel.
pub(super) fn n(value: f64) -> String {
    debug_assert!(value.is_finite(), "a coordinate must be a number");
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".into()
    } else {
        text.into()
    }
}

/// A sheet being drawn on.
pub(super) struct Sheet {
    pub(super) width: f64,
    pub(super) height: f64,
    body: String,
}

impl Sheet {
    pub(super) fn new(width: f64, height: f64) -> Self {
        Self {
            width,
            height,
            body: String::new(),
        }
    }

    /// Raw element text from this module's own helpers.
    pub(super) fn raw(&mut self, element: &str) {
        self.body.push_str(element);
    }

    /// A stroked path. `more` holds further attributes.
    pub(super) fn stroke(&mut self, class: &str, d: &str, width: f64, more: &str) {
        if d.is_empty() {
            return;
        }
        let _ = write!(
            self.body,
            r#"<path class="{class}" d="{d}" fill="none" stroke="currentColor" stroke-width="{}" {more}/>"#,
            n(width)
        );
    }

    /// A filled path.
    pub(super) fn fill(&mut self, class: &str, d: &str, opacity: f64) {
        if d.is_empty() {
            return;
        }
        let _ = write!(
            self.body,
            r#"<path class="{class}" d="{d}" fill="currentColor" fill-opacity="{}"/>"#,
            n(opacity)
        );
    }

    pub(super) fn line(&mut self, class: &str, from: (f64, f64), to: (f64, f64), more: &str) {
        let d = format!("M{} {}L{} {}", n(from.0), n(from.1), n(to.0), n(to.1));
        self.stroke(class, &d, 1.0, more);
    }

    /// Text held inside the frame: moved in, and shortened if it must be.
    pub(super) fn text(&mut self, class: &str, at: (f64, f64), anchor: Anchor, text: &str) {
        self.text_in(class, at, anchor, text, self.width - 4.0);
    }

    /// As [`Self::text`], in at most `room` pixels.
    pub(super) fn text_in(
        &mut self,
        class: &str,
        at: (f64, f64),
        anchor: Anchor,
        text: &str,
        room: f64,
    ) {
        let text = fitted(text, room, TEXT);
        let wide = text_width(&text, TEXT);
        let left = match anchor {
            Anchor::Start => at.0,
            Anchor::Middle => at.0 - wide / 2.0,
            Anchor::End => at.0 - wide,
        };
        let moved = left.min(self.width - 2.0 - wide).max(2.0) - left;
        let word = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let y = at.1.clamp(TEXT, self.height - 3.0);
        let _ = write!(
            self.body,
            r#"<text class="{class}" x="{}" y="{}" text-anchor="{word}" font-size="{}" fill="currentColor">{}</text>"#,
            n(at.0 + moved),
            n(y),
            n(TEXT),
            escaped(&text)
        );
    }

    /// The finished picture as a file of its own: black on white, as large as
    /// it was drawn, on lines of their own.
    pub(super) fn alone(mut self, id: &str, title: &str, description: &str) -> Svg {
        let (w, h) = (n(self.width), n(self.height));
        let lines = self
            .body
            .replace("/><", "/>\n<")
            .replace("</text><", "</text>\n<");
        self.body = format!("\n<rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>\n{lines}\n");
        let svg = self.finish(id, "plot", title, description).0;
        let sized = format!(r##"<svg width="{w}" height="{h}" color="#000" "##);
        Svg(svg.replacen("<svg ", &sized, 1) + "\n")
    }

    /// The finished picture.
    pub(super) fn finish(self, id: &str, class: &str, title: &str, description: &str) -> Svg {
        let id = safe_id(id);
        Svg(format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" class="{class}" viewBox="0 0 {w} {h}" role="img" aria-labelledby="{id}-t {id}-d" font-family="ui-sans-serif, system-ui, sans-serif"><title id="{id}-t">{}</title><desc id="{id}-d">{}</desc>{}</svg>"#,
            escaped(title),
            escaped(description),
            self.body,
            w = n(self.width),
            h = n(self.height),
        ))
    }
}

/// An id of letters, digits and hyphens only.
fn safe_id(id: &str) -> String {
    let safe: String = id
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect();
    format!("c-{safe}")
}

/// An open path through points.
pub(super) fn through(points: &[(f64, f64)]) -> String {
    let mut d = String::new();
    for (i, (x, y)) in points.iter().enumerate() {
        let _ = write!(d, "{}{} {}", if i == 0 { "M" } else { "L" }, n(*x), n(*y));
    }
    d
}

/// A closed path along `upper` and back along `lower`.
pub(super) fn between(upper: &[(f64, f64)], lower: &[(f64, f64)]) -> String {
    if upper.len() < 2 {
        return String::new();
    }
    let mut ring = upper.to_vec();
    ring.extend(lower.iter().rev());
    through(&ring) + "Z"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_text_is_shortened_and_odd_text_is_safe() {
        assert_eq!(fitted("a long label indeed", 60.0, 12.0), "a long…");
        assert_eq!(
            escaped("<a & \"b\">\u{7}"),
            "&lt;a &amp; &quot;b&quot;&gt; "
        );
        assert_eq!(n(-0.001), "0");
    }
}
