//! What worms stand and avoid, against trials and reference books.

use super::worms::{adults, live};
use super::{Area, Basis, Check, From, ValidationError, about, between, near};
use crate::living::deaths::{acid, ammonia, salt};
use crate::living::habitat::Habitat;
use crate::living::mortality;
use crate::living::species::{Species, Vital};
use crate::living::tolerance::{self, Felt};
use crate::living::warmth;
use crate::table::Tables;

const KAPLAN: From = From {
    area: Area::Tolerance,
    source: "Kaplan et al. 1980, Soil Biol. Biochem. 12:347, abstract",
    basis: Basis::Opened,
    unit: "alive of 1",
    decimals: 2,
};
const BOOK: From = From {
    source: "Earthworm Ecology, 2nd ed. 2004, Table 18.3, abstract",
    unit: "of 1",
    ..KAPLAN
};
const ZEGUERROU: From = From {
    source: "Zeguerrou et al. 2019; Zeguerrou & Adjroudi, abstracts",
    unit: "mg/g",
    ..KAPLAN
};
/// Water of a wet bedding, and of a soil in trials of salt [kg/kg dry].
const BEDDING_WATER: f64 = 3.0;
const SOIL_WATER: f64 = 0.5;
const WEVERS: From = From {
    source: "Wevers et al. 2022, WPR-OT 946, Tables 8-10",
    ..KAPLAN
};

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let v = Vital::of(tables, Species::EiseniaFetida)?;
    let mut all = ammonia_trials(&v);
    all.extend(acid_trials(&v));
    all.extend(book(&v));
    all.extend(salt_trials(&v));
    all.extend(trays(&v));
    Ok(all)
}

fn ammonia_trials(v: &Vital) -> Vec<Check> {
    let breeding =
        |x: f64| tolerance::effect(x, v.ammonia_breeding_mg_per_g, v.ammonia_breeding_power);
    let share = From {
        unit: "of 1",
        ..ZEGUERROU
    };
    // 1 g/kg of ammonium acetate (77.08 g/mol) as NH4OH (35.05 g/mol).
    let acetate = 35.05 / 77.08;
    vec![
        ZEGUERROU.check("B8.38 14 d", "NH4OH that kills half in 14 days", near(1.05, 0.16), ammonia::half_die_at(v, 14.0)).note("The law is set on the three times together; 15 % allowed."),
        ZEGUERROU.check("B8.38 28 d", "NH4OH that kills half in 28 days", near(0.85, 0.01), ammonia::half_die_at(v, 28.0)).note("The law is set on the three times together, and lies 3.5 % high here."),
        ZEGUERROU.check("B8.38 56 d", "NH4OH that kills half in 56 days", near(0.83, 0.125), ammonia::half_die_at(v, 56.0)).note("The law is set on the three times together; 15 % allowed."),
        share.check("B8.39 breeding", "young at the dose without effect, 0.5 mg/g", between(0.9, 1.0), breeding(0.5)),
        share.check("B8.39 survival", "alive after 28 days at the dose without effect, 0.5 mg/g", between(0.9, 1.0), (-28.0 * ammonia::per_day(v, 0.5)).exp()),
        share.check("B8.39 cocoons", "cocoons alive after 28 days at 1 mg/g, without effect on hatching", between(0.9, 1.0), (-28.0 * ammonia::per_day(v, 0.5)).exp())
            .note("Cocoons are taken to stand twice the dose of worms."),
        share.check("B avoid harmless", "in the clean half of a tray at the dose without effect on anything, 0.5 mg/g", between(0.8, 1.0), tolerance::avoids_ammonia(v, 0.5))
            .note("ISO 17512: over 80 % in the clean half is impaired habitat; avoided at a seventeenth of the deadly dose."),
        KAPLAN.check("B acetate", "alive after four weeks at 0.1 % ammonium acetate, which killed all", between(0.0, 0.05), (-28.0 * ammonia::per_day(v, acetate)).exp())
            .note("0.1 % is 0.45 mg/g as NH4OH, half of what kills half by Zeguerrou & Adjroudi: the two do not agree. Free ammonia of fresh sludge, or the acetate, may have told."),
    ]
}

fn alive_after(v: &Vital, h: &Habitat, days: f64) -> f64 {
    let felt = Felt::of(v, h);
    (-days * mortality::per_day(v, h, &felt, 1.0, 10.0)).exp()
}

