//! Words on the drawing and in place of it: labels in the margin, and the
//! description read out.

use super::{BinSection, Layout, Moist, WormsAt, box_parts, worms};
use crate::chart::ink::{Anchor, Sheet, TEXT, n, text_width};
use crate::report;

/// A label: where it points, its words, and whether it is a fault.
struct Label {
    to: (f64, f64),
    words: String,
    fault: bool,
}

fn labels(layout: &Layout, data: &BinSection) -> Vec<Label> {
    let mut list = Vec::new();
    let mut part = |to: (f64, f64), words: String| {
        list.push(Label {
            to,
            words,
            fault: false,
        });
    };
    let bedding = layout.bedding(data);
    let cm = |v: f64| box_parts::length_words(v, data.units);
    if bedding.h >= 1.0 {
        part(
            bedding.share(0.97, 0.12),
            format!("bedding {}", cm(data.bedding_cm)),
        );
        if data.moist != Moist::NotKnown {
            part(bedding.share(0.9, 0.4), data.moist.words().to_owned());
        }
    }
    let castings = layout.castings(data);
    if castings.h > 1.0 {
        part(
            castings.share(0.97, 0.5),
            format!("castings {}", cm(data.castings_cm)),
        );
    }
    if let Some(feed) = data.feed {
        let (x, y) = layout.feed(data, feed);
        part((x + 15.0, y), "food".to_owned());
    }
    if let Some(wet) = data.wet_line_cm.filter(|c| c.is_finite() && *c > 0.0) {
        let y = layout.up(wet);
        part(
            (layout.inside.right() - 2.0, y),
            "standing water".to_owned(),
        );
    }
    if data.worms != WormsAt::None || bedding.h >= 1.0 {
        part(
            worms::pointed_at(layout, data),
            data.worms.words().to_owned(),
        );
    }
    for (i, tag) in data.tags.iter().take(6).enumerate() {
        list.push(Label {
            to: layout.spot(data, tag.at, i),
            words: tag.word.clone(),
            fault: true,
        });
    }
    list.sort_by(|a, b| a.to.1.total_cmp(&b.to.1));
    list
}

pub(super) fn draw_labels(sheet: &mut Sheet, layout: &Layout, data: &BinSection, margin: f64) {
    let labels = labels(layout, data);
    let gap = 18.0;
    let lowest = sheet.height - 10.0;
    let mut y = 4.0;
    for (i, label) in labels.iter().enumerate() {
        let left = (labels.len() - i - 1) as f64;
        y = (label.to.1 + 4.0).max(y + gap).min(lowest - left * gap);
        let from = (margin - 4.0, y - 4.0);
        let thin = r#"stroke-opacity="0.6""#;
        let bend = format!(
            "M{} {}L{} {}L{} {}",
            n(from.0),
            n(from.1),
            n(margin - 14.0),
            n(from.1),
            n(label.to.0),
            n(label.to.1)
        );
        sheet.stroke("leader", &bend, 0.9, thin);
        sheet.raw(&format!(
            r#"<circle class="leader" cx="{}" cy="{}" r="2" fill="currentColor"/>"#,
            n(label.to.0),
            n(label.to.1)
        ));
        let room = sheet.width - margin - 6.0;
        if label.fault {
            let wide = (text_width(&label.words, TEXT) + 8.0).min(room);
            let d = format!(
                "M{} {}h{}v17h-{}Z",
                n(margin),
                n(y - 13.0),
                n(wide),
                n(wide)
            );
            sheet.stroke("fault", &d, 1.6, "");
            sheet.text_in(
                "fault-word",
                (margin + 4.0, y),
                Anchor::Start,
                &label.words,
                room - 8.0,
            );
        } else {
            sheet.text_in("note", (margin, y), Anchor::Start, &label.words, room);
        }
    }
}

pub(super) fn in_words(data: &BinSection) -> String {
    let cm = |v: f64| {
        if v.is_finite() {
            box_parts::length_words(v, data.units)
        } else {
            report::NOT_KNOWN.to_owned()
        }
    };
    let mut words = format!(
        "{} long and {} deep inside. Bedding {}",
        cm(data.length_cm),
        cm(data.depth_cm),
        cm(data.bedding_cm)
    );
    if data.moist != Moist::NotKnown {
        words.push_str(&format!(", {}", data.moist.words()));
    }
    if data.castings_cm > 0.0 {
        words.push_str(&format!(", of which castings {}", cm(data.castings_cm)));
    }
    words.push_str(&format!(". {}.", data.worms.words()));
    if !data.tags.is_empty() {
        let tags: Vec<&str> = data.tags.iter().map(|t| t.word.as_str()).collect();
        words.push_str(&format!(" Trouble: {}.", tags.join(", ")));
    }
    words
}
