//! Amounts as typed: `1 1/2 tsp`, `20 L`.

use engine::measure::Amount;

/// Materials that are weighed, poured, counted and have no density.
const MATERIALS: [&str; 6] = [
    "coir_pith",
    "limestone_calcitic",
    "newspaper",
    "vinegar_5",
    "apple",
    "egg_shell",
];

/// Refused in one short line; or a number above nothing that is read again as
/// itself, from text and from JSON, and is so many grams or is refused as such.
pub fn attack(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    let amount = match Amount::parse(text) {
        Ok(amount) => amount,
        Err(refused) => return super::told(&refused.to_string()),
    };
    assert!(
        amount.number.is_finite() && amount.number > 0.0,
        "{amount:?}"
    );
    let said = amount.to_string();
    assert_eq!(
        Amount::parse(&said).ok(),
        Some(amount),
        "`{said}` is read otherwise"
    );
    let json = serde_json::to_string(&amount).expect("an amount is text");
    assert_eq!(
        serde_json::from_str::<Amount>(&json).ok(),
        Some(amount),
        "{json}"
    );
    for key in MATERIALS {
        let Ok(material) = super::tables().material(key) else {
            continue;
        };
        match amount.grams(material, super::tables()) {
            Ok(range) => assert!(range.grams.is_finite() && range.grams > 0.0, "{said} {key}"),
            Err(refused) => super::told(&refused.to_string()),
        }
    }
}
