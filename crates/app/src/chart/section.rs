//! A bin cut through and drawn to scale, labelled like a field sketch.

use super::Svg;
use super::ink::{Anchor, Sheet, n};
use super::sketch::{Area, by_hand, crumbs, hatch, spread, waves};
use crate::report::Units;
use engine::log::{Lid, Walls};

mod box_parts;
mod labels;
mod worms;

/// How wet the bedding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Moist {
    /// Not known.
    #[default]
    NotKnown,
    /// Too dry.
    Dry,
    /// On the dry side.
    DrySide,
    /// As it should be.
    Right,
    /// On the wet side.
    WetSide,
    /// Too wet.
    Wet,
    /// Soaked.
    Soaked,
}

impl Moist {
    /// As labelled.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::NotKnown => "",
            Self::Dry => "too dry",
            Self::DrySide => "a little dry",
            Self::Right => "moist enough",
            Self::WetSide => "a little wet",
            Self::Wet => "too wet",
            Self::Soaked => "soaked",
        }
    }
}

/// Where the worms are said to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum WormsAt {
    /// None in yet.
    #[default]
    None,
    /// Not looked for lately.
    NotKnown,
    /// Spread through the bedding.
    Spread,
    /// On the walls and lid.
    Climbing,
    /// At the edges and bottom.
    Edge,
    /// In a ball.
    Balled,
    /// Out of the bin.
    Left,
}

impl WormsAt {
    fn words(self) -> &'static str {
        match self {
            Self::None => "no worms yet",
            Self::NotKnown => "worms not seen",
            Self::Spread => "worms spread",
            Self::Climbing => "worms climbing",
            Self::Edge => "worms at edge",
            Self::Balled => "worms balled",
            Self::Left => "worms leaving",
        }
    }
}

/// A pocket of food.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feed {
    /// Where along the bin [0 left to 1 right].
    pub along: f64,
    /// Depth of its middle below the bedding surface [cm].
    pub depth_cm: f64,
}

/// A place in the bin that a tag points at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spot {
    /// Through the bedding.
    Bedding,
    /// Near the top.
    Top,
    /// At the bottom.
    Bottom,
    /// At the food.
    Food,
    /// Above the bedding.
    Air,
}

/// Something wrong, in a word or two.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tag {
    /// `too acid`, `too wet`, `salty`.
    pub word: String,
    /// What it points at.
    pub at: Spot,
}

/// The bin as drawn.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BinSection {
    /// Distinguishes this picture on a page.
    pub id: String,
    /// Name of the bin.
    pub name: String,
    /// Inner length [cm].
    pub length_cm: f64,
    /// Inner depth [cm].
    pub depth_cm: f64,
    /// Depth of bedding, castings included [cm].
    pub bedding_cm: f64,
    /// Depth of castings at the bottom [cm].
    pub castings_cm: f64,
    /// Walls.
    pub walls: Walls,
    /// Lid.
    pub lid: Lid,
    /// Whether it drains.
    pub drains: bool,
    /// Moisture of the bedding.
    pub moist: Moist,
    /// Height of standing water above the floor [cm].
    pub wet_line_cm: Option<f64>,
    /// Food.
    pub feed: Option<Feed>,
    /// Worms.
    pub worms: WormsAt,
    /// What is wrong.
    pub tags: Vec<Tag>,
    /// Units of the scale bar.
    pub units: Units,
}

/// How large, and with what beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SectionSize {
    /// For the shelf: no words inside.
    Thumb,
    /// For a phone: labels in a margin.
    Narrow,
    /// For a desk screen or paper.
    Wide,
}

/// The drawing's measures.
struct Layout {
    /// Inside of the bin.
    inside: Area,
    /// Pixels per centimetre.
    scale: f64,
    /// Wall thickness [px].
    wall: f64,
    /// Left edge of the label margin; `None` when there is none.
    margin: Option<f64>,
}

fn positive(value: f64, otherwise: f64) -> f64 {
    if value.is_finite() && value > 0.0 {
        value
    } else {
        otherwise
    }
}

