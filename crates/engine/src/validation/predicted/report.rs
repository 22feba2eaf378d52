//! Predictions as checks of the page: what each value was held against, what
//! was known of it beforehand, and how many lie inside.

use super::super::experiments::Blind;
use super::super::{Area, Basis, Check, From, about, between};
use super::{Group, Kind, Prediction, known, share_inside};

const PUBLISHED: From = From {
    area: Area::Experiments,
    source: "the works named in the key: abstracts, digitised curves, copied tables",
    basis: Basis::Opened,
    unit: "-",
    decimals: 3,
};

/// The last value of each quantity of each treatment, every value of what was
/// sealed beforehand, and how many values of each kind lie inside.
pub(in crate::validation) fn checks(all: &[Prediction]) -> Vec<Check> {
    let mut checks: Vec<Check> = shown(all)
        .into_iter()
        .map(|(p, last)| one(p, last))
        .collect();
    for kind in Kind::ALL {
        for blind in [Blind::Yes, Blind::Weak] {
            for group in Group::ALL {
                checks.extend(coverage(all, kind, blind, group));
            }
        }
    }
    checks
}

/// What is shown by itself, and whether it is the last of its quantity.
fn shown(all: &[Prediction]) -> Vec<(&Prediction, bool)> {
    let last = |p: &Prediction| {
        !all.iter().any(|q| {
            (&q.experiment, &q.treatment, q.quantity) == (&p.experiment, &p.treatment, p.quantity)
                && q.day > p.day
        })
    };
    all.iter()
        .map(|p| (p, last(p)))
        .filter(|(p, last)| *last || known::sealed_beforehand(&p.experiment, &p.treatment))
        .collect()
}

/// What was done before the value was seen, and how the value was read.
pub(super) fn how_blind(p: &Prediction) -> String {
    let mut said = Vec::new();
    if known::shared_parts_changed(&p.experiment) {
        said.push("Its setup was committed before the model was run on it; covers and the extract of conductivity were changed afterwards, as for all");
    } else if known::sealed_beforehand(&p.experiment, &p.treatment) {
        said.push("Its setup was committed before the model was run on it and left as it was");
    }
    said.push(match (p.blind == Blind::Yes, p.group()) {
        (true, Group::Seen) => {
            "No number was fitted to it, but the laws of the model were changed after its outcome had been seen"
        }
        (true, Group::Fresh) => {
            "Nothing was fitted to it, and the model was first run on it with its laws as they are"
        }
        (false, Group::Seen) => {
            "A constant was chosen with it in view, and the laws of the model were changed after its outcome had been seen"
        }
        (false, Group::Fresh) => {
            "A constant was chosen with other curves of the same work in view, not this one, and the model was first run on it with its laws as they are"
        }
    });
    if p.group() == Group::Fresh && known::shared_parts_changed(&p.experiment) {
        said.push(
            "Salt, pH and C:N of the same bed had been seen, and nitrate is part of the salt",
        );
    }
    if p.second_hand() {
        said.push("The measured value is second hand, from a copy of the table");
    }
    said.join(". ")
}

fn one(p: &Prediction, last: bool) -> Check {
    let what = format!(
        "{} on day {:.0}, predicted",
        p.quantity.name().replace('_', " "),
        p.day
    );
    let mut key = format!("E {} {} {}", p.experiment, p.treatment, p.quantity.name());
    if !last {
        key = format!("{key} day {:.0}", p.day);
    }
    From {
        unit: p.quantity.unit(),
        decimals: 2,
        ..PUBLISHED
    }
    .check(key, what, about(p.observed), p.median)
    .note(&format!(
        "80 % interval {:.2} to {:.2}: {}. {}. Assumed: {}.",
        p.low,
        p.high,
        if p.inside() { "inside" } else { "outside" },
        how_blind(p),
        p.assumed
    ))
}

fn coverage(all: &[Prediction], kind: Kind, blind: Blind, group: Group) -> Option<Check> {
    let (share, boxes, values) = share_inside(all, kind, blind, Some(group))?;
    let which = if blind == Blind::Yes { "blind" } else { "weak" };
    let check = PUBLISHED.check(
        format!("E coverage {} {which} {}", kind.name(), group.name()),
        format!(
            "share of measured values in the 80 % interval, {}, {which} predictions, {}",
            kind.title(),
            group.title()
        ),
        between(0.74, 1.0),
        share,
    );
    let means = match group {
        Group::Fresh => {
            "The model was first run on these with its laws as they are: this is proof, as far as so many treatments go."
        }
        Group::Seen => {
            "The laws of the model were changed after these outcomes had been seen: lying inside is no proof."
        }
    };
    let why = match group {
        Group::Fresh => "",
        Group::Seen => why(kind),
    };
    let note =
        format!("{boxes} treatments, {values} values; each treatment counts once. {means} {why}");
    Some(check.note(note.trim_end()))
}

/// What the misses of a kind point at.
fn why(kind: Kind) -> &'static str {
    match kind {
        Kind::Ph => {
            "With worms Hill 2013 fell to 4.6 by nitrate; our wet mix has too little air to nitrify. Cattle manure stayed at 8.1 to 8.3 for 120 days (Ramos 2022), ours rose to 8.6; old grape marc stayed near 7.5 (Santana 2020), ours may be anything from 2 to 9."
        }
        Kind::Salt => {
            "Measured salt falls or stays (Majlessi 2012, Li 2016, Shafique 2025), or rises by a fifth in 120 days (Ramos 2022); ours rises with the nitrate that rotting sets free: by two fifths, and in old grape marc to ten times the 2 to 3 mS/cm measured (Santana 2020). In the model rotting matter gives off nitrogen below a C:N of 50 (its humus keeps a fifth of the carbon at a C:N of 10); soils and composts do so below 20 to 30. More humus of a lower C:N mends salt, pH and C:N together, but takes heat from fresh food in proportion: a pool of microbes that die again is wanted."
        }
        Kind::CarbonNitrogen => {
            "Manure rots too slowly or leaves too little humus rich in nitrogen: with worms C:N fell by 57 % in 13 weeks (Li 2016), ours by 20 %; with coconut husk it halved in 17 weeks, ours fell by a tenth to a quarter (Quadar 2022); food waste goes the other way (Majlessi 2012), and so does old grape marc, which stayed at 11.6 where ours sinks below 9 (Santana 2020). Cattle manure alone lies inside on all five dates to day 120 (Ramos 2022)."
        }
        Kind::WormMass => {
            "In closed pots of manure the model sets free too much nitrogen, which becomes nitrate: salt rises from 4 to 12 mS/cm in eight weeks, and worms that grow at first are driven off or shrink; in the trials they grew on. Composted dung at 82 % moisture still counts as airless. Beyond that a well-fed adult of the model weighs 0.7 g, after boxes of soil, where worms with room in manure reached 0.9 to 1.5 g."
        }
        Kind::WormNumber => "As for the mass: salt and want of air drive worms off or kill them.",
        Kind::MassLoss => {
            "Carbon dioxide falls too fast without worms; water lost to the air is too little in a hot climate."
        }
        Kind::Nitrate => "Nitrification with worms is too slow when wet.",
        Kind::Moisture | Kind::Temperature | Kind::Castings => "Few values.",
    }
}
