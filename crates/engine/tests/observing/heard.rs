//! Words of one keeper, look after look.

use super::laws::{any_signs, broken, reading};
use super::{SAYINGS, quiet};
use engine::living::observe::count::Found;
use engine::living::observe::keeper::NORMALS;
use engine::living::observe::{Cause, GaugeKind, Keeper, Question, Said, Unseen};
use engine::living::signs::Signs;
use engine::log::{Measured, Place, Word};
use proptest::prelude::*;
use proptest::sample::subsequence;

prop_compose! {
    /// Any keeper, the odd one in a thousand among them.
    fn any_keeper()(normals in proptest::array::uniform6(-3.5..3.5f64)) -> Keeper {
        let normals: [f64; NORMALS] = normals;
        SAYINGS.keepers().draw(&normals)
    }
}

const SQUEEZES: [Word; 6] = [
    Word::SqueezeDusty,
    Word::SqueezeWeak,
    Word::SqueezeDrops,
    Word::SqueezeSeveral,
    Word::SqueezeTrickle,
    Word::SqueezeStream,
];

fn some_words() -> impl Strategy<Value = Vec<Word>> {
    subsequence(Word::ALL.to_vec(), 1..6)
}

proptest! {
    #[test]
    fn answers_sum_to_one_for_any_keeper_and_cause(s in any_signs(), keeper in any_keeper()) {
        for question in Question::ALL {
            for cause in Cause::ALL {
                let answers = SAYINGS.answers_under(cause, question, &s, &keeper);
                let list = answers.probabilities();
                let sum: f64 = list.iter().sum();
                prop_assert!((sum - 1.0).abs() < 1e-9, "{question:?} {cause:?}: {list:?}");
                prop_assert!(list.iter().all(|p| (0.0..=1.0).contains(p)), "{list:?}");
            }
            let none = SAYINGS.answers_under(Cause::None, question, &s, &keeper);
            prop_assert_eq!(none, SAYINGS.answers_by(question, &s, &keeper));
        }
    }

    #[test]
    fn no_offset_no_repeat_and_no_cause_say_what_words_alone_say(
        s in any_signs(), first in some_words(), then in some_words(),
    ) {
        let keeper = Keeper::default();
        let mut said = Said::default();
        for words in [&first, &then] {
            // Of this day, so that no cause has come.
            let mut unseen = Unseen::none(9.0);
            let heard = SAYINGS.words_heard(words, &s, &keeper, &mut said, &mut unseen, 9.0);
            let alone = SAYINGS.words_log_likelihood(words, &s);
            prop_assert!((heard - alone).abs() < 1e-9 * (1.0 + alone.abs()), "{heard} {alone}");
            prop_assert_eq!(unseen, Unseen::none(9.0));
        }
    }

    /// A word is said again, or anything is said anew: the chances of all
    /// answers still sum to one, whatever was said before and whatever is the
    /// cause.
    #[test]
    fn what_may_be_said_next_sums_to_one(
        s in any_signs(), keeper in any_keeper(), days in 0.0..40.0f64,
        parts in proptest::array::uniform5(0.01..1.0f64), before in 0..6usize,
    ) {
        // But for a draught, which may show itself in some of the answers, so that
        // the silence of the rest is not the same beside each.
        let mut chances = parts;
        chances[Cause::Draught as usize] = 0.0;
        let sum: f64 = chances.iter().sum();
        let causes = Unseen { chances: chances.map(|p| p / sum), day: 60.0 + days };
        let first = Question::Squeeze.word(before).unwrap();
        let mut said = Said::default();
        SAYINGS.words_heard(&[first], &s, &keeper, &mut said, &mut Unseen::none(60.0), 60.0);
        let (mut all, mut silence) = (0.0, 0.0);
        for answer in 0..6 {
            let word = Question::Squeeze.word(answer).unwrap();
            let next = |words: &[Word]| {
                let (mut said, mut unseen) = (said, causes);
                SAYINGS.words_heard(words, &s, &keeper, &mut said, &mut unseen, 60.0 + days).exp()
            };
            all += next(&[word]);
            // Any squeeze at all: what is left is the silence of the rest.
            silence = next(&SQUEEZES);
        }
        // Said together they are another answer than the last, so none repeats it.
        let again = keeper.repeats * (-days / 7.0).exp();
        prop_assert!(
            (all * (1.0 - again) / silence - 1.0).abs() < 1e-6, "{all} {silence} {again}"
        );
    }

    #[test]
    fn the_causes_stay_chances_and_the_day_is_kept(
        s in any_signs(), keeper in any_keeper(),
        looks in proptest::collection::vec((some_words(), 0.0..20.0f64), 1..8),
    ) {
        let (mut said, mut unseen, mut day) = (Said::default(), Unseen::none(0.0), 0.0);
        for (words, days) in &looks {
            day += days;
            let log = SAYINGS.words_heard(words, &s, &keeper, &mut said, &mut unseen, day);
            prop_assert!(log.is_finite() && log < 1e-9, "{log}");
            let sum: f64 = unseen.chances.iter().sum();
            prop_assert!((sum - 1.0).abs() < 1e-9, "{unseen:?}");
            prop_assert!(unseen.chances.iter().all(|p| (0.0..=1.0).contains(p)));
            prop_assert!((unseen.day - day).abs() < 1e-9);
        }
    }

    #[test]
    fn a_keeper_off_one_way_says_so(s in any_signs(), off in 0.01..2.0f64) {
        let above = |question, keeper: &Keeper, class: usize| -> f64 {
            SAYINGS.answers_by(question, &s, keeper).probabilities()[class..].iter().sum()
        };
        let usual = Keeper::default();
        for (question, keeper) in [
            (Question::Squeeze, Keeper { squeeze_points: 4.0 * off, ..usual }),
            (Question::Food, Keeper { food_classes: off, ..usual }),
            (Question::Feel, Keeper { warmth_kelvin: off, ..usual }),
        ] {
            for class in 1..3 {
                prop_assert!(
                    above(question, &keeper, class) >= above(question, &usual, class) - 1e-12
                );
            }
        }
        let nose = Keeper { nose_ln: off, ..usual };
        for question in [Question::Sour, Question::Rotten, Question::Ammonia] {
            let p = |k: &Keeper| SAYINGS.answers_by(question, &s, k).probabilities()[0];
            prop_assert!(p(&nose) >= p(&usual) - 1e-12);
        }
        let earthy = |k: &Keeper| SAYINGS.answers_by(Question::Earthy, &s, k).probabilities()[0];
        prop_assert!(earthy(&nose) <= earthy(&usual) + 1e-12);
    }
}