fn layout(data: &BinSection, size: SectionSize) -> (Sheet, Layout) {
    let (width, most_high, margin) = match size {
        SectionSize::Thumb => (104.0, 84.0, 0.0),
        SectionSize::Narrow => (328.0, 210.0, 122.0),
        SectionSize::Wide => (536.0, 280.0, 140.0),
    };
    let small = size == SectionSize::Thumb;
    let wall = box_parts::thickness(data.walls) * if small { 0.6 } else { 1.0 };
    let (above, below) = if small { (16.0, 10.0) } else { (34.0, 44.0) };
    let outside = if small { 4.0 } else { 12.0 };
    let room_w = width - margin - 2.0 * (wall + outside);
    let room_h = most_high - above;
    let (length, depth) = (
        positive(data.length_cm, 40.0),
        positive(data.depth_cm, 30.0),
    );
    let scale = (room_w / length).min(room_h / depth);
    let (w, h) = (length * scale, depth * scale);
    let x = outside
        + wall
        + if margin > 0.0 {
            0.0
        } else {
            (room_w - w) / 2.0
        };
    let need = (data.tags.len() + 6) as f64 * 17.0 + 20.0;
    let height = above + h + wall + below;
    let height = if small {
        most_high + 10.0
    } else {
        height.max(need)
    };
    let y = if small {
        height - below - wall - h
    } else {
        above
    };
    let inside = Area { x, y, w, h };
    let margin = (margin > 0.0).then_some(inside.right() + wall + 24.0);
    let layout = Layout {
        inside,
        scale,
        wall,
        margin,
    };
    (Sheet::new(width, height), layout)
}

impl Layout {
    fn up(&self, cm: f64) -> f64 {
        let height = if cm.is_finite() { cm.max(0.0) } else { 0.0 };
        self.inside.bottom() - (height * self.scale).min(self.inside.h)
    }

    fn bedding(&self, data: &BinSection) -> Area {
        let top = self.up(data.bedding_cm);
        Area {
            y: top,
            h: self.inside.bottom() - top,
            ..self.inside
        }
    }

    fn castings(&self, data: &BinSection) -> Area {
        let top = self.up(data.castings_cm.min(data.bedding_cm));
        Area {
            y: top,
            h: self.inside.bottom() - top,
            ..self.inside
        }
    }

    fn feed(&self, data: &BinSection, feed: Feed) -> (f64, f64) {
        let bedding = self.bedding(data);
        let along = positive(feed.along, 0.5).clamp(0.12, 0.88);
        let depth = positive(feed.depth_cm, 0.0) * self.scale;
        let deepest = (bedding.h - 6.0).max(0.0);
        (
            bedding.x + bedding.w * along,
            bedding.y + depth.min(deepest),
        )
    }

    fn spot(&self, data: &BinSection, spot: Spot, i: usize) -> (f64, f64) {
        let bedding = self.bedding(data);
        let across = 0.72 + 0.2 * spread(i, 0.2);
        match spot {
            Spot::Bedding => bedding.share(across, 0.5),
            Spot::Top => bedding.share(across, 0.12),
            Spot::Bottom => bedding.share(across, 0.92),
            Spot::Food => data
                .feed
                .map_or(bedding.share(across, 0.4), |f| self.feed(data, f)),
            Spot::Air => (
                self.inside.x + self.inside.w * across,
                f64::midpoint(self.inside.y, bedding.y),
            ),
        }
    }
}

/// Draw the bin.
#[must_use]
pub fn bin_section(data: &BinSection, size: SectionSize) -> Svg {
    let (mut sheet, layout) = layout(data, size);
    let small = size == SectionSize::Thumb;
    draw_bedding(&mut sheet, &layout, data, small);
    if let Some(feed) = data.feed {
        draw_feed(
            &mut sheet,
            layout.feed(data, feed),
            if small { 0.55 } else { 1.0 },
        );
    }
    draw_wet_line(&mut sheet, &layout, data);
    box_parts::draw(&mut sheet, &layout, data, small);
    worms::draw(&mut sheet, &layout, data, small);
    if let Some(x) = layout.margin {
        labels::draw_labels(&mut sheet, &layout, data, x);
        draw_scale_bar(&mut sheet, &layout, data.units);
    }
    let id = format!("{}-{size:?}", data.id);
    let title = format!("{}, cut through and drawn to scale", data.name);
    let class = if small { "section thumb" } else { "section" };
    sheet.finish(&id, class, &title, &labels::in_words(data))
}

