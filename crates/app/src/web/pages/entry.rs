//! The quick entry: one short form for each thing a keeper writes down. The
//! names of the fields are the contract with whoever reads them.

use crate::web::widgets::{Chips, Control, Field, Form, Kind};
use engine::bounds;
use engine::living::species::Species;

/// Instruments offered, as value and words; `when` is now, `2026-11-24T18:05`.
///
/// | kind | fields |
/// |---|---|
/// | `reading` | `what` (`ph`, `bedding_celsius`, `air_celsius`, `ec_ms_cm`, `moisture_percent`, `bin_kg`), `spots` (values, spaces or commas between), `instrument`, `place` |
/// | `observation` | `word` (many), `text` |
/// | `feeding` | `material`, `amount` |
/// | `dose` | `material`, `amount`, `how` |
/// | `water` | `amount`, `soft` |
/// | `worms_in` | `grams`, `count`, `species` |
/// | `bedding_added` | `material`, `amount` |
/// | `filled` | `material1`, `amount1` to `material4`, `amount4` |
/// | `turned` | |
/// | `drain`, `harvest` | `amount` |
/// | `worm_count` | `found`, `grams`, `ball` (`no`, `yes`), `litres` |
/// | `move` | `place` |
/// | `note` | `text` |
///
/// Each also sends `kind` and `when`.
#[must_use]
pub fn entry_forms(bin: i64, instruments: &[(&str, &str)], when: &str) -> Vec<Form> {
    let action = format!("/bins/{bin}/log");
    let form = |kind: &str, title: &str, controls: Vec<Control>| {
        let mut controls = controls;
        controls.push(Control::Field(
            Field::new(Kind::DateTime, "when", "When").value(when),
        ));
        Form::new(kind, title, &action, "Write it down", controls)
    };
    vec![
        form("reading", "A reading", reading(instruments)),
        form("observation", "Looks, smells, squeeze", observation()),
        form("feeding", "Fed", material("feed", "3 cups")),
        form("dose", "Lime or other dose", dose()),
        form("water", "Watered", water()),
        form(
            "bedding_added",
            "Bedding added",
            material("bedding", "10 L"),
        ),
        form("turned", "Turned or mixed through", Vec::new()),
        form("note", "A note", vec![text("text", "Note")]),
        form("worms_in", "Worms in", worms_in()),
        form("worm_count", "Worms counted", worm_count()),
        form(
            "drain",
            "Liquid drained off",
            vec![Control::Field(amount("1 L, or 4 cups"))],
        ),
        form(
            "harvest",
            "Castings taken out",
            vec![Control::Field(amount("5 L, or 1 bucket"))],
        ),
        form("filled", "Filled from empty", filled()),
        form(
            "move",
            "Moved",
            vec![Control::Field(
                Field::new(Kind::Text, "place", "Where it stands now").required(),
            )],
        ),
    ]
}

fn text(name: &str, label: &str) -> Control {
    Control::Field(Field::new(Kind::Lines, name, label))
}

fn reading(instruments: &[(&str, &str)]) -> Vec<Control> {
    let what = [
        ("ph", "pH"),
        ("bedding_celsius", "Bed temperature"),
        ("moisture_percent", "Moisture"),
        ("ec_ms_cm", "Salt (EC)"),
        ("air_celsius", "Air temperature"),
        ("bin_kg", "Bin weight"),
    ];
    let places = [
        ("spread", "Several places"),
        ("top", "Top"),
        ("middle", "Middle"),
        ("bottom", "Bottom"),
        ("edge", "At the wall"),
        ("food", "By the food"),
    ];
    let list: Vec<(String, String)> = instruments
        .iter()
        .map(|(v, w)| ((*v).to_owned(), (*w).to_owned()))
        .collect();
    let first = list.first().map_or(String::new(), |(v, _)| v.clone());
    vec![
        Control::Chips(Chips::new("what", "What was measured", false, &what, "ph")),
        Control::Field(
            Field::new(Kind::Text, "spots", "Value at each spot")
                .hint("One number a spot, a space between: 5.8 6.1 5.9")
                .required(),
        ),
        Control::Field(
            Field::new(Kind::Select(list), "instrument", "Instrument or method")
                .hint("A slurry: 1 part bedding and 5 parts distilled or rain water by volume; stir, wait 30 minutes, read")
                .value(&first),
        ),
        Control::Chips(Chips::new(
            "place",
            "Where in the bin",
            false,
            &places,
            "spread",
        )),
    ]
}

