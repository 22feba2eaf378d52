//! Moves leave what was believed at first as it was, where nothing was heard: a
//! wrong ratio or a wrong fit shows at once in the means and spreads of numbers.

use super::*;
use crate::bed::draw::Chance;
use crate::table::Tables;

/// Bins moved, and times.
const BINS: usize = 4000;
const TIMES: u64 = 25;

fn tape(place: usize) -> Tape {
    let mut tape = Tape::new(3, place);
    for block in [Block::Nature, Block::Vital, Block::Week(0), Block::Week(1)] {
        tape.open(block);
        for _ in 0..4 {
            tape.normal();
        }
    }
    for week in 0..2 {
        let _: [f64; UNLOGGED] = tape.first(Block::Unlogged(week));
    }
    tape
}

/// Two leads across blocks.
fn leads() -> Leads {
    let numbers = vec![
        (Block::Nature, 0),
        (Block::Vital, 1),
        (Block::Week(0), 2),
        (Block::Nature, 3),
    ];
    let half = 0.5_f64.sqrt();
    Leads::made(
        numbers,
        vec![vec![half, half, 0.0, 0.0], vec![0.0, 0.0, 0.6, 0.8]],
    )
}

/// Moves every bin so many times by one kind, by a fit that is off on purpose.
fn moved(kind: Kind, keeps: f64) -> Vec<Tape> {
    let tuning = Tuning::load(&Tables::load().unwrap()).unwrap();
    let leads = leads();
    let aims = std::array::from_fn(|i| Aim {
        middle: 0.4 * i as f64 - 1.0,
        spread: 0.7 + 0.2 * i as f64,
    });
    let mut skewed: Vec<Tape> = (0..60).map(tape).collect();
    for t in &mut skewed {
        leads.shift(t, &[0.4, -0.3]);
    }
    let lately = Lately::from_week(1);
    let across = leads.across(|b| kind.moves(b, Some(&lately)), &tape(0));
    let happened = [(1, 0.4), (1, -0.2), (0, 1.5)].map(|(week, size)| Happening {
        week,
        sizes: [size; SIZES],
    });
    let aid = Aid {
        fit: Fit::of(&leads, skewed.iter()),
        across: Some(across),
        happened: Aid::usual(&happened),
    };
    let move_one = |place: usize| {
        let mut now = tape(place);
        for turn in 0..TIMES {
            let mut dice = Dice::keyed(5, place, 1, turn);
            let proposal = Proposal {
                kind,
                leads: &leads,
                aid: &aid,
                keeps,
                aims: &aims,
                lately: Some(&lately),
                tuning: &tuning,
            };
            if let Some(other) = proposal.make(&now, &mut dice)
                && dice.even().ln() < other.ratio
            {
                now = other.tape;
            }
        }
        now
    };
    (0..BINS).map(move_one).collect()
}

#[test]
fn moves_leave_what_was_believed_at_first() {
    for (kind, keeps) in [
        (Kind::Lead, 0.3),
        (Kind::Rest, 0.6),
        (Kind::Rest, 0.0),
        (Kind::Late, 0.5),
        (Kind::Unlogged, 0.0),
    ] {
        let tapes = moved(kind, keeps);
        let blocks: Vec<(Block, usize)> = tapes[0].blocks().map(|(b, n)| (b, n.len())).collect();
        for (block, count) in blocks {
            for place in 0..count {
                let all: Vec<f64> = tapes
                    .iter()
                    .map(|t| f64::from(t.get(block, place).unwrap()))
                    .collect();
                let n = all.len() as f64;
                let mean = all.iter().sum::<f64>() / n;
                let square = all.iter().map(|x| x * x).sum::<f64>() / n;
                // Four standard errors of the mean, and of the mean square, and
                // a little, for sixty are compared.
                assert!(
                    mean.abs() < 4.3 / n.sqrt(),
                    "{kind:?} {block:?} {place}: {mean}"
                );
                let off = (square - 1.0).abs();
                assert!(
                    off < 4.3 * (2.0 / n).sqrt(),
                    "{kind:?} {block:?} {place}: {square}"
                );
            }
        }
    }
}

#[test]
fn every_kind_but_leads_leaves_where_bins_stand_along_them() {
    let leads = leads();
    for kind in [Kind::Rest, Kind::Late, Kind::Unlogged] {
        for (place, after) in moved(kind, 0.4).iter().take(50).enumerate() {
            let (was, is) = (leads.along(&tape(place)), leads.along(after));
            for (a, b) in was.iter().zip(&is) {
                assert!((a - b).abs() < 1e-4, "{kind:?}: {a} {b}");
            }
        }
    }
}

/// Happenings are rare, so that means of their numbers say little of how many there
/// are: they are counted, where they are put in and taken out and sizes are tried
/// off the mark.
#[test]
fn as_much_happens_after_moves_as_before() {
    let from = Tuning::load(&Tables::load().unwrap())
        .unwrap()
        .unlogged_from;
    let count = |tapes: &[Tape]| {
        let weeks = tapes.iter().flat_map(|t| t.blocks());
        weeks
            .filter(|(b, n)| matches!(b, Block::Unlogged(_)) && f64::from(n[0]) >= from)
            .count() as f64
    };
    let before: Vec<Tape> = (0..BINS).map(tape).collect();
    let (was, is) = (count(&before), count(&moved(Kind::Unlogged, 0.0)));
    let expected = 2.0 * BINS as f64 * upper_tail(from);
    assert!(
        (was - expected).abs() < 4.0 * expected.sqrt(),
        "{was} of {expected}"
    );
    assert!(
        (is - expected).abs() < 4.0 * expected.sqrt(),
        "{is} of {expected}"
    );
}
