use super::tables;
use engine::bounds::AMOUNT_NUMBER;
use engine::measure::{Amount, AmountError, System, Unit, describe_grams, describe_litres};
use engine::table::Tables;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::LazyLock;

static TABLES: LazyLock<Tables> = LazyLock::new(tables);

fn read(text: &str) -> (f64, Unit) {
    let amount = Amount::parse(text).unwrap_or_else(|e| panic!("{text}: {e}"));
    (amount.number, amount.unit)
}

#[test]
fn what_keepers_type() {
    for (text, number, unit) in [
        ("20 L", 20.0, Unit::Litre),
        ("20l", 20.0, Unit::Litre),
        ("500 g", 500.0, Unit::Gram),
        ("3 cups", 3.0, Unit::Cup),
        ("1/2 cup", 0.5, Unit::Cup),
        ("1 1/2 tsp", 1.5, Unit::Teaspoon),
        ("1½ tsp", 1.5, Unit::Teaspoon),
        ("½ Tbsp.", 0.5, Unit::Tablespoon),
        ("2 handfuls", 2.0, Unit::Handful),
        ("a handful", 1.0, Unit::Handful),
        ("half a bucket", 0.5, Unit::Bucket),
        ("1 bucket", 1.0, Unit::Bucket),
        ("3 newspapers", 3.0, Unit::Newspaper),
        ("12 sheets", 12.0, Unit::Sheet),
        ("6 eggshells", 6.0, Unit::Eggshell),
        ("2 lb", 2.0, Unit::Pound),
        ("8 OZ", 8.0, Unit::Ounce),
        ("5 gal", 5.0, Unit::Gallon),
        ("1.5 kg", 1.5, Unit::Kilogram),
        ("250 ml", 250.0, Unit::Millilitre),
        ("2 metric cups", 2.0, Unit::MetricCup),
        ("1 5-gallon bucket", 1.0, Unit::FiveGallonBucket),
    ] {
        assert_eq!(read(text), (number, unit), "{text}");
    }
}

#[test]
fn what_cannot_be_read_is_told() {
    let error = |text: &str| Amount::parse(text).unwrap_err().to_string();
    assert_eq!(
        error("1,5 kg"),
        "amount `1,5 kg` has a comma, which may mean a decimal or thousands; write `1.5` or `1500`"
    );
    assert!(error("20").contains("has no unit"));
    assert!(error("cups").contains("could not be read"));
    assert!(error("").contains("could not be read"));
    assert!(error("3 furlongs").contains("the unit `furlongs` is not known"));
    assert!(error("0 cups").contains("must be more than 0"));
    assert!(error("-2 cups").contains("must be more than 0"));
    assert!(error("1/0 cup").contains("could not be read"));
    assert!(error("1.2.3 g").contains("could not be read"));
    assert!(error("2000 kg").contains("outside the allowed range"));
    assert!(error("1 1 cup").contains("not known"));
}

fn grams(text: &str, key: &str) -> (f64, f64, f64) {
    let material = TABLES.material(key).unwrap();
    let got = Amount::parse(text)
        .unwrap()
        .grams(material, &TABLES)
        .unwrap_or_else(|e| panic!("{text} {key}: {e}"));
    (got.low, got.grams, got.high)
}

#[test]
fn grams_of_household_measures() {
    // USDA: a cup of chopped apple is 125 g.
    assert!((grams("2 cups", "apple").1 - 250.0).abs() < 1e-6);
    // A level tablespoon of ground limestone is about 21 g, a teaspoon 6.9 g.
    assert!((grams("1 tbsp", "limestone_calcitic").1 - 20.6).abs() < 0.5);
    assert!((grams("1 tsp", "limestone_calcitic").1 - 6.9).abs() < 0.1);
    // Appelhof: 3 lb of newsprint per cubic foot.
    let (low, mid, high) = grams("1 cubic foot", "newsprint_shredded");
    assert!(low < 3.0 * 453.6 && high > 3.0 * 453.6);
    assert!((mid - 3.0 * 453.6).abs() < 70.0, "{mid}");
    // EPA: food waste 3.8 lb per US gallon.
    assert!((grams("1 gal", "kitchen_food_waste_mixed").1 / 453.592 - 3.8).abs() < 0.02);
    assert!((grams("2 lb", "apple").1 - 907.18).abs() < 0.01);
    assert!((grams("6 eggshells", "eggshell_crushed").1 - 33.0).abs() < 1e-9);
    let paper = grams("3 newspapers", "newsprint_shredded");
    assert!(paper.0 < 500.0 && paper.2 > 900.0, "{paper:?}");
}