fn observation() -> Vec<Control> {
    let squeeze = [
        ("squeeze_dusty", "Dusty, no ball"),
        ("squeeze_weak", "Weak ball, no water"),
        ("squeeze_drops", "A drop or two"),
        ("squeeze_several", "Several drops"),
        ("squeeze_trickle", "Short trickle"),
        ("squeeze_stream", "Stream"),
    ];
    let worms = [
        ("worms_spread", "Spread through"),
        ("worms_climbing", "Climbing, under lid"),
        ("worms_at_edge", "At edges or bottom"),
        ("worms_balled", "In a ball"),
        ("worms_left", "Outside the bin"),
        ("worms_stray_none", "None out at night"),
        ("worms_stray_few", "A few out at night"),
        ("worms_stray_many", "Many out at night"),
        ("worms_plump", "Plump, lively"),
        ("worms_thin", "Thin, pale, slow"),
        ("worms_dead", "Dead worms"),
    ];
    let smells = [
        ("smell_earthy", "Earthy"),
        ("smell_sour", "Sour"),
        ("smell_rotten", "Rotten"),
        ("smell_ammonia", "Ammonia, sharp"),
    ];
    let else_seen = [
        ("food_gone", "Food gone"),
        ("food_half", "Half the food left"),
        ("food_most", "Most food left"),
        ("condensation", "Droplets on lid"),
        ("pooling", "Standing liquid"),
        ("mould", "White mould"),
        ("mites", "Many mites"),
        ("potworms", "White potworms"),
        ("flies", "Flies or larvae"),
        ("feels_warm", "Feels warm"),
        ("feels_cold", "Feels cold"),
    ];
    let chips = |legend: &str, list: &[(&str, &str)]| {
        Control::Chips(Chips::new("word", legend, true, list, ""))
    };
    vec![
        chips("A handful, squeezed hard", &squeeze),
        chips("Worms", &worms),
        chips("Smell", &smells),
        chips("Anything else", &else_seen),
        text("text", "In your own words"),
    ]
}

fn material(role: &str, example: &str) -> Vec<Control> {
    vec![
        Control::Field(
            Field::new(Kind::Suggest("materials".into()), "material", "What")
                .hint(&format!("A {role} from the tables or your shed"))
                .required(),
        ),
        Control::Field(amount(example)),
    ]
}

/// Parts a bin was filled with, four rows.
pub(crate) fn filled() -> Vec<Control> {
    (1..=4)
        .flat_map(|n| {
            let label = if n == 1 { "What" } else { "And" };
            let what = Field::new(
                Kind::Suggest("materials".into()),
                &format!("material{n}"),
                label,
            );
            let much = Field::new(Kind::Text, &format!("amount{n}"), "How much");
            if n == 1 {
                [
                    what.hint("Such as coir"),
                    much.hint("20 L, 500 g").unmarked(),
                ]
            } else {
                [what.unmarked(), much.unmarked()]
            }
        })
        .map(Control::Field)
        .collect()
}

fn worm_count() -> Vec<Control> {
    let ball = [
        ("no", "A search of the bedding"),
        ("yes", "A ball that had gathered"),
    ];
    vec![
        Control::Field(
            Field::bounded("found", "Worms found", &bounds::WORM_COUNT)
                .hint("As counted; empty if only weighed"),
        ),
        Control::Field(
            Field::bounded("grams", "Their weight", &bounds::WORMS_GRAMS)
                .hint("Rinsed and drained, if weighed"),
        ),
        Control::Chips(Chips::new("ball", "What was looked at", false, &ball, "no")),
        Control::Field(
            Field::new(Kind::Number, "litres", "Bedding looked through")
                .unit("L")
                .hint("Empty for the whole bin, or for a ball"),
        ),
    ]
}

fn amount(example: &str) -> Field {
    Field::new(Kind::Text, "amount", "How much")
        .hint(&format!("A number and a unit: {example}"))
        .required()
}

fn dose() -> Vec<Control> {
    let how = [
        ("mixed_in", "Dusted and mixed in"),
        ("on_top", "Dusted on top"),
        ("poured_slurry", "Stirred in water, poured"),
        ("poured_liquor", "Steeped, strained, poured"),
    ];
    let mut controls = material("liming or acid material", "2 tablespoons, or 30 g");
    controls.push(Control::Chips(Chips::new(
        "how",
        "How it was given",
        false,
        &how,
        "mixed_in",
    )));
    controls
}

fn water() -> Vec<Control> {
    let soft = [("no", "Tap or well"), ("yes", "Rain or other soft water")];
    vec![
        Control::Field(amount("1 L, or 4 cups")),
        Control::Chips(Chips::new("soft", "What water", false, &soft, "no")),
    ]
}

fn worms_in() -> Vec<Control> {
    let species = Species::ALL
        .iter()
        .map(|s| (s.name().to_owned(), species_words(*s).to_owned()))
        .collect();
    vec![
        Control::Field(
            Field::bounded("grams", "Weight", &bounds::WORMS_GRAMS).hint("Live worms, if weighed"),
        ),
        Control::Field(
            Field::bounded("count", "Number", &bounds::WORM_COUNT)
                .hint("If counted or ordered by number"),
        ),
        Control::Field(
            Field::new(Kind::Select(species), "species", "Which worms")
                .value(Species::EiseniaFetida.name()),
        ),
    ]
}

/// A species as a keeper says it, with its name.
#[must_use]
pub fn species_words(species: Species) -> &'static str {
    match species {
        Species::EiseniaFetida => "Red worms (Eisenia fetida, E. andrei)",
        Species::DendrobaenaVeneta => "European nightcrawlers (Dendrobaena veneta)",
        Species::EudrilusEugeniae => "African nightcrawlers (Eudrilus eugeniae)",
        Species::PerionyxExcavatus => "Indian blue worms (Perionyx excavatus)",
    }
}
