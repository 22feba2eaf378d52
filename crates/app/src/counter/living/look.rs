//! The one observation most worth its trouble, in words.

use engine::living::observe::gain::Look;

/// What to do, and the form to write it in.
pub(super) fn words(look: Look) -> (&'static str, &'static str) {
    match look {
        Look::Squeeze => ("Squeeze a handful from the middle, hard.", "observation"),
        Look::Smell => ("Smell the bedding where food lies.", "observation"),
        Look::Lid => (
            "Look under the lid: droplets, and where the worms are.",
            "observation",
        ),
        Look::FoodLeft => ("See how much of the last food is left.", "observation"),
        Look::Thermometer => ("Put a thermometer in the middle.", "reading"),
        Look::Ph => ("Read the pH.", "reading"),
        Look::CoreCount => ("Count the worms in half a litre of bedding.", "worm_count"),
        Look::Weigh => ("Weigh the whole bin.", "reading"),
    }
}
