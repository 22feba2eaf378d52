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
            "Nothing was fitted to it, and no law was changed because of its outcome"
        }
        (false, Group::Seen) => {
            "A constant was chosen with it in view, and the laws of the model were changed after its outcome had been seen"
        }
        (false, Group::Fresh) => {
            "A constant was chosen with other curves of the same work in view, not this one, and no law was changed because of its outcome"
        }
    });
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
            "No law was changed because of these outcomes, but how many were held had been seen when laws last changed: weaker proof than their first run."
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
            "With worms Hill 2013 fell to 4.6 by nitrate; ours stopped at 6.3, for nitrate lost in clods takes its acid along."
        }
        Kind::Salt => {
            "Salt falls in dung (Li 2016) and rises by a fifth in 120 days (Ramos 2022) where ours rises by a third and doubles: ours keeps all that is not drained, where some of it may come out as struvite or chalk, or go to sites new humus makes. Coconut husk gave off more than ours (Quadar 2022). Few works name their extract; one part in ten is taken."
        }
        Kind::CarbonNitrogen => {
            "Coconut husk and sawdust with dung rot faster than ours: C:N halved in 17 weeks where ours fell by a tenth to a quarter (Quadar 2022), and with worms C:N of dung fell by 57 % in 13 weeks, ours by 32 % (Li 2016). Cattle manure stayed at 13.8 where ours sinks to 11.6 (Ramos 2022): ours loses too little nitrogen to the air, or too much carbon."
        }
        Kind::WormMass => {
            "A well-fed adult of the model weighs 0.7 g, after boxes of soil, where worms alone or with room in manure reached 0.9 to 2 g, and in rich sludge sixty in a dish still grew to 0.65 g. Fresh dung of much nitrogen kills ours by ammonia in many possible pots, and potato peel is still sour after 15 days of composting, which was turned and ours is not."
        }
        Kind::WormNumber => {
            "Young that came of hatchlings within 15 weeks were five to ten times ours (Garg 2005): ours lay nothing for three weeks after a move, and less as they crowd. Beds composted before the worms came are too sour or too full of ammonia in the model."
        }
        Kind::MassLoss => {
            "Carbon dioxide falls too fast without worms; water lost to the air is too little in a hot climate."
        }
        Kind::Nitrate => {
            "Ours turns as much to nitrate with worms as without; measured was four times as much with them."
        }
        Kind::Moisture | Kind::Temperature | Kind::Castings => "Few values.",
    }
}