#[test]
fn a_handful_of_powder_is_less_than_of_fibre() {
    let litres = |key: &str| {
        let material = TABLES.material(key).unwrap();
        let amount = Amount::parse("1 handful").unwrap();
        amount.litres(material, &TABLES).unwrap().litres
    };
    assert!(litres("limestone_calcitic") < litres("apple"));
    assert!(litres("apple") < litres("newsprint_shredded"));
}

#[test]
fn counted_things_fit_their_material_only() {
    let apple = TABLES.material("apple").unwrap();
    let error = Amount::parse("6 eggshells")
        .unwrap()
        .grams(apple, &TABLES)
        .unwrap_err();
    assert_eq!(
        error.to_string(),
        "`eggshell` is not a measure for `apple`; use grams, spoons or cups; eggshells are for eggshell"
    );
    assert!(matches!(
        Amount::parse("3 sheets").unwrap().grams(apple, &TABLES),
        Err(AmountError::NotForMaterial { .. })
    ));
}

#[test]
fn a_keepers_own_cup_counts_first() {
    let own = BTreeMap::from([("grams_per_cup".to_owned(), 150.0)]);
    let ash = TABLES.material("wood_ash").unwrap().with_own(&own).unwrap();
    let two = Amount::parse("2 cups").unwrap();
    let got = two.grams(&ash, &TABLES).unwrap();
    assert!((got.grams - 300.0).abs() < 0.1, "{}", got.grams);
    assert!(got.how.contains("your own weighing"), "{}", got.how);
    let ours = two
        .grams(TABLES.material("wood_ash").unwrap(), &TABLES)
        .unwrap();
    assert!(got.high - got.low < ours.high - ours.low);
}

#[test]
fn in_a_keepers_words() {
    let lime = TABLES.material("limestone_calcitic").unwrap();
    let say = |g: f64, system| describe_grams(g, lime, &TABLES, system).unwrap().text;
    assert_eq!(say(41.0, System::Metric), "about 2 tablespoons (41 g)");
    assert_eq!(say(10.0, System::Metric), "about 1 1/2 teaspoons (10 g)");
    assert_eq!(say(330.0, System::Us), "about 1 cup (330 g, 12 oz)");
    assert_eq!(say(0.05, System::Us), "0.05 g");
    let litres = |x: f64, system| describe_litres(x, &TABLES, system).unwrap().text;
    assert_eq!(litres(4.0, System::Metric), "about 4 litres");
    assert_eq!(litres(3.785, System::Us), "about 1 gallon");
    assert_eq!(litres(0.25, System::Metric), "about 1 metric cup (250 mL)");
    assert_eq!(litres(40.0, System::Metric), "about 4 buckets (40 L)");
}

#[test]
fn an_unsure_density_is_said() {
    let say = |key: &str| {
        let material = TABLES.material(key).unwrap();
        describe_grams(40.0, material, &TABLES, System::Metric)
            .unwrap()
            .text
    };
    assert_eq!(
        say("wood_ash"),
        "about 1/3 metric cup (40 g; better weighed, the weight of a cup varies)"
    );
    assert_eq!(say("leaves_dry"), "about 1 3/4 handfuls (40 g)");
}

#[test]
fn water_is_not_shovelled() {
    let litres = |text: &str| {
        let amount = Amount::parse(text).unwrap();
        amount.water_litres(&TABLES).map(|w| w.litres)
    };
    assert_eq!(litres("500 g").unwrap(), 0.5);
    assert!((litres("3 pints").unwrap() - 1.4195).abs() < 1e-3);
    assert!(litres("1 shovel").is_err());
    assert!(litres("6 eggshells").is_err());
}

#[test]
fn amounts_are_text_in_json() {
    let amount = Amount::parse("1/2 cup").unwrap();
    let text = serde_json::to_string(&amount).unwrap();
    assert_eq!(text, "\"0.5 cups\"");
    assert_eq!(serde_json::from_str::<Amount>(&text).unwrap(), amount);
    let error = serde_json::from_str::<Amount>("\"1,5 kg\"").unwrap_err();
    assert!(error.to_string().contains("comma"));
}

fn any_unit() -> impl Strategy<Value = Unit> {
    prop::sample::select(Unit::ALL)
}

