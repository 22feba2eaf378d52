//! What the living pages ask. The names of the fields are the contract with
//! whoever reads them.

use super::living::Fold;
use crate::web::answers::Fields;
use crate::web::widgets::{Chips, Control, Field, Kind};
use engine::ration::Prepared;

/// How a series of days is typed, shown as a hint.
const DAYS_HINT: &str = "One line a day from today on: high, low. For example 36, 22. A date may stand before them. A table saved as CSV can be pasted whole.";

/// A field with what was sent put back, and what is wrong with it.
fn filled(mut field: Field, scope: &str, fields: &Fields, errors: &[(String, String)]) -> Control {
    if fields.has(&field.name) {
        fields.get(&field.name).clone_into(&mut field.value);
    }
    if let Some((_, message)) = errors.iter().find(|(n, _)| *n == field.name) {
        message.clone_into(&mut field.error);
    }
    scope.clone_into(&mut field.scope);
    field.unmarked = true;
    Control::Field(field)
}

/// Choices with what was sent chosen.
fn chosen(mut chips: Chips, scope: &str, fields: &Fields, errors: &[(String, String)]) -> Control {
    if fields.has(&chips.name) {
        let sent = fields.all(&chips.name);
        for chip in &mut chips.chips {
            chip.chosen = sent.contains(&chip.value.as_str());
        }
    }
    if let Some((_, message)) = errors.iter().find(|(n, _)| *n == chips.name) {
        message.clone_into(&mut chips.error);
    }
    scope.clone_into(&mut chips.scope);
    Control::Chips(chips)
}

fn days_field() -> Field {
    Field::new(Kind::Lines, "weather", "Highs and lows").hint(DAYS_HINT)
}

/// The what-if of the outlook, folded by kind.
///
/// | fold | fields |
/// |---|---|
/// | feeding | `feed` (times the present: `1`, `0`, `0.5`, `2`, `3`) |
/// | place | `place_celsius` (mean of the new place), `place_from` (date) |
/// | bedding | `bedding` (material), `bedding_amount` |
/// | away | `away_from`, `away_to` (dates) |
/// | weather | `weather` (a line a day: date, high, low) |
#[must_use]
pub fn outlook_folds(fields: &Fields, errors: &[(String, String)], degrees: &str) -> Vec<Fold> {
    let scope = "if";
    let field = |f: Field| filled(f, scope, fields, errors);
    let fold = |title: &str, names: &[&str], controls: Vec<Control>| Fold {
        title: title.to_owned(),
        open: names.iter().any(|n| fields.has(n)),
        controls,
    };
    let feed = [
        ("1", "As now"),
        ("0", "Stop"),
        ("0.5", "Half"),
        ("2", "Twice as much"),
        ("3", "Three times"),
    ];
    let chips = Chips::new("feed", "Feed", false, &feed, "1");
    let is_fed_otherwise = fields.has("feed") && fields.get("feed") != "1";
    let mut feeding = fold(
        "Feed more, less, or not",
        &[],
        vec![chosen(chips, scope, fields, errors)],
    );
    feeding.open = is_fed_otherwise;
    let water = [
        ("lately", "As lately"),
        ("topped", "Topped up, to stay as moist as now"),
    ];
    let chips = Chips::new("water", "Water", false, &water, "lately");
    let mut watering = fold(
        "Keep water topped up",
        &[],
        vec![chosen(chips, scope, fields, errors)],
    );
    watering.open = fields.get("water") == "topped";
    vec![
        feeding,
        watering,
        fold(
            "Move it",
            &["place_celsius", "place_from"],
            vec![
                field(
                    Field::new(Kind::Number, "place_celsius", "Mean temperature there")
                        .unit(degrees),
                ),
                field(Field::new(Kind::Date, "place_from", "From").hint("Empty for today")),
            ],
        ),
        fold(
            "Add bedding",
            &["bedding", "bedding_amount"],
            vec![
                field(Field::new(
                    Kind::Suggest("materials".to_owned()),
                    "bedding",
                    "What",
                )),
                field(
                    Field::new(Kind::Text, "bedding_amount", "How much")
                        .hint("10 L, 2 buckets, 300 g"),
                ),
            ],
        ),
        fold(
            "Be away",
            &["away_from", "away_to"],
            vec![
                field(Field::new(Kind::Date, "away_from", "Leave")),
                field(Field::new(Kind::Date, "away_to", "Return")),
            ],
        ),
        fold(
            "A heat wave or a cold snap",
            &["weather"],
            vec![field(days_field())],
        ),
    ]
}

