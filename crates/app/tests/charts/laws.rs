//! Laws every picture keeps, and odd data to try them with.

use app::chart::Svg;

pub(crate) fn number(node: roxmltree::Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name)
        .unwrap_or_else(|| panic!("{name} on {node:?}"))
        .parse()
        .unwrap()
}

/// The laws every picture keeps.
pub(crate) fn lawful(svg: &Svg) {
    let text = svg.as_str();
    let tree = roxmltree::Document::parse(text).unwrap_or_else(|e| panic!("{e}: {text}"));
    let root = tree.root_element();
    for bad in ["NaN", "inf", "style="] {
        assert!(!text.contains(bad), "{bad} in {text}");
    }
    assert_eq!(root.attribute("role"), Some("img"));
    let frame: Vec<f64> = root
        .attribute("viewBox")
        .unwrap()
        .split(' ')
        .map(|v| v.parse().unwrap())
        .collect();
    let (w, h) = (frame[2], frame[3]);
    for name in ["title", "desc"] {
        let node = root.children().find(|n| n.has_tag_name(name)).unwrap();
        assert!(node.text().is_some_and(|t| t.len() > 3), "{name}");
        let labelled = root.attribute("aria-labelledby").unwrap();
        assert!(labelled.contains(node.attribute("id").unwrap()));
    }
    for node in root.descendants() {
        if node.has_tag_name("text") {
            text_inside(node, w, h);
        }
        if node.has_tag_name("circle") {
            let (x, y, r) = (number(node, "cx"), number(node, "cy"), number(node, "r"));
            let inside = x >= 0.0 && x <= w && y + r <= h && y >= 0.0;
            assert!(inside, "circle {x} {y} outside {w} {h}");
        }
        if node.has_tag_name("path") {
            path_inside(node.attribute("d").unwrap(), w, h);
        }
    }
}

/// Widths are those of a common sans at its mean: 0.55 of the size.
fn text_inside(node: roxmltree::Node<'_, '_>, w: f64, h: f64) {
    let size = number(node, "font-size");
    assert!(size >= 11.0);
    let wide = node.text().unwrap_or("").chars().count() as f64 * size * 0.55;
    let x = number(node, "x");
    let left = match node.attribute("text-anchor") {
        Some("middle") => x - wide / 2.0,
        Some("end") => x - wide,
        _ => x,
    };
    let y = number(node, "y");
    assert!(
        left >= 0.0 && left + wide <= w,
        "{:?}: {left}+{wide} in {w}",
        node.text()
    );
    assert!(y >= size * 0.8 && y <= h, "{:?} at {y} in {h}", node.text());
}

/// Every place a path names outright lies in the frame: where strokes start,
/// and where straight lines lead.
fn path_inside(d: &str, w: f64, h: f64) {
    let inside = |v: f64, most: f64| v >= -0.5 && v <= most + 0.5;
    let letter = |c: char| c.is_ascii_alphabetic();
    for (at, command) in d.match_indices(letter) {
        let rest = &d[at + 1..];
        let numbers = &rest[..rest.find(letter).unwrap_or(rest.len())];
        let list: Vec<f64> = numbers
            .split_whitespace()
            .filter_map(|v| v.parse().ok())
            .collect();
        let fits = match command {
            "H" => list.iter().all(|x| inside(*x, w)),
            "V" => list.iter().all(|y| inside(*y, h)),
            "L" => inside(list[0], w) && inside(list[1], h),
            _ => true,
        };
        assert!(fits, "{command} {list:?} outside {w} {h}: {d}");
    }

    let (before, moves) = d.split_once('M').unwrap_or((d, ""));
    assert!(
        before.trim().is_empty() && !moves.is_empty(),
        "no move begins {d}"
    );
    for start in moves.split('M') {
        let end = start
            .find(|c: char| c.is_ascii_alphabetic())
            .unwrap_or(start.len());
        let pair: Vec<f64> = start[..end]
            .split_whitespace()
            .map(|v| v.parse().unwrap_or_else(|_| panic!("{d}")))
            .collect();
        let (x, y) = (pair[0], pair[1]);
        let inside = x >= -0.5 && x <= w + 0.5 && y >= -0.5 && y <= h + 0.5;
        assert!(inside, "{x} {y} outside {w} {h}: {d}");
    }
}

/// A stream of odd numbers: plain, tiny, large, repeated, not numbers.
pub(crate) struct Odd(pub(crate) u64);

impl Odd {
    fn next(&mut self) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        self.0 >> 33
    }

    pub(crate) fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() % 10_001) as f64 / 10_000.0
    }

    /// Between, but now and then odd.
    pub(crate) fn odd(&mut self, low: f64, high: f64) -> f64 {
        match self.below(12) {
            0 => f64::NAN,
            1 => f64::INFINITY,
            2 => low,
            3 => high,
            _ => self.between(low, high),
        }
    }

    pub(crate) fn pick<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len())]
    }
}
