//! The form that describes a bin, and what it says.

use super::parse::{self, Check, Faults};
use crate::desk::Desk;
use crate::report::Units;
use crate::web::Fields;
use crate::web::filled_rows;
use crate::web::widgets::{Chips, Control, Field, Form, Kind};
use engine::bounds::{BIN_CM, BIN_DEPTH_CM, Bound, WORMS_GRAMS};
use engine::log::{BinDescription, Body, Lid, Walls};

/// A bin and its first entries.
pub(super) struct NewBin {
    /// The bin.
    pub(super) description: BinDescription,
    /// What went in.
    pub(super) first: Vec<Body>,
    /// When [s since 1970-01-01 00:00 UTC].
    pub(super) at: i64,
}

/// Common sizes: value, words, inner length, width and depth [cm]. Usual
/// measures of such boxes (estimate); a keeper's own tape is better.
const SIZES: [(&str, &str, &str, [f64; 3]); 5] = [
    (
        "small",
        "Small tub, 30 L",
        "Small tub, 8 gallons",
        [40.0, 30.0, 25.0],
    ),
    (
        "tub",
        "Storage tub, 55 L",
        "Storage tub, 15 gallons",
        [55.0, 36.0, 28.0],
    ),
    (
        "large",
        "Large tub, 75 L",
        "Large tub, 20 gallons",
        [60.0, 40.0, 32.0],
    ),
    (
        "bucket",
        "Bucket, 20 L",
        "5-gallon bucket",
        [26.0, 26.0, 30.0],
    ),
    (
        "tray",
        "Stacking tray, 15 L",
        "Stacking tray, 4 gallons",
        [37.0, 37.0, 11.0],
    ),
];

/// Chips of walls: value and words.
const WALLS: [(&str, &str); 6] = [
    ("plastic", "Plastic"),
    ("wood", "Wood"),
    ("foam", "Foam box"),
    ("metal", "Metal"),
    ("fabric", "Fabric bag"),
    ("masonry", "Masonry or ground"),
];

/// Chips of lids: value and words.
const LIDS: [(&str, &str); 4] = [
    ("vented", "Loose, or with holes"),
    ("tight", "Tight"),
    ("cover", "Cloth or card on the bedding"),
    ("open", "None"),
];

/// Chips of drains: value and words.
const DRAINS: [(&str, &str); 2] = [("yes", "Drains"), ("no", "Does not drain")];

fn length_unit(units: Units) -> (&'static str, f64) {
    match units {
        Units::Metric => ("cm", 1.0),
        Units::Us => ("in", 2.54),
    }
}

fn length(name: &str, label: &str, bound: &Bound, units: Units) -> Control {
    let (unit, cm) = length_unit(units);
    let hint = format!(
        "{:.0} to {:.0}",
        (bound.low / cm).ceil(),
        (bound.high / cm).floor()
    );
    let mut field = Field::new(Kind::Number, name, label).unit(unit);
    if name != "bedding" {
        field = field.hint(&hint).unmarked();
    }
    Control::Field(field)
}

/// Controls that describe a bin.
pub(super) fn description_controls(units: Units) -> Vec<Control> {
    let name = Field::new(Kind::Text, "name", "What you call it")
        .hint("Such as kitchen box")
        .required();
    vec![
        Control::Field(name),
        length("length", "Inner length", &BIN_CM, units),
        length("width", "Inner width", &BIN_CM, units),
        length("depth", "Inner depth", &BIN_DEPTH_CM, units),
        length("bedding", "Depth of bedding", &BIN_DEPTH_CM, units),
        Control::Chips(Chips::new("walls", "Walls", false, &WALLS, "plastic")),
        Control::Chips(Chips::new("lid", "Lid", false, &LIDS, "vented")),
        Control::Chips(Chips::new("drains", "Drain", false, &DRAINS, "yes")),
        Control::Field(
            Field::new(Kind::Text, "place", "Where it stands")
                .hint("Such as cellar, under the sink"),
        ),
    ]
}

/// Fields of the form besides the rows of parts.
const OWN_FIELDS: [&str; 11] = [
    "name", "size", "length", "width", "depth", "bedding", "walls", "lid", "drains", "place",
    "grams",
];
/// Rows of parts in the form.
const FORM_ROWS: usize = 4;
/// What a judged bedding hands on besides materials and amounts.
const HANDED_ON: [&str; 3] = ["ph", "moisture", "label"];

