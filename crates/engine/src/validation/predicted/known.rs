//! What was known of an experiment, and when: whether its setup was written
//! down before the model was run on it, and whether the article itself was
//! read.

/// Whether the setup was written down and committed before the model was run
/// on it.
pub(super) fn sealed_beforehand(experiment: &str, treatment: &str) -> bool {
    match experiment {
        "ramos2022" | "santana2020" | "quadar2022" | "srivastava2020" | "amouei2017"
        | "cotta2015" | "kostecka2008" | "gomezbrandon2013" | "sharafi2012" => true,
        "neuhauser1980" => treatment == "cow_alone",
        _ => false,
    }
}

/// Whether the measured values were read in a copy others made of the table,
/// not in the article. An abstract is the article's own.
pub(in crate::validation) fn second_hand(experiment: &str) -> bool {
    matches!(
        experiment,
        "ramos2022" | "santana2020" | "quadar2022" | "srivastava2020"
    )
}

/// Whether what all setups share (covers, the extract of conductivity) was
/// changed after the outcome of a sealed one had been seen.
pub(super) fn shared_parts_changed(experiment: &str) -> bool {
    matches!(experiment, "ramos2022" | "santana2020" | "quadar2022")
}