#[test]
fn broken_signs_are_heard_as_finite() {
    let keeper = SAYINGS.keepers().draw(&[1.0; NORMALS]);
    for s in broken() {
        let (mut said, mut unseen) = (Said::default(), Unseen::none(0.0));
        for day in [30.0, 33.0, 31.0, f64::NAN, 40.0] {
            let log = SAYINGS.words_heard(&Word::ALL, &s, &keeper, &mut said, &mut unseen, day);
            assert!(log.is_finite(), "{s:?} {day}");
            assert!(unseen.chances.iter().all(|p| (0.0..=1.0).contains(p)));
        }
    }
}

/// Half a class off is a quarter of the food, where half of it is left; nobody
/// sees food where there is none, or takes all of it for gone.
#[test]
fn an_eye_is_off_in_the_middle_and_not_at_the_ends() {
    let at = |feed_left, food_classes, class: usize| {
        let s = Signs {
            feed_left,
            ..quiet()
        };
        let keeper = Keeper {
            food_classes,
            ..Keeper::default()
        };
        SAYINGS
            .answers_by(Question::Food, &s, &keeper)
            .probabilities()[class]
    };
    assert!((at(0.5, 0.5, 2) - at(0.73, 0.0, 2)).abs() < 0.01);
    for classes in [-1.0, 1.0] {
        assert!((at(0.0, classes, 0) - at(0.0, 0.0, 0)).abs() < 1e-12);
        assert!((at(1.0, classes, 2) - at(1.0, 0.0, 2)).abs() < 1e-12);
    }
}

/// By what factor a second look at the same words favours the first bin.
fn second(words: &[Word], then: &[Word], days: f64, keeper: &Keeper, a: &Signs, b: &Signs) -> f64 {
    let of = |s: &Signs| {
        let (mut said, mut unseen) = (Said::default(), Unseen::none(30.0));
        SAYINGS.words_heard(words, s, keeper, &mut said, &mut unseen, 30.0);
        // So that causes have no part in it.
        unseen = Unseen::none(30.0 + days);
        SAYINGS.words_heard(then, s, keeper, &mut said, &mut unseen, 30.0 + days)
    };
    (of(a) - of(b)).exp()
}

#[test]
fn a_word_said_again_says_little_and_a_word_changed_says_all() {
    let usual = SAYINGS.keepers().draw(&[0.0; NORMALS]);
    assert!((usual.repeats - 0.2645).abs() < 1e-3);
    let never = Keeper::default();
    let (quiet, driven) = (
        quiet(),
        Signs {
            urge_to_leave: 0.6,
            habitable: 0.5,
            ..quiet()
        },
    );
    let (climbing, spread) = ([Word::WormsClimbing], [Word::WormsSpread]);
    let odds = |words: &[Word], then: &[Word], days, keeper: &Keeper| {
        second(words, then, days, keeper, &driven, &quiet)
    };
    let fresh = odds(&climbing, &climbing, 2.0, &never);
    let again = odds(&climbing, &climbing, 2.0, &usual);
    let later = odds(&climbing, &climbing, 42.0, &usual);
    assert!(fresh > 2.0 * again && again > 1.2, "{fresh} {again}");
    // After six weeks it is as good as fresh. (After a month what is left of
    // repeating still tells beside a word so rare in a bin at ease: 0.886.)
    assert!(later > 0.9 * fresh, "{later} {fresh}");
    // Changed: as without repeats, but for the silence.
    let changed = odds(&climbing, &spread, 2.0, &usual);
    let anew = odds(&climbing, &spread, 2.0, &never);
    assert!((changed.ln() - anew.ln()).abs() < 0.3, "{changed} {anew}");
    assert!(changed < 0.5);
}

