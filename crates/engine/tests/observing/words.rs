//! What words say of a bin.

use super::{SAYINGS, quiet};
use engine::living::observe::Question;
use engine::living::signs::Signs;
use engine::log::Word;

/// By what factor a word favours the first bin over the second.
fn odds(word: Word, a: &Signs, b: &Signs) -> f64 {
    (SAYINGS.word_log_likelihood(word, a) - SAYINGS.word_log_likelihood(word, b)).exp()
}

fn entry(words: &[Word], a: &Signs, b: &Signs) -> f64 {
    (SAYINGS.words_log_likelihood(words, a) - SAYINGS.words_log_likelihood(words, b)).exp()
}

fn likeliest_squeeze(moisture: f64, drop: f64) -> usize {
    let s = Signs {
        moisture_percent: moisture,
        top_moisture_percent: moisture,
        drop_moisture_percent: drop,
        ..quiet()
    };
    let answers = SAYINGS.answers(Question::Squeeze, &s);
    let list = answers.probabilities();
    (0..6).max_by(|a, b| list[*a].total_cmp(&list[*b])).unwrap()
}

#[test]
fn squeeze_classes_are_those_of_the_tables_for_fibrous_bedding() {
    // Middles of the bands of constants.csv: 33, 45, 55, 65, 75, 85 %.
    for (class, moisture) in [33.0, 45.0, 55.0, 65.0, 75.0, 85.0].into_iter().enumerate() {
        assert_eq!(likeliest_squeeze(moisture, 50.0), class, "{moisture}");
    }
}

#[test]
fn a_bedding_that_holds_more_gives_its_drops_later() {
    // Paper and coir at 75 % feel like a few drops; sandy castings at 55 % do.
    assert_eq!(likeliest_squeeze(75.0, 65.0), 3);
    assert_eq!(likeliest_squeeze(55.0, 42.0), 3);
    // The same 75 % in castings is a stream.
    assert!(likeliest_squeeze(75.0, 42.0) >= 4);
}

#[test]
fn climbing_says_little_in_the_first_week_and_much_after_two() {
    let at = |days, urge| Signs {
        stocked_days: Some(days),
        urge_to_leave: urge,
        ..quiet()
    };
    let first_nights = odds(Word::WormsClimbing, &at(1.0, 0.5), &at(1.0, 0.02));
    let later = odds(Word::WormsClimbing, &at(20.0, 0.5), &at(20.0, 0.02));
    assert!(first_nights < 2.5, "{first_nights}");
    assert!(later > 4.0, "{later}");
    // Strays the same.
    let first = odds(Word::WormsStrayFew, &at(1.0, 0.3), &at(1.0, 0.02));
    let after = odds(Word::WormsStrayFew, &at(20.0, 0.3), &at(20.0, 0.02));
    assert!(first < 1.0 && after > 3.0, "{first} {after}");
}

#[test]
fn smells_point_at_their_causes() {
    let quiet = quiet();
    let sour = Signs {
        sour_meq_per_kg: 300.0,
        pocket_ph: 5.0,
        ..quiet
    };
    let sharp = Signs {
        free_ammonia_mg_per_kg: 200.0,
        ..quiet
    };
    assert!(odds(Word::SmellSour, &sour, &quiet) > 5.0);
    assert!(odds(Word::SmellAmmonia, &sharp, &quiet) > 20.0);
    assert!(odds(Word::SmellEarthy, &sour, &quiet) < 0.5);
    // Limed, the same acids are salts.
    let limed = Signs {
        pocket_ph: 8.0,
        ..sour
    };
    assert!(odds(Word::SmellSour, &sour, &limed) > 1.2);
}

