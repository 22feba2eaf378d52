//! How much to feed now.

use super::alarms;
use super::days::{on, on_and_distance};
use super::now;
use super::outlook::estimated;
use crate::chart::{Advice, FeedScale, feed_scale};
use crate::counter::around::{materials, refused, sentence, shell, units};
use crate::counter::parse::{self, Check, Faults};
use crate::counter::{bin, words};
use crate::desk::living::{Chosen, Fed, RationWish, held_words};
use crate::desk::{BinState, Desk};
use crate::report::{self, Units};
use crate::web::widgets::{Drift, Form, Picture, Reasons, Verdict, Weight};
use crate::web::{Answer, Fields, Nav, PREPARED, RationAnswer, RationPage, ration_controls};
use engine::bounds::Bound;
use engine::log::{BinId, Part};
use engine::measure::{Amount, Unit};
use engine::quantity::Band;
use engine::ration::{Prepared, published};

/// Days until the keeper looks in again.
const NEXT_VISIT: Bound = Bound {
    name: "days until you next look in",
    unit: "days",
    low: 1.0,
    high: 30.0,
    why: "for longer than a month ask what an absence takes",
};

/// What was asked.
#[derive(Debug, Default)]
struct Asked {
    wish: RationWish,
    /// What there is of it [g].
    on_hand: Option<f64>,
}

pub(in crate::counter) fn ration(desk: &Desk, id: i64, fields: &Fields) -> Answer<RationPage> {
    let state = desk.bin(BinId(id)).map_err(refused)?;
    estimated(&state)?;
    let (answer, faults) = match read(desk, fields) {
        Err(faults) => (None, faults),
        Ok(asked) => match desk.ration(&state, &asked.wish) {
            Ok(fed) => (Some(told(desk, &state, &asked, &fed)), Vec::new()),
            Err(e) if e.is_input() => (None, vec![(String::new(), sentence(&e))]),
            Err(e) => return Err(refused(e)),
        },
    };
    let whole: Vec<&str> = faults
        .iter()
        .filter(|(field, _)| field.is_empty())
        .map(|(_, fault)| fault.as_str())
        .collect();
    Ok(RationPage {
        shell: shell(desk, "What to feed now", Nav::Shelf),
        id,
        name: state.description.name.clone(),
        controls: ration_controls(fields, &faults),
        error: whole.join(" "),
        answer,
        materials: materials(desk),
        sources: now::sources(desk),
    })
}

fn read(desk: &Desk, fields: &Fields) -> Result<Asked, Faults> {
    let mut check = Check::default();
    let mut asked = Asked::default();
    let visit = check.take(
        "next_visit",
        parse::bounded(fields, "next_visit", &NEXT_VISIT),
    );
    if let Some(Some(days)) = visit {
        asked.wish.look_days = Some((days, days));
    }
    let prepared = fields.get("prepared");
    match PREPARED.iter().find(|(value, ..)| *value == prepared) {
        Some((_, _, how)) => asked.wish.prepared = *how,
        None if prepared.is_empty() => {}
        None => check.faults.push((
            "prepared".to_owned(),
            "Choose one of the ways shown.".to_owned(),
        )),
    }
    if !fields.has("material") && !fields.has("amount") {
        return if check.faults.is_empty() {
            Ok(asked)
        } else {
            Err(check.faults)
        };
    }
    let found = check.take("material", parse::material(desk, fields.get("material")));
    let amount = fields
        .has("amount")
        .then(|| check.take("amount", parse::amount(fields, "amount")))
        .flatten();
    if let Some(found) = found {
        if let Some(amount) = &amount {
            let grams = amount.grams(found, desk.tables).map_err(|e| sentence(&e));
            asked.on_hand = check.take("amount", grams).map(|g| g.grams);
        }
        asked.wish.feed = vec![Part::plain(
            found.key.clone(),
            Amount {
                number: 100.0,
                unit: Unit::Gram,
            },
        )];
    }
    if check.faults.is_empty() {
        Ok(asked)
    } else {
        Err(check.faults)
    }
}