/// Fills in the parts named in the address; what else is known of them is
/// carried along unseen.
pub(super) fn prefill(form: &mut Form, fields: &Fields) {
    for control in &mut form.controls {
        if let Control::Field(f) = control
            && (f.name.starts_with("material") || f.name.starts_with("amount"))
            && fields.has(&f.name)
        {
            fields.get(&f.name).clone_into(&mut f.value);
        }
    }
    for name in (1..=FORM_ROWS).flat_map(|n| HANDED_ON.map(|known| format!("{known}{n}"))) {
        if fields.has(&name) {
            let value = fields.get(&name).to_owned();
            let hidden = Field::new(Kind::Hidden, &name, "").value(&value);
            form.controls.push(Control::Field(hidden));
        }
    }
}

/// The address of this form with judged parts filled in; nothing when it has
/// fewer rows than there are parts.
pub(super) fn address(fields: &Fields) -> Option<String> {
    let ours = |name: &str| {
        let known = ["material", "amount"].into_iter().chain(HANDED_ON);
        known
            .filter_map(|k| name.strip_prefix(k)?.parse::<usize>().ok())
            .next()
    };
    let mut query = Vec::new();
    for (name, value) in &fields.0 {
        let Some(row) = ours(name).filter(|_| !value.trim().is_empty()) else {
            continue;
        };
        if row > FORM_ROWS {
            return None;
        }
        query.push(format!("{name}={}", escaped(value.trim())));
    }
    Some(format!("/bins/new?{}", query.join("&")))
}

/// Text for an address.
fn escaped(text: &str) -> String {
    let keep = |b: u8| b.is_ascii_alphanumeric() || b"-_.~".contains(&b);
    text.bytes()
        .map(|b| {
            if keep(b) {
                char::from(b).to_string()
            } else {
                format!("%{b:02X}")
            }
        })
        .collect()
}

/// The form for a new bin.
pub(super) fn form(units: Units, now: &str) -> Form {
    let mut controls = description_controls(units);
    let sizes: Vec<(&str, &str)> = SIZES
        .iter()
        .map(|(value, metric, us, _)| match units {
            Units::Metric => (*value, *metric),
            Units::Us => (*value, *us),
        })
        .chain([("own", "I measured it")])
        .collect();
    let mut sizes = Chips::new("size", "Its size", false, &sizes, "own");
    sizes.hint = "Pick one that is close, or measure the inside.".into();
    controls.insert(1, Control::Chips(sizes));
    let mut rows = filled_rows();
    if let Some(Control::Field(f)) = rows.first_mut() {
        f.label = "What is in it".into();
    }
    controls.extend(rows);
    controls.push(Control::Field(
        Field::bounded("grams", "Worms already in it", &WORMS_GRAMS)
            .hint("Live weight, if any are in; about 4 worms weigh a gram, less or more"),
    ));
    controls.push(Control::Field(
        Field::new(Kind::DateTime, "when", "Filled when")
            .hint("As near as you know; readings from before it do not count")
            .value(now),
    ));
    Form::new(
        "bin",
        "A new bin",
        "/bins/new",
        "Put it on the shelf",
        controls,
    )
    .shown_in(units)
}

/// A bin from its form.
///
/// # Errors
/// Fields with what is wrong with them.
pub(super) fn read(desk: &Desk, fields: &Fields) -> Result<NewBin, Faults> {
    let mut check = Check::default();
    let description = read_description(desk, fields, &mut check);
    let parts = parse::parts(desk, fields, FORM_ROWS).unwrap_or_else(|faults| {
        check.faults.extend(faults);
        Vec::new()
    });
    let grams = check.take("grams", parse::bounded(fields, "grams", &WORMS_GRAMS));
    let at = check.take("when", filled_at(desk, fields));
    let (Some(description), Some(at), true) = (description, at, check.faults.is_empty()) else {
        return Err(check.faults);
    };
    let mut first = Vec::new();
    if !parts.is_empty() {
        first.push(Body::Filled { parts });
    }
    if let Some(grams) = grams.flatten() {
        first.push(Body::WormsIn {
            grams: Some(grams),
            count: None,
            species: String::new(),
        });
    }
    Ok(NewBin {
        description,
        first,
        at,
    })
}