#[test]
fn silence_says_something_and_not_all() {
    let quiet = quiet();
    let sharp = Signs {
        free_ammonia_mg_per_kg: 200.0,
        ..quiet
    };
    // Nothing was said of smell: a little less likely that it stinks.
    let unasked = entry(&[Word::FoodHalf], &sharp, &quiet);
    assert!(unasked < 0.95 && unasked > 0.4, "{unasked}");
    // A smell was named, and not this one.
    let answered = entry(&[Word::SmellSour], &sharp, &quiet);
    assert!(answered < unasked, "{answered} {unasked}");
    // No word at all says nothing.
    assert_eq!(SAYINGS.words_log_likelihood(&[], &sharp), 0.0);
    // Earthy has its own say and is not counted again.
    let earthy = entry(&[Word::SmellEarthy], &sharp, &quiet);
    let alone = odds(Word::SmellEarthy, &sharp, &quiet);
    assert!((earthy / alone - 1.0).abs() < 1e-6);
}

#[test]
fn two_words_of_one_sense_are_one_of_the_two() {
    let s = quiet();
    let p = |w| SAYINGS.word_log_likelihood(w, &s).exp();
    let silent = SAYINGS.words_log_likelihood(&[Word::SqueezeDrops], &s)
        - SAYINGS.word_log_likelihood(Word::SqueezeDrops, &s);
    let both = SAYINGS.words_log_likelihood(&[Word::SqueezeDrops, Word::SqueezeSeveral], &s);
    let sum = p(Word::SqueezeDrops) + p(Word::SqueezeSeveral);
    assert!(((both - silent).exp() - sum).abs() < 1e-9);
}

#[test]
fn worms_found_outside_lie_between_a_few_and_many() {
    for urge in [0.0, 0.2, 0.4, 0.9] {
        let s = Signs {
            urge_to_leave: urge,
            ..quiet()
        };
        let p = |w| SAYINGS.word_log_likelihood(w, &s).exp();
        let (few, many) = (p(Word::WormsStrayFew), p(Word::WormsStrayMany));
        let left = p(Word::WormsLeft);
        assert!(left >= many - 1e-12 && left <= few + many + 1e-12);
    }
}

#[test]
fn where_nothing_lives_nothing_is_seen() {
    let dead = Signs {
        worms: 0.0,
        worms_kg: 0.0,
        ..quiet()
    };
    for word in [Word::WormsSpread, Word::WormsClimbing, Word::WormsPlump] {
        assert!(odds(word, &quiet(), &dead) > 1.5, "{word:?}");
    }
    let dying = Signs {
        dying_per_day: 0.05,
        ..quiet()
    };
    assert!(odds(Word::WormsDead, &dying, &quiet()) > 5.0);
    // Base mortality of 3000 worms is seldom noticed.
    assert!(SAYINGS.word_log_likelihood(Word::WormsDead, &quiet()).exp() < 0.25);
}

#[test]
fn mites_mould_and_flies_are_weak_evidence() {
    let rich = Signs {
        feed_left: 1.0,
        moisture_percent: 90.0,
        ph: 5.0,
        ..quiet()
    };
    let lean = Signs {
        feed_left: 0.0,
        moisture_percent: 60.0,
        ph: 7.5,
        ..quiet()
    };
    for word in [Word::Mould, Word::Mites, Word::Potworms, Word::Flies] {
        let odds = odds(word, &rich, &lean);
        assert!(odds > 1.5 && odds < 5.0, "{word:?} {odds}");
    }
}

#[test]
fn a_hand_feels_warm_against_itself_and_the_room() {
    let at = |core, air| Signs {
        core_celsius: core,
        hot_celsius: core,
        air_celsius: air,
        ..quiet()
    };
    let p = |w, s: &Signs| SAYINGS.word_log_likelihood(w, s).exp();
    assert!(p(Word::FeelsWarm, &at(35.0, 20.0)) > 0.9);
    assert!(p(Word::FeelsCold, &at(6.0, 10.0)) > 0.8);
    assert!(p(Word::FeelsWarm, &at(20.0, 20.0)) < 0.1);
    assert!(p(Word::FeelsCold, &at(20.0, 20.0)) < 0.1);
}