fn told(desk: &Desk, state: &BinState, asked: &Asked, fed: &Fed) -> RationAnswer {
    let units = units(desk);
    let r = &fed.ration;
    let most = r.grams.median;
    let share = asked
        .on_hand
        .map_or(1.0, |has| (has / most.max(1e-9)).min(1.0));
    let grams = most * share;
    let dry = r.bedding_grams * share;
    let until = format!("by {}", on(desk, state.now, r.look_in_days));
    let names: Vec<String> = fed
        .parts
        .iter()
        .map(|p| words::of_material(desk, &p.material))
        .collect();
    let feeds = grams > 0.0;
    RationAnswer {
        verdict: verdict(fed, grams, share, &names, units),
        grams: if feeds {
            format!(
                "{} of {}",
                report::grams_band(
                    &engine::quantity::Band {
                        median: grams,
                        low: r.grams.low.min(grams),
                        high: if share < 1.0 { grams } else { r.grams.high },
                    },
                    units
                ),
                names.join(" and ")
            )
        } else {
            String::new()
        },
        handfuls: if feeds && share >= 1.0 {
            by_hand(fed)
        } else {
            String::new()
        },
        dry: if dry >= 10.0 {
            let besides = match fed.holds_bedding() {
                true => ", on top of what is in the food",
                false => "",
            };
            format!(
                "{} of {}{besides}",
                report::grams(dry, units),
                words::of_material(desk, &fed.bedding.material)
            )
        } else {
            String::new()
        },
        dry_why: "Takes up the water of the food, and keeps carbon and nitrogen in balance."
            .to_owned(),
        look_again: on_and_distance(desk, state.now, r.look_in_days),
        look_for: "Is the food mostly gone? Does a squeezed handful give a drop or two?".to_owned(),
        how: how(
            feeds,
            asked.wish.prepared,
            dry >= 10.0,
            r.water_grams * share,
            units,
        ),
        reasons: Reasons {
            list: reasons(fed, units),
        },
        cautions: if feeds {
            cautions(desk, fed)
        } else {
            Vec::new()
        },
        left_over: left_over(asked, grams, units),
        chances: alarms::chances(&r.chances, &until),
        scale: Picture::of(|size| feed_scale(&scale(desk, state, fed, share), size), ""),
        scale_line: scale_line(desk, fed, share),
        log_form: feeds.then(|| log_form(desk, state, fed, grams)).flatten(),
    }
}

fn verdict(fed: &Fed, grams: f64, share: f64, names: &[String], units: Units) -> Verdict {
    if grams <= 0.0 {
        let held = fed.ration.held.first();
        let line = held.map_or_else(String::new, |h| held_words(*h));
        return Verdict {
            drift: Drift::Wait,
            word: "Do not feed yet".to_owned(),
            line,
        };
    }
    let last = if fed.chosen == Chosen::Asked {
        ""
    } else {
        ", as fed last"
    };
    Verdict {
        drift: Drift::Good,
        word: format!("Feed {}", report::grams(grams, units)),
        line: if share < 1.0 {
            format!(
                "All of it: they could take more of {}.",
                names.join(" and ")
            )
        } else {
            format!("Of {}{last}.", names.join(" and "))
        },
    }
}

fn by_hand(fed: &Fed) -> String {
    let said: Vec<&str> = fed
        .parts
        .iter()
        .map(|p| p.measure.as_str())
        .filter(|m| !m.is_empty())
        .collect();
    said.join(" and ")
}

fn how(feeds: bool, prepared: Prepared, dry: bool, water: f64, units: Units) -> Vec<String> {
    if !feeds {
        return Vec::new();
    }
    let lay = match prepared {
        Prepared::Whole => {
            "Lay it at one side, not where the last food lies. Chopped, it goes faster."
        }
        Prepared::Chopped => "Lay it at one side, not where the last food lies.",
        Prepared::Blended => {
            "Spread it in thin strips at one side: a thick layer of pulp goes airless."
        }
        Prepared::Frozen => {
            "Lay it at one side while still frozen: it cools the bin as it thaws, so leave worms the other side."
        }
        Prepared::Thawed => "Pour off the water that came out of it, and lay it at one side.",
    };
    let mut steps = vec![lay.to_owned()];
    steps.push(if dry {
        "Mix the dry bedding in under and over it, and cover it with old bedding.".to_owned()
    } else {
        "Cover it with old bedding.".to_owned()
    });
    if water >= 20.0 {
        steps.push(format!(
            "Sprinkle {} of water over the bedding: it is on the dry side.",
            report::litres(water / 1000.0, units)
        ));
    }
    steps
}