fn acid_trials(v: &Vital) -> Vec<Check> {
    let at = |ph: f64, sour: f64| Habitat {
        ph,
        sour_meq_per_kg: sour,
        ..Habitat::kind(20.0)
    };
    let note = "All dead below 5 and above 9, says the abstract (the signs are lost in the stored copy), in sludges whose acids and ammonia are not told. Not followed: worms bred for years in soil of pH 5.0, lived in peat of pH 4, and none died in manures of pH 7.6 to 9.0.";
    vec![
        WEVERS.check("B8.26", "alive after 24 h in potato waste of pH 3", near(0.08, 0.1), alive_after(v, &at(3.0, 400.0), 1.0)).note("2 of 25. Sourness not told, 400 meq/kg used."),
        WEVERS.check("B pH limed", "alive after 42 days at pH 6.0, limed with chalk", near(0.90, 0.10), alive_after(v, &at(6.0, 20.0), 42.0)).note("89 and 91 % of the mass; pH 5.6 to 6.6."),
        KAPLAN.check("B pH 4.9", "alive after a week at pH 4.9, with acids", between(0.0, 0.05), alive_after(v, &at(4.9, 100.0), 7.0)).note(note),
        KAPLAN.check("B pH 4.4", "alive after a week at pH 4.4, with acids", between(0.0, 0.05), alive_after(v, &at(4.4, 200.0), 7.0)).note(note),
        KAPLAN.check("B pH 9.1", "alive after a week at pH 9.1", between(0.0, 0.05), alive_after(v, &at(9.1, 0.0), 7.0)).note(note),
        KAPLAN.check("B pH 7", "alive after a week at pH 7", between(0.95, 1.0), alive_after(v, &at(7.0, 0.0), 7.0)),
        From { source: "Garg, Kaushik & Dilbaghi 2005, abstract", ..KAPLAN }
            .check("B pH manure", "alive after 98 days at pH 9.0, the highest of seven manures", between(0.9, 1.0), alive_after(v, &at(9.0, 0.0), 98.0))
            .note("No mortality in any, at extracts of pH 7.6 to 9.0; against the line above."),
        From { source: "Longevity of earthworms stored in peat, 1986, abstract", ..KAPLAN }
            .check("B peat", "alive after four weeks in peat of pH 4.0", between(0.8, 1.0), alive_after(v, &at(4.0, 0.0), 28.0))
            .note("Stored well at pH 3.6 to 4.3; no counts in the abstract, so four fifths is our reading of it."),
    ]
}

fn book(v: &Vital) -> Vec<Check> {
    let per_month = |t: f64| {
        let h = Habitat {
            celsius: t,
            ..Habitat::kind(20.0)
        };
        alive_after(v, &h, 30.0)
    };
    vec![
        BOOK.check("B8.36 cold", "growth at the cold limit, 4 °C", between(0.0, 0.05), warmth::growth(v, 4.0)),
        BOOK.check("B8.36 heat", "alive after 30 days at the hot limit, 30 °C", between(0.9, 1.0), per_month(30.0)).note("Packed worms are said to die at 30 °C; deaths begin at 29 °C here, as a middle."),
        BOOK.check("B8.36 beyond", "alive after 30 days at 35 °C", between(0.0, 0.5), per_month(35.0)).note("Called deadly by most; one laboratory grew worms at 35 °C."),
        From { source: "Tripathi & Bhardwaj 2004, in EGrowth", unit: "alive of 1", ..KAPLAN }
            .check("B 35 grown", "alive after 90 days at 35 °C, at which one laboratory grew worms", between(0.5, 1.0), alive_after(v, &Habitat { celsius: 35.0, ..Habitat::kind(20.0) }, 90.0))
            .note("Against the line above: packed worms are said to die at 30 °C, and half to die within days at 33. Both stand; the heat that kills is drawn from 32 to 37 °C."),
        BOOK.check("B8.36 dry", "growth at 60 % moisture, the dry limit", between(0.2, 0.7), tolerance::moisture(v, 60.0)),
        BOOK.check("B8.36 wet", "growth at 90 % moisture, the wet limit", between(0.2, 0.7), tolerance::moisture(v, 90.0)),
        BOOK.check("B8.36 best", "least growth factor of moisture from 80 to 88 %", between(0.85, 1.0), tolerance::moisture(v, 80.0).min(tolerance::moisture(v, 88.0))).note("Best 80 to 90 %; at 90 % the wet limb has come down, which is judgement."),
        BOOK.check("B8.36 pH", "growth at pH 5.0 with organic acids and at 9.0, the larger", between(0.0, 0.5), tolerance::ph(v, 5.0, acid::undissociated(v, 30.0, 5.0)).max(tolerance::ph(v, 9.0, 0.0))).note("At 9.0. Worms grew in manures of extract pH 7.6 to 9.0 (Garg, Kaushik & Dilbaghi 2005), so growth is not taken to stop there."),
        BOOK.check("B8.36 ammonia", "breeding at 0.5 mg/g of ammonia", between(0.5, 1.0), tolerance::effect(0.5, v.ammonia_breeding_mg_per_g, v.ammonia_breeding_power)),
        From { source: KAPLAN.source, unit: "of 1", ..KAPLAN }.check("B8.35 gain", "least growth from 20 to 29 °C against the best", between(0.7, 1.0), warmth::growth(v, 20.0).min(warmth::growth(v, 29.0)))
            .note("Best gain from 20 to 29 °C, says the abstract; three growth series put 20 °C at half of 25 °C."),
    ]
}