fn filled_at(desk: &Desk, fields: &Fields) -> Result<i64, String> {
    let at = parse::when(desk, fields)?;
    if parse::ahead(desk, at) {
        return Err("That time is still to come. Add the bin when it is filled, or leave what is in it empty.".into());
    }
    Ok(at)
}

/// A description from its controls; faults are noted.
pub(super) fn read_description(
    desk: &Desk,
    fields: &Fields,
    check: &mut Check,
) -> Option<BinDescription> {
    parse::only(fields, &OWN_FIELDS, true, check);
    let units = super::around::units_of(desk, fields);
    let name = if fields.has("name") {
        Some(fields.get("name").to_owned())
    } else {
        let fault = "Give it a name, so you know it on the shelf.".to_owned();
        check.take("name", Err(fault))
    };
    let size = fields.get("size");
    if !matches!(size, "" | "own") && SIZES.iter().all(|(value, ..)| *value != size) {
        let fault = format!(
            "Choose a size from the list; `{}` is not on it.",
            parse::short(size)
        );
        check.faults.push(("size".into(), fault));
    }
    let common = SIZES
        .iter()
        .find(|(value, ..)| *value == size)
        .map(|(.., size)| *size);
    let mut side = |field: &str, label: &str, bound: &Bound, n: usize| {
        let typed = check.take(field, centimetres(fields, field, label, bound, units))?;
        match typed.or(common.map(|size| size[n])) {
            Some(cm) => Some(cm),
            None => {
                let fault = format!("Give the {label}, or pick a size above.");
                check.take(field, Err(fault))
            }
        }
    };
    let length = side("length", "inner length", &BIN_CM, 0);
    let width = side("width", "inner width", &BIN_CM, 1);
    let depth = side("depth", "inner depth", &BIN_DEPTH_CM, 2);
    let bedding = check.take(
        "bedding",
        centimetres(
            fields,
            "bedding",
            "depth of bedding",
            &bedding_bound(depth),
            units,
        ),
    );
    let walls: Option<Walls> = check.take("walls", choice(fields, "walls"));
    let drains = check.take("drains", parse::yes_or_no(fields, "drains", false));
    let lid: Option<Lid> = check.take("lid", choice(fields, "lid"));
    Some(BinDescription {
        name: name?,
        length_cm: length?,
        width_cm: width?,
        depth_cm: depth?,
        bedding_depth_cm: bedding?,
        walls: walls?,
        lid: lid?,
        drains: drains?,
        place: fields.get("place").to_owned(),
        retired: false,
    })
}

/// Bedding is no deeper than its bin.
fn bedding_bound(depth: Option<f64>) -> Bound {
    Bound {
        name: "depth of bedding",
        unit: "cm",
        low: 0.0,
        high: depth.unwrap_or(BIN_DEPTH_CM.high),
        why: "bedding is no deeper than its bin",
    }
}

fn choice<T: serde::de::DeserializeOwned + Default>(
    fields: &Fields,
    name: &str,
) -> Result<T, String> {
    match fields.get(name) {
        "" => Ok(T::default()),
        sent => parse::known(sent, "one"),
    }
}

/// A length typed in the keeper's unit, in centimetres.
fn centimetres(
    fields: &Fields,
    name: &str,
    label: &str,
    bound: &Bound,
    units: Units,
) -> Result<Option<f64>, String> {
    if !fields.has(name) {
        return Ok(None);
    }
    let typed = parse::number(fields.get(name))?;
    let (unit, cm) = length_unit(units);
    let held = (typed * cm * 100.0).round() / 100.0;
    bound.check(held).map(Some).map_err(|_| {
        let label = super::around::capital(label);
        let end = |v: f64| {
            let text = crate::report::decimals(v / cm, 1);
            text.strip_suffix(".0").unwrap_or(&text).to_owned()
        };
        format!(
            "{label} `{}` {unit} is outside the allowed range {} to {} {unit} ({}).",
            parse::short(fields.get(name)),
            end(bound.low),
            end(bound.high),
            bound.why
        )
    })
}
