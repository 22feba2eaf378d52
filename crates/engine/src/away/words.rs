//! The answer in words.

use crate::advice::{Advice, Remedy, Speak, chances, number};
use crate::away::harm::Harm;
use crate::away::{Away, AwayAsk};
use crate::living::trouble::Trouble;
use crate::quantity::Band;

/// What to do before leaving, in order.
pub(crate) fn advice(ask: &AwayAsk<'_>, a: &Away, speak: Speak<'_>) -> Vec<Advice> {
    let mut lines: Vec<Advice> = a.already.iter().map(settle_first).collect();
    lines.extend(feed(a, speak));
    if a.bedding_grams > 0.0 {
        let (soak, unit) = speak.amount(around(a.soak_grams, 1.0, 1.0), "g");
        lines.push(speak.measured(
            if a.soak_grams > 0.0 {
                "Mix in bedding, torn small and soaked first"
            } else {
                "Mix in bedding, torn small and dry"
            },
            around(a.bedding_grams, 0.7, 1.2),
            "g dry",
            "before you leave",
            if a.soak_grams > 0.0 {
                format!(
                    "Soak it in {} {unit} of water. Card and paper are slow food that cannot turn sour, and they hold water.",
                    number(soak.median)
                )
            } else {
                "The bed is wet enough: dry card drinks what is too much, and is slow food that cannot turn sour."
                    .to_owned()
            },
        ));
    }
    if a.water_grams > 0.0 {
        lines.push(speak.measured(
            "Pour on water besides, slowly, all over",
            around(a.water_grams, 0.7, 1.1),
            "g",
            "before you leave",
            format!(
                "The bed would be down to {} % moisture on your return ({} to {}); worms want 60 or more.",
                number(a.undone.moisture_percent.median),
                number(a.undone.moisture_percent.low),
                number(a.undone.moisture_percent.high)
            ),
        ));
    }
    lines.push(Advice::plain(
        "Give no lime, no treat and nothing new",
        "in the last week",
        "What goes wrong with it goes wrong while nobody is there.",
    ));
    lines.push(Advice::plain(
        if ask.estimate.scene.home.drains {
            "Leave holes and lid vents free, the drain open over a tray"
        } else {
            "Leave lid vents free and pour off liquid that stands below"
        },
        "before you leave",
        "Wet that cannot run off and air that cannot get in drown worms.",
    ));
    lines.extend(place(a));
    lines.push(come_back(ask, a, speak));
    lines
}

fn around(grams: f64, low: f64, high: f64) -> Band {
    Band {
        median: grams,
        low: low * grams,
        high: high * grams,
    }
}

fn settle_first((harm, chance): &(Harm, f64)) -> Advice {
    Advice::plain(
        &format!("Settle this first: {}", harm.title().to_lowercase()),
        "before you leave",
        &format!(
            "The chance that it is so by then is {}. {}.",
            chances(*chance),
            remedy(*harm)
        ),
    )
}

/// What settles a harm.
fn remedy(harm: Harm) -> &'static str {
    Remedy::of(match harm {
        Harm::Trouble(trouble) => trouble,
        Harm::Starved => Trouble::Starving,
        Harm::WormsLost => Trouble::Leaving,
    })
    .act
}

fn feed(a: &Away, speak: Speak<'_>) -> Option<Advice> {
    if a.feed_grams.median <= 0.0 {
        return Some(Advice::plain(
            "Give no parting feed",
            "",
            "They do as well without it: worms live for weeks on moist bedding, losing half a per cent to one per cent of their mass a day, and food left alone can turn sour or hot. What counts is that the bedding is moist and the bin stands in shade.",
        ));
    }
    Some(speak.measured(
        "Give one small ration, wet, and no more",
        a.feed_grams,
        "g",
        "in place of the last feeding, two or three days before you leave if you can, so that you see it being eaten",
        "Worms live for weeks on bedding; a feast turns sour or hot with nobody there.",
    ))
}

/// What the place does, where heat or frost is to be feared.
fn place(a: &Away) -> Vec<Advice> {
    let chance = |t: Trouble| {
        a.done
            .chances
            .iter()
            .find(|c| c.0 == t)
            .map_or(0.0, |c| c.1)
    };
    let line = |t: Trouble, what: &str| {
        (chance(t) >= a.spoken_of).then(|| {
            Advice::plain(
                what,
                "before you leave",
                &format!(
                    "{}: {} while you are away, and no food or bedding helps against it.",
                    t.title(),
                    chances(chance(t))
                ),
            )
        })
    };
    [
        line(
            Trouble::TooHot,
            "Move the bin to the coolest room, out of any sun, not behind glass",
        ),
        line(
            Trouble::Freezing,
            "Move the bin to a warmer place, or wrap it",
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn come_back(ask: &AwayAsk<'_>, a: &Away, speak: Speak<'_>) -> Advice {
    let day = |away: u32| (speak.day)(ask.leave_in_days + away);
    let first = a
        .done
        .first
        .iter()
        .filter(|f| f.1 > 0.0)
        .max_by(|x, y| x.1.total_cmp(&y.1))
        .map(|f| f.0.title().to_lowercase());
    if a.unsettled().is_some() {
        return Advice::plain(
            "Do not leave it like this",
            "",
            "Put right what is there first, write down what you find, and ask again. The chances and the days here are of new harm only, once that is put right.",
        );
    }
    match a.done.latest_safe_days {
        None => Advice::plain(
            "Nobody need look in",
            "",
            &format!(
                "For {} days the chance of harm stays at a tenth or less.",
                a.done.looked_days
            ),
        ),
        Some(days) if days >= ask.days_away => Advice::plain(
            "Nobody need look in",
            "",
            &format!(
                "Be back by {} at the latest; then the chance of harm passes a tenth.",
                day(days)
            ),
        ),
        Some(days) => Advice::plain(
            "Have somebody look in",
            &format!("by {}", day(days.max(1))),
            &format!(
                "By your return the chance of harm is {}; likeliest first: {}.",
                chances(a.done.at_return),
                first.unwrap_or_else(|| "none".to_owned())
            ),
        ),
    }
}