fn salt_trials(v: &Vital) -> Vec<Check> {
    let from = From {
        source: "Owojori & Reinecke 2009, abstract",
        unit: "of 1",
        ..KAPLAN
    };
    vec![
        from.check("B8.37 soil", "in the clean half of a tray at 0.56 mS/cm in saline soil, avoided by half", near(0.5, 0.2), tolerance::avoids_salt(v, salt::in_water(v, 0.56, SOIL_WATER)))
            .note("Read as a 1:5 extract of soil with half its dry mass of water; the abstract does not tell the method."),
        from.check("B salt before harm", "in the clean half of a tray at the NaCl that kills half in 28 days", between(0.9, 1.0), tolerance::avoids_salt(v, v.salt_death_mmol_per_kg)),
        From { unit: "of 1", ..KAPLAN }.check("B8.35 salt ok", "growth at 3 mS/cm, which supports gain in clean manure", between(0.5, 1.0), tolerance::salt(v, salt::in_water(v, 3.0, BEDDING_WATER))),
        KAPLAN.check("B8.35 salt deadly", "alive after 28 days at 0.5 % soluble salt of dry matter (about 2 mS/cm in a 1:5 extract)", between(0.0, 0.5), (-28.0 * salt::per_day(v, salt::in_water(v, 2.0, BEDDING_WATER))).exp())
            .note("If of dry matter, it contradicts the 1.5 to 3 mS/cm of the same abstract; of wet manure it is 8 mS/cm, which the model takes."),
        From { source: "Majlessi et al. 2012, abstract", unit: "of 1", ..KAPLAN }.check("B8.44", "alive after 60 days in food waste of 4.9 mS/cm", between(0.5, 1.0), {
            let h = Habitat { ec_ms_per_cm: 4.9, ..Habitat::kind(20.0) };
            alive_after(v, &h, 60.0)
        }).note("They made vermicompost of it at 7.5 to 4.9 mS/cm; extract not told, no counts."),
    ]
}

/// Trays of 1 kg of worms in 10 L.
fn trays(v: &Vital) -> Vec<Check> {
    let from = From {
        unit: "% of start",
        decimals: 0,
        ..WEVERS
    };
    let left = |food: f64, days: f64| {
        let mut w = adults(Species::EiseniaFetida, 2000.0, 0.5);
        let h = Habitat {
            celsius: 18.0,
            food_supply: food,
            ..Habitat::kind(10.0)
        };
        live(&mut w, v, &h, days);
        w.grams() / 10.0
    };
    vec![
        from.check("B8.28", "mass left after 42 days of 100 g/L, food running out", near(90.3, 10.0), left(0.0, 42.0))
            .note("91.4 and 89.2 %; the model had nothing to eat from the first day. D. veneta and E. fetida 7:3 there, E. fetida here."),
        from.check("B8.27", "mass after 10 days at 100 g/L, fed peat and potato tare", near(125.0, 10.0), left(1.0, 10.0))
            .note("A quarter gained in ten days cannot be growth at that crowding; worms out of the post take up water, which the model does not follow."),
        from.check("B bad sludge", "mass after 42 days in unstable sludge, if it did no harm", about(26.0), left(0.3, 42.0))
            .note("20.6 and 32.0 % left there. What the sludge did to air and ammonia was not measured."),
    ]
}
