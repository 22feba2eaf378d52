//! What words leave of a cause outside the model, and of a keeper's offset: the
//! figures that must hold.

// The figures are read off a run with `--nocapture`.
#![allow(clippy::disallowed_macros)]

use super::{SAYINGS, quiet};
use engine::living::observe::keeper::NORMALS;
use engine::living::observe::{Keeper, Question, Said, Unseen};
use engine::living::signs::Signs;
use engine::log::Word;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// A well-kept bin a month old: signs of one carried by the model, weekly fed.
fn well_kept(age_days: f64) -> Signs {
    Signs {
        age_days,
        stocked_days: Some(age_days - 3.0),
        pocket_ph: 7.5,
        moisture_percent: 74.0,
        top_moisture_percent: 67.0,
        drop_moisture_percent: 68.0,
        sour_meq_per_kg: 26.0,
        free_ammonia_mg_per_kg: 0.7,
        airless: 0.0,
        core_celsius: 19.0,
        hot_celsius: 19.2,
        refuge_celsius: 18.9,
        air_celsius: 18.6,
        worms: 2000.0,
        urge_to_leave: 0.003,
        driven_to_leave: 0.003,
        habitable: 1.0,
        feed_left: 0.37,
        ..quiet()
    }
}

/// One possible bin.
#[derive(Clone, Copy)]
struct Member {
    weight: f64,
    signs: Signs,
    keeper: Keeper,
    said: Said,
    unseen: Unseen,
}

impl Member {
    fn new(weight: f64, signs: Signs, keeper: Keeper) -> Self {
        Self {
            weight,
            signs,
            keeper,
            said: Said::default(),
            unseen: Unseen::none(0.0),
        }
    }

    fn hear(&mut self, words: &[Word], day: f64) {
        let log = SAYINGS.words_heard(
            words,
            &self.signs,
            &self.keeper,
            &mut self.said,
            &mut self.unseen,
            day,
        );
        self.weight *= log.exp();
    }
}

fn hear(members: &mut [Member], words: &[Word], day: f64) {
    for m in members.iter_mut() {
        let stocked = m.signs.age_days - m.signs.stocked_days.unwrap_or(0.0);
        m.signs.age_days = day;
        m.signs.stocked_days = Some(day - stocked);
        m.hear(words, day);
    }
    let sum: f64 = members.iter().map(|m| m.weight).sum();
    for m in members {
        m.weight /= sum;
    }
}

/// Chance of a cause, of the trouble that the first members have not, and of
/// either.
fn blame(members: &[Member], well: usize) -> [f64; 3] {
    let cause: f64 = members.iter().map(|m| m.weight * m.unseen.any()).sum();
    let shown: f64 = members[well..].iter().map(|m| m.weight).sum();
    let well: f64 = members[..well]
        .iter()
        .map(|m| m.weight * m.unseen.any())
        .sum();
    [cause, shown, well + shown]
}

fn usual() -> Keeper {
    SAYINGS.keepers().draw(&[0.0; NORMALS])
}

const WELL: [Word; 2] = [Word::WormsSpread, Word::SmellEarthy];