#[test]
fn a_silence_said_again_says_less() {
    let usual = SAYINGS.keepers().draw(&[0.0; NORMALS]);
    let (quiet, sharp) = (
        quiet(),
        Signs {
            free_ammonia_mg_per_kg: 200.0,
            ..quiet()
        },
    );
    let food = [Word::FoodHalf];
    let again = second(&food, &food, 1.0, &usual, &sharp, &quiet);
    let first = second(&food, &food, 1.0, &Keeper::default(), &sharp, &quiet);
    assert!(again > first && again < 1.0, "{again} {first}");
    // Named at the last look and now not: that is a change, and counts in full.
    let gone = second(&[Word::SmellAmmonia], &food, 1.0, &usual, &sharp, &quiet);
    assert!((gone / first - 1.0).abs() < 0.05, "{gone} {first}");
}

/// What a cause shows is no sign of what the bin is like: a bin that is said to
/// stink is less surely airless when a pocket nobody knows of may be.
#[test]
fn a_cause_takes_part_of_the_blame() {
    let foul = Signs {
        airless: 0.6,
        ..quiet()
    };
    let odds = |chances| {
        let of = |s: &Signs| {
            let mut unseen = Unseen { chances, day: 30.0 };
            let (keeper, mut said) = (Keeper::default(), Said::default());
            let rotten = [Word::SmellRotten];
            SAYINGS.words_heard(&rotten, s, &keeper, &mut said, &mut unseen, 30.0)
        };
        (of(&foul) - of(&quiet())).exp()
    };
    let alone = odds([1.0, 0.0, 0.0, 0.0, 0.0]);
    let pocket = odds([0.8, 0.2, 0.0, 0.0, 0.0]);
    assert!(alone > 2.0 * pocket && pocket > 1.0, "{alone} {pocket}");
}

#[test]
fn an_instrument_is_off_by_one_amount() {
    let s = quiet();
    let of = |what, instrument: &str, spot| {
        let mut r = reading(what, &[spot], Place::Spread);
        r.instrument = instrument.to_owned();
        SAYINGS.gauge(&r).unwrap()
    };
    let kinds = [
        of(Measured::BeddingCelsius, "kitchen", 20.0),
        of(Measured::EcMsCm, "pen", 2.0),
        of(Measured::MoisturePercent, "hand", 70.0),
        of(Measured::MoisturePercent, "oven", 70.0),
        of(Measured::MoisturePercent, "garden probe", 70.0),
    ];
    assert_eq!(kinds.map(|g| g.kind()), GaugeKind::ALL);
    for gauge in kinds {
        // Where the bias explains all, what is left is the scatter about it.
        let gap = gauge.read() - gauge.expected(&s);
        let scatter = gauge.sd().powi(2) - gauge.bias_sd().powi(2);
        let best = gauge.biased_log_likelihood(&s, gap);
        assert!((best + 0.5 * scatter.ln()).abs() < 1e-9, "{gauge:?}");
        assert!(gauge.bias_sd() > 0.0 && scatter > 0.0);
        for off in [-0.3, 0.2] {
            assert!(gauge.biased_log_likelihood(&s, gap + off) < best);
        }
    }
    let shifted = of(Measured::BeddingCelsius, "kitchen", 21.5).biased_log_likelihood(&s, 1.5);
    assert!((shifted - kinds[0].biased_log_likelihood(&s, 0.0)).abs() < 1e-9);
}

#[test]
fn who_finds_fewer_counts_fewer() {
    let s = quiet();
    let seen = |found, grams| Found {
        found,
        grams,
        litres: Some(2.0),
        ball: false,
    };
    let by = |found, grams, count_ln| {
        let keeper = Keeper {
            count_ln,
            ..Keeper::default()
        };
        SAYINGS.worm_count_log_likelihood_by(&seen(found, grams), &s, &keeper)
    };
    for grams in [None, Some(30.0)] {
        let usual = SAYINGS.worm_count_log_likelihood(&seen(150.0, grams), &s);
        assert!((by(150.0, grams, 0.0) - usual).abs() < 1e-12);
    }
    assert!(by(20.0, None, -0.5) > by(20.0, None, 0.5));
    assert!(by(500.0, None, 0.5) > by(500.0, None, -0.5));
}