proptest! {
    #[test]
    fn what_is_written_is_read_back(number in 1e-6..AMOUNT_NUMBER.high, unit in any_unit()) {
        if let Ok(amount) = Amount::new(number, unit) {
            prop_assert_eq!(Amount::parse(&amount.to_string()).unwrap(), amount);
        }
    }

    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,24}") {
        if let Ok(amount) = Amount::parse(&text) {
            prop_assert!(amount.number > 0.0 && amount.number.is_finite());
        }
    }

    #[test]
    fn grams_are_ordered_and_in_proportion(number in 0.01..50.0f64, unit in any_unit(), at in 0usize..138) {
        let material = TABLES.materials().nth(at).unwrap();
        let one = Amount::new(1.0, unit).unwrap().grams(material, &TABLES);
        let many = Amount::new(number, unit).unwrap().grams(material, &TABLES);
        if let (Ok(one), Ok(many)) = (one, many) {
            prop_assert!(many.low <= many.grams && many.grams <= many.high);
            prop_assert!((many.grams - number * one.grams).abs() <= 1e-9 * many.grams);
        }
    }

    #[test]
    fn a_description_is_within_a_fifth_and_never_nothing(exponent in -2.0..5.5f64, at in 0usize..138, us in any::<bool>()) {
        let grams = 10f64.powf(exponent);
        let material = TABLES.materials().nth(at).unwrap();
        let system = if us { System::Us } else { System::Metric };
        let said = describe_grams(grams, material, &TABLES, system).unwrap();
        prop_assert!(!said.text.contains("about 0 "), "{}", said.text);
        let back = said.amount.grams(material, &TABLES).unwrap().grams;
        prop_assert!((back / grams).ln().abs() < 0.25, "{} {back} {grams}", said.text);
    }

    #[test]
    fn described_litres_are_close(exponent in -3.0..2.9f64, us in any::<bool>()) {
        let litres = 10f64.powf(exponent);
        let system = if us { System::Us } else { System::Metric };
        let said = describe_litres(litres, &TABLES, system).unwrap();
        let back = said.amount.water_litres(&TABLES).unwrap().litres;
        prop_assert!((back / litres).ln().abs() < 0.25, "{} {back} {litres}", said.text);
    }
}

/// What anyone may type, or paste, where an amount is asked for.
fn hostile() -> Vec<String> {
    let mut all: Vec<String> = [
        "",
        " ",
        "-1 L",
        "1e999 kg",
        "1e5",
        "0x10 g",
        "1,5 kg",
        "99999999999999999999 L",
        "NaN L",
        "inf kg",
        "1/0 cup",
        "½",
        "1 \u{1b}[2J",
        "\u{202e}1 kg",
        "1 furlong",
        "2000000 cups",
        "5000 lb",
    ]
    .map(str::to_owned)
    .to_vec();
    for piece in ["9", "x", "½", "\u{0}", "\n", "🪱", "1 ", ","] {
        all.push(piece.repeat(100_000));
        all.push(format!("1 {}", piece.repeat(100_000)));
        all.push(format!("{} L", piece.repeat(5_000)));
    }
    all
}

/// Longest message, with what hides in it spelt out by eight characters each.
fn told(message: &str) -> usize {
    let hidden = |c: char| {
        if c.is_control() || c == '\u{202e}' {
            8
        } else {
            1
        }
    };
    message.chars().map(hidden).sum()
}

#[test]
fn a_refusal_is_short_whatever_was_typed() {
    for typed in hostile() {
        let Err(error) = Amount::parse(&typed) else {
            panic!("{} was taken", engine::echo(&typed));
        };
        let message = error.to_string();
        assert!(told(&message) <= 300, "{message}");
    }
}

#[test]
fn too_much_is_said_in_the_unit_typed() {
    let tables = tables();
    let castings = tables.material("vermicompost").unwrap();
    let error = |typed: &str| {
        let amount = Amount::parse(typed).unwrap();
        (
            amount.water_litres(&tables).unwrap_err().to_string(),
            amount.grams(castings, &tables),
        )
    };
    let (water, _) = error("900000 L");
    assert_eq!(
        water,
        "amount `900000 L` is outside the allowed range 0 to 1000 L (one tonne is far beyond a home bin)"
    );
    let (_, harvest) = error("900000 L");
    let harvest = harvest.unwrap_err().to_string();
    assert!(
        harvest.starts_with("amount `900000 L` is outside the allowed range 0 to 1"),
        "{harvest}"
    );
    let (handfuls, _) = error("2 handfuls");
    assert!(
        handfuls.contains("`handful` is not a measure for `water`"),
        "{handfuls}"
    );
    let pounds = Amount::parse("5000 lb").unwrap_err().to_string();
    assert!(
        pounds.contains("`5000 lb`") && pounds.contains("2200 lb"),
        "{pounds}"
    );
}