fn draw_bedding(sheet: &mut Sheet, layout: &Layout, data: &BinSection, small: bool) {
    let bedding = layout.bedding(data);
    if bedding.h < 1.0 {
        return;
    }
    let castings = layout.castings(data);
    let above = Area {
        y: bedding.y + 3.0,
        h: (castings.y - bedding.y - 4.0).max(0.0),
        ..bedding
    };
    let gap = if small { 7.0 } else { 10.0 };
    let ink = r#"stroke-opacity="0.55" stroke-linecap="round""#;
    let strokes = match data.moist {
        Moist::Dry => hatch(above, gap * 1.5, gap * 0.45),
        Moist::DrySide => hatch(above, gap * 1.2, gap * 0.6),
        Moist::NotKnown | Moist::Right => hatch(above, gap, gap * 0.8),
        Moist::WetSide | Moist::Wet | Moist::Soaked => hatch(above, gap * 0.78, gap * 0.85),
    };
    sheet.stroke("bedding", &strokes, if small { 0.8 } else { 1.0 }, ink);
    let waved = match data.moist {
        Moist::WetSide => Some(4.0),
        Moist::Wet => Some(2.6),
        Moist::Soaked => Some(1.5),
        _ => None,
    };
    if let Some(times) = waved {
        let gap = times * gap;
        sheet.stroke("water", &waves(above, gap), 1.0, r#"stroke-opacity="0.7""#);
    }
    if castings.h > 1.0 {
        let dots = crumbs(castings, if small { 4.0 } else { 5.5 });
        let round = r#"stroke-linecap="round" stroke-opacity="0.8""#;
        sheet.stroke("castings", &dots, if small { 1.6 } else { 2.4 }, round);
    }
    let mut surface = format!("M{} {}", n(bedding.x), n(bedding.y + 1.0));
    let lumps = (bedding.w / 26.0).ceil().max(2.0);
    for i in 0..lumps as usize {
        let rise = -1.5 - 3.0 * spread(i, 0.2);
        let step = bedding.w / lumps;
        surface.push_str(&format!("q{} {} {} 0", n(step / 2.0), n(rise), n(step)));
    }
    sheet.stroke("surface", &surface, 1.4, "");
}

fn draw_feed(sheet: &mut Sheet, (x, y): (f64, f64), size: f64) {
    let pocket = format!(
        "M{} {}q{} {} {} 0q{} {} {} 0Z",
        n(x - 16.0 * size),
        n(y),
        n(16.0 * size),
        n(-15.0 * size),
        n(32.0 * size),
        n(-16.0 * size),
        n(13.0 * size),
        n(-32.0 * size)
    );
    sheet.raw(&format!(
        r#"<path class="feed" d="{pocket}" fill="currentColor" fill-opacity="0.12" stroke="currentColor" stroke-width="1.4"/>"#
    ));
    let bits = format!(
        "M{} {}l{s} -{s}m{s} {s}l{s} -{s}m{s} {s}l{s} -{s}",
        n(x - 10.0 * size),
        n(y + 1.5),
        s = n(4.0 * size)
    );
    sheet.stroke("feed", &bits, 1.4, "");
}

fn draw_wet_line(sheet: &mut Sheet, layout: &Layout, data: &BinSection) {
    let Some(cm) = data.wet_line_cm.filter(|c| c.is_finite() && *c > 0.0) else {
        return;
    };
    let y = layout.up(cm);
    let pool = Area {
        y,
        h: layout.inside.bottom() - y,
        ..layout.inside
    };
    sheet.stroke("water", &waves(pool, 6.0), 1.2, "");
    let line = by_hand((pool.x, y), (pool.right(), y), 5);
    sheet.stroke("water", &line, 1.8, r#"stroke-dasharray="8 3""#);
}

fn draw_scale_bar(sheet: &mut Sheet, layout: &Layout, units: Units) {
    let (long, words) = box_parts::scale_bar(layout.inside.w / layout.scale, units);
    let (x, y) = (layout.inside.x, layout.inside.bottom() + layout.wall + 20.0);
    let px = long * layout.scale;
    let d = format!("M{} {}v8m0 -4h{}m0 -4v8", n(x), n(y - 4.0), n(px));
    sheet.stroke("scale", &d, 1.2, "");
    sheet.text("note", (x + px + 6.0, y + 4.0), Anchor::Start, &words);
}