/// The four clear words, and a bin in which the model knows what they show.
fn clear() -> [(&'static str, Word, Signs); 4] {
    let well = well_kept(30.0);
    let driven = Signs {
        urge_to_leave: 0.6,
        driven_to_leave: 0.6,
        habitable: 0.4,
        ..well
    };
    let sour = Signs {
        sour_meq_per_kg: 300.0,
        pocket_ph: 5.0,
        ..well
    };
    let foul = Signs {
        airless: 0.6,
        ..well
    };
    [
        ("climbing", Word::WormsClimbing, driven),
        ("sour", Word::SmellSour, sour),
        ("rotten", Word::SmellRotten, foul),
        ("strays many", Word::WormsStrayMany, driven),
    ]
}

/// What is believed after one clear look, after two so many days apart, and
/// then after "all well" four days later, or seven.
fn course(members: &[Member], well: usize, word: Word, apart: f64) -> [[f64; 3]; 4] {
    let mut one = members.to_vec();
    hear(&mut one, &[word], 30.0);
    let mut two = one.clone();
    hear(&mut two, &[word], 30.0 + apart);
    let after = |days| {
        let mut then = two.clone();
        hear(&mut then, &WELL, 30.0 + apart + days);
        blame(&then, well)
    };
    [blame(&one, well), blame(&two, well), after(4.0), after(7.0)]
}

const APART: [f64; 3] = [1.0, 2.0, 3.0];

/// Two agreeing looks make a cause outside the model as likely as not, where no
/// possible bin has the trouble; one look does not yet.
#[test]
fn two_agreeing_clear_looks_are_believed_and_one_is_not_yet() {
    for (name, word, trouble) in clear() {
        for apart in APART {
            let [one, two, ..] = course(&members(0.0, trouble), 1, word, apart);
            println!(
                "(a) {name}, {apart} d apart: {:.2} then {:.2}",
                one[0], two[0]
            );
            assert!(one[0] < 0.75, "{name} {one:?}");
            assert!(two[0] >= 0.5, "{name} {apart} d apart: {two:?}");
        }
    }
}

/// All well for four days, and for seven, makes the cause go.
#[test]
fn all_well_takes_it_away_again() {
    for (name, word, trouble) in clear() {
        for apart in APART {
            let [.., four, seven] = course(&members(0.0, trouble), 1, word, apart);
            println!(
                "(a) {name}, {apart} d apart: after {:.3}, {:.3}",
                four[0], seven[0]
            );
            assert!(four[0] < 0.25, "{name} {four:?}");
            assert!(seven[0] < 0.15, "{name} {seven:?}");
        }
    }
}

fn members(share: f64, trouble: Signs) -> [Member; 2] {
    [
        Member::new(1.0 - share, well_kept(30.0), usual()),
        Member::new(share, trouble, usual()),
    ]
}

/// Uniform draw [0 to 1).
fn uniform(g: &mut ChaCha8Rng) -> f64 {
    f64::from(g.next_u32()) / 4_294_967_296.0
}

fn normal(g: &mut ChaCha8Rng) -> f64 {
    (0..12).map(|_| uniform(g)).sum::<f64>() - 6.0
}

/// An answer with the chances of the model; `None` when nothing is said.
fn answer(g: &mut ChaCha8Rng, question: Question, m: &Member, strong: bool) -> Option<Word> {
    let answers = SAYINGS.answers_by(question, &m.signs, &m.keeper);
    let mut left = uniform(g);
    let said = answers.probabilities().iter().position(|p| {
        left -= p;
        left < 0.0
    })?;
    (!strong || question.is_strong(said))
        .then(|| question.word(said))
        .flatten()
}

/// One look as keepers take it: some questions, each answered anew or as the
/// last time; strong things are told of now and then without being asked.
fn look(
    g: &mut ChaCha8Rng,
    m: &Member,
    last: &mut [(f64, Option<Word>); 17],
    day: f64,
) -> Vec<Word> {
    const ASKED: [Question; 6] = [
        Question::Squeeze,
        Question::Food,
        Question::Place,
        Question::Condition,
        Question::Sour,
        Question::Earthy,
    ];
    let mut words = Vec::new();
    for question in ASKED {
        if uniform(g) < 0.5 {
            let (then, word) = last[question as usize];
            let again = m.keeper.repeats * (-(day - then) / 7.0).exp();
            let word = match word {
                Some(word) if uniform(g) < again => Some(word),
                _ => answer(g, question, m, false),
            };
            if word.is_some() {
                last[question as usize] = (day, word);
            }
            words.extend(word);
        }
    }
    let told = words.clone();
    for question in Question::STRONG {
        let open = !told.iter().any(|w| question.is_of(*w));
        if !told.is_empty() && open && uniform(g) < SAYINGS.volunteers(question, &told) {
            words.extend(answer(g, question, m, true));
        }
    }
    words
}

/// Of 400 well-kept bins looked at twice a week for a year by keepers each with
/// hands of their own, a cause is believed without there being one in at most
/// one look of twenty.
#[test]
fn a_quiet_bin_is_seldom_thought_to_have_a_cause() {
    let (mut looks, mut false_looks, mut false_bins) = (0, 0, 0);
    for bin in 0..400 {
        let mut g = ChaCha8Rng::seed_from_u64(4242);
        g.set_stream(bin);
        let keeper = SAYINGS
            .keepers()
            .draw(&std::array::from_fn(|_| normal(&mut g)));
        // The signs are the bin's own, the keeper is not known to who listens.
        let truth = Member::new(1.0, well_kept(30.0), keeper);
        let mut heard = Member::new(1.0, well_kept(30.0), usual());
        let mut last = [(0.0, None); 17];
        let mut ever = false;
        for i in 1..=104 {
            let day = 3.5 * f64::from(i);
            let mut m = truth;
            m.signs.age_days = day;
            m.signs.stocked_days = Some((day - 3.0).max(0.0));
            // Fed weekly.
            m.signs.feed_left = if i % 2 == 1 { 0.5 } else { 0.1 };
            let words = look(&mut g, &m, &mut last, day);
            heard.signs = m.signs;
            heard.hear(&words, day);
            looks += 1;
            if heard.unseen.any() > 0.5 {
                false_looks += 1;
                ever = true;
            }
        }
        false_bins += u32::from(ever);
    }
    let share = f64::from(false_looks) / f64::from(looks);
    println!(
        "(b) believed without one: {:.2} % of {looks} looks; {:.0} % of bins ever in a year",
        100.0 * share,
        f64::from(false_bins) / 4.0
    );
    assert!(share <= 0.05, "{share}");
    // So often that the rate is one at all.
    assert!(false_looks > 0);
}

/// Standard deviation of moisture over possible bins after so many weeks of
/// "a few drops" [points]; `offsets` are the keepers held possible, in standard
/// deviations.
fn moisture_sd(offsets: &[f64], weeks: u32) -> f64 {
    let mut members = Vec::new();
    for half in 90..=180 {
        for offset in offsets {
            let moisture = f64::from(half) / 2.0;
            let signs = Signs {
                moisture_percent: moisture,
                top_moisture_percent: moisture,
                ..well_kept(30.0)
            };
            let mut normals = [0.0; NORMALS];
            normals[0] = *offset;
            let keeper = SAYINGS.keepers().draw(&normals);
            members.push(Member::new((-offset * offset / 2.0).exp(), signs, keeper));
        }
    }
    for week in 0..weeks {
        hear(
            &mut members,
            &[Word::SqueezeDrops],
            30.0 + 7.0 * f64::from(week),
        );
    }
    let mean = |f: &dyn Fn(f64) -> f64| -> f64 {
        members
            .iter()
            .map(|m| m.weight * f(m.signs.moisture_percent))
            .sum()
    };
    let middle = mean(&|x| x);
    mean(&|x| (x - middle).powi(2)).sqrt()
}

/// Fifty squeezes by one hand are not fifty times better than one.
#[test]
fn a_year_of_one_word_by_one_hand_does_not_pin_the_moisture() {
    let offsets: Vec<f64> = (-12..=12).map(|i| f64::from(i) / 4.0).collect();
    let (by_one, by_none) = (moisture_sd(&offsets, 50), moisture_sd(&[0.0], 50));
    let first = moisture_sd(&offsets, 1);
    println!(
        "(c) sd of moisture after 50 of \"a few drops\": {by_one:.2} points, without offsets \
         {by_none:.2}; after one {first:.2}"
    );
    assert!(by_one >= 3.0 && by_one < first, "{by_one} {first}");
    assert!(by_none < 1.0, "{by_none}");
}