/// Ways feed is made ready: value sent, words, and what the engine calls it.
/// The first is taken when nothing is said.
pub const PREPARED: [(&str, &str, Prepared); 5] = [
    ("whole", "As it is", Prepared::Whole),
    ("chopped", "Chopped small", Prepared::Chopped),
    ("blended", "Blended", Prepared::Blended),
    ("frozen", "Still frozen", Prepared::Frozen),
    ("thawed", "Frozen, then thawed", Prepared::Thawed),
];

/// What the ration asks: `material`, `amount`, `prepared`, `next_visit`.
#[must_use]
pub fn ration_controls(fields: &Fields, errors: &[(String, String)]) -> Vec<Control> {
    let field = |f: Field| filled(f, "ration", fields, errors);
    vec![
        field(
            Field::new(
                Kind::Suggest("materials".to_owned()),
                "material",
                "What you have",
            )
            .hint("Kitchen scraps, coffee grounds, melon rind; empty for the same as last time"),
        ),
        field(
            Field::new(Kind::Text, "amount", "How much of it")
                .hint("500 g, 2 handfuls, 1 bucket; empty if there is plenty"),
        ),
        chosen(
            Chips::new(
                "prepared",
                "How it is made ready",
                false,
                &PREPARED.map(|(value, words, _)| (value, words)),
                PREPARED[0].0,
            ),
            "ration",
            fields,
            errors,
        ),
        field(
            Field::new(Kind::Number, "next_visit", "Days until you next look in")
                .hint("Empty for the usual"),
        ),
    ]
}

/// What the absence planner asks: `from`, `to`, `place_celsius`.
#[must_use]
pub fn away_controls(fields: &Fields, errors: &[(String, String)], degrees: &str) -> Vec<Control> {
    let field = |f: Field| filled(f, "away", fields, errors);
    vec![
        field(Field::new(Kind::Date, "from", "Leave").required()),
        field(Field::new(Kind::Date, "to", "Return").required()),
        field(
            Field::new(
                Kind::Number,
                "place_celsius",
                "Temperature there while you are away",
            )
            .unit(degrees)
            .hint("Empty if it stays as it is"),
        ),
    ]
}

/// What the heat and cold planner asks: `weather`, `sun`, `humidity`,
/// `place_celsius`, `help`.
#[must_use]
pub fn weather_controls(
    fields: &Fields,
    errors: &[(String, String)],
    degrees: &str,
) -> Vec<Control> {
    let sun = [
        ("shade", "Shade"),
        ("part", "Sun for part of the day"),
        ("full", "Full sun"),
    ];
    let help = [
        ("place", "Carry it elsewhere"),
        ("shade", "Shade it"),
        ("ice", "Ice"),
        ("wet_cover", "Wet cover"),
        ("insulation", "Insulation"),
        ("heater", "Heater"),
    ];
    let chips = |c: Chips| chosen(c, "weather", fields, errors);
    vec![
        filled(days_field().required(), "weather", fields, errors),
        chips(Chips::new("sun", "Where it stands", false, &sun, "shade")),
        filled(
            Field::new(Kind::Number, "humidity", "Humidity in the hottest hour")
                .unit("%")
                .hint("As forecast; empty if not known. A wet cloth cools little in damp air"),
            "weather",
            fields,
            errors,
        ),
        filled(
            Field::new(
                Kind::Number,
                "place_celsius",
                "How warm is another place it could go?",
            )
            .unit(degrees)
            .hint(
                "A shed, a cellar, indoors; left empty, the answer says what it would have to be",
            ),
            "weather",
            fields,
            errors,
        ),
        chips(Chips::new("help", "What you could do", true, &help, "")),
    ]
}