fn reasons(fed: &Fed, units: Units) -> Vec<(Weight, String)> {
    let r = &fed.ration;
    let mut list: Vec<(Weight, String)> = r
        .held
        .iter()
        .enumerate()
        .map(|(i, h)| {
            let weight = if i == 0 {
                Weight::Decides
            } else {
                Weight::Counts
            };
            (weight, held_words(*h))
        })
        .collect();
    list.dedup();
    list.push((
        Weight::Note,
        format!(
            "Worms and microbes together could take {} of it a day.",
            report::grams_band(&r.could_take_per_day, units)
        ),
    ));
    if let Some(food) = &fed.food {
        list.push((Weight::Note, food.clone()));
    }
    list.push((Weight::Note, room(&r.room_litres, units)));
    if fed.chosen == Chosen::Usual {
        list.push((
            Weight::Note,
            "Nothing was fed yet, so mixed vegetable scraps are taken.".to_owned(),
        ));
    }
    list
}

/// Room left under the rim, in words.
fn room(litres: &Band, units: Units) -> String {
    if litres.median < 0.0 {
        return "The contents stand over the rim: take castings out, or start a second bin.".into();
    }
    let left = report::litres(litres.median, units);
    format!("Room left under the rim: about {left}.")
}

/// Cautions shown.
const MOST_CAUTIONS: usize = 4;

/// What to mind, a line for each food.
fn cautions(desk: &Desk, fed: &Fed) -> Vec<String> {
    let said = |material: &str| {
        let of_it = fed
            .ration
            .cautions
            .iter()
            .filter(|c| c.material == material);
        let mut list: Vec<String> = of_it.map(|c| sentence(&c.text)).collect();
        list.dedup();
        list.truncate(MOST_CAUTIONS);
        list.join(" ")
    };
    fed.parts
        .iter()
        .map(|p| (p, said(&p.material)))
        .filter(|(_, text)| !text.is_empty())
        .map(|(p, text)| match fed.parts.len() {
            1 => text,
            _ => format!("{}: {text}", words::material(desk, &p.material)),
        })
        .collect()
}

fn left_over(asked: &Asked, grams: f64, units: Units) -> String {
    match asked.on_hand {
        Some(has) if has - grams >= 10.0 => format!(
            "That leaves {}. Freeze it, or give it to another bin; food in reserve is better out than in.",
            report::grams(has - grams, units)
        ),
        _ => String::new(),
    }
}

fn scale(desk: &Desk, state: &BinState, fed: &Fed, share: f64) -> FeedScale {
    let ours = fed.ration.per_worms_per_day;
    FeedScale {
        id: format!("feed-scale-{}", state.id.0),
        ours: ours
            .filter(|b| b.median > 0.0)
            .map(|b| crate::counter::cite::scaled(&b, share)),
        advice: published(desk.tables)
            .unwrap_or_default()
            .iter()
            .map(|p| Advice {
                value: p.rate,
                whose: short(&p.from),
            })
            .collect(),
    }
}

/// Whose advice, in few words.
fn short(whose: &str) -> String {
    let (who, what) = whose.split_once(": ").unwrap_or((whose, ""));
    let who = who
        .replace(", Thompson & Das", "")
        .replace("university ", "");
    match what.split(' ').next_back() {
        Some(last) if who.starts_with("Ndegwa") => format!("{who}, {last}"),
        _ => who,
    }
}

fn scale_line(desk: &Desk, fed: &Fed, share: f64) -> String {
    let Some(ours) = fed.ration.per_worms_per_day.filter(|b| b.median > 0.0) else {
        return "Published advice goes by the weight of the worms.".to_owned();
    };
    let ours = ours.median * share;
    let advice = published(desk.tables).unwrap_or_default();
    let where_it_lies = if advice.first().is_some_and(|p| ours < p.rate) {
        "Below all published advice"
    } else if advice.last().is_some_and(|p| ours > p.rate) {
        "Above all published advice"
    } else {
        "Within published advice, which differs ninefold"
    };
    let why = fed
        .ration
        .held
        .first()
        .map_or_else(String::new, |h| held_words(*h));
    format!("{where_it_lies}. {why}")
}

fn log_form(desk: &Desk, state: &BinState, fed: &Fed, grams: f64) -> Option<Form> {
    let [only] = fed.parts.as_slice() else {
        return None;
    };
    let mut form = bin::forms(desk, state, units(desk))
        .into_iter()
        .find(|f| f.kind == "feeding")?;
    let name = desk
        .tables
        .material(&only.material)
        .map_or_else(|_| only.material.clone(), |m| m.name.clone());
    let when = words::machine_time(desk, desk.clock.unix_seconds());
    let pair = |n: &str, v: String| (n.to_owned(), v);
    let fields = Fields(vec![
        pair("material", name),
        pair("amount", format!("{} g", report::significant(grams, 2))),
        pair("when", when),
    ]);
    form.refill(&fields, &[]);
    Some(form)
}
