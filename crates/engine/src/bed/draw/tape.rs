//! Everything chance brings to one possible bin, written down.
//!
//! A bin is a pure function of its tape: run again with the same tape it is the
//! same bin, and run with another it is another that could have been. Numbers
//! stand in blocks, one for each process and time, and what a block holds is
//! keyed by seed, place in the list, and block: neither the length of a step nor
//! the day asked about changes any other.

use super::Chance;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a block of numbers is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Block {
    /// The bedding it was filled with.
    Bed,
    /// What the bin is like.
    Nature,
    /// What its worms are like.
    Vital,
    /// How its pH goes astray.
    Drift,
    /// The keeper's hands and nose.
    Keeper,
    /// The error of one instrument, by its name.
    Instrument(u64),
    /// A week's chances, by weeks since filling.
    Week(u32),
    /// Whether something happened in a week that nobody wrote down, and what.
    Unlogged(u32),
    /// Amounts of one entry, by its number.
    Entry(i64),
    /// What is done in a plan, by its place there.
    Planned(u64),
}

impl Block {
    /// Its kind and number, for the key.
    const fn parts(self) -> (u64, u64) {
        match self {
            Self::Bed => (0, 0),
            Self::Nature => (1, 0),
            Self::Vital => (2, 0),
            Self::Drift => (3, 0),
            Self::Keeper => (4, 0),
            Self::Instrument(name) => (5, name),
            Self::Week(week) => (6, week as u64),
            Self::Unlogged(week) => (7, week as u64),
            Self::Entry(id) => (8, id.cast_unsigned()),
            Self::Planned(place) => (9, place),
        }
    }

    /// The error of the instrument of that name.
    #[must_use]
    pub fn instrument(name: &str) -> Self {
        // Fowler, Noll and Vo's hash 1a, 64 bits: the same on every machine.
        let hash = name.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| {
            (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3)
        });
        Self::Instrument(hash)
    }

    /// Whether it tells what the bin, its keeper or their instruments are like,
    /// once and for all.
    #[must_use]
    pub const fn lasts(self) -> bool {
        matches!(
            self,
            Self::Bed
                | Self::Nature
                | Self::Vital
                | Self::Drift
                | Self::Keeper
                | Self::Instrument(_)
        )
    }
}

/// The numbers of one possible bin, by block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tape {
    seed: u64,
    place: u64,
    blocks: BTreeMap<Block, Vec<f32>>,
    open: Block,
    read: usize,
}

impl Tape {
    /// The tape of the possible bin at a place in the list, not yet drawn.
    #[must_use]
    pub fn new(seed: u64, place: usize) -> Self {
        Self {
            seed,
            place: place as u64,
            blocks: BTreeMap::new(),
            open: Block::Bed,
            read: 0,
        }
    }

    /// Draws from the start of a block, from now on.
    pub fn open(&mut self, block: Block) -> &mut Self {
        self.open = block;
        self.read = 0;
        self
    }

    /// What is drawn for the first time from now on is that of another place.
    pub fn move_to(&mut self, place: usize) {
        self.place = place as u64;
    }

    /// The numbers drawn so far, by block.
    pub fn blocks(&self) -> impl Iterator<Item = (Block, &[f32])> {
        self.blocks.iter().map(|(b, n)| (*b, n.as_slice()))
    }

    /// One number, if drawn.
    #[must_use]
    pub fn get(&self, block: Block, place: usize) -> Option<f32> {
        self.blocks.get(&block)?.get(place).copied()
    }

    /// The same to be changed.
    pub fn get_mut(&mut self, block: Block, place: usize) -> Option<&mut f32> {
        self.blocks.get_mut(&block)?.get_mut(place)
    }

    /// The numbers drawn so far to be changed, by block.
    pub fn blocks_mut(&mut self) -> impl Iterator<Item = (Block, &mut [f32])> {
        self.blocks.iter_mut().map(|(b, n)| (*b, n.as_mut_slice()))
    }

    /// The first numbers of a block, drawn where they were not.
    pub fn first<const N: usize>(&mut self, block: Block) -> [f64; N] {
        let numbers = self.drawn(block, N);
        std::array::from_fn(|i| f64::from(numbers[i]))
    }

    /// The numbers of a block, so many of them at least: those never drawn by their
    /// key alone.
    fn drawn(&mut self, block: Block, count: usize) -> &[f32] {
        let (kind, number) = block.parts();
        let key = [self.seed, self.place, kind, number];
        let numbers = self.blocks.entry(block).or_default();
        numbers.extend((numbers.len()..count).map(|place| keyed(key, place)));
        numbers
    }
}

impl Chance for Tape {
    fn normal(&mut self) -> f64 {
        let read = self.read;
        self.read += 1;
        f64::from(self.drawn(self.open, self.read)[read])
    }
}

/// The standard normal number at a place of the stream of a key.
fn keyed(key: [u64; 4], place: usize) -> f32 {
    let mut g = stream(key);
    g.set_word_pos(place as u128);
    of_word(g.next_u32())
}

/// A stream of words by its key.
fn stream(key: [u64; 4]) -> ChaCha8Rng {
    let mut bytes = [0; 32];
    for (to, from) in bytes.chunks_exact_mut(8).zip(key) {
        to.copy_from_slice(&from.to_le_bytes());
    }
    ChaCha8Rng::from_seed(bytes)
}

/// Chances for the moves of one possible bin, by seed, place, the number of
/// what was last heard, and that of the move: normal numbers and even ones.
#[derive(Debug, Clone)]
pub struct Dice(ChaCha8Rng);

impl Dice {
    /// By their key.
    #[must_use]
    pub fn keyed(seed: u64, place: usize, heard: u64, turn: u64) -> Self {
        const MOVES: u64 = 1 << 32;
        Self(stream([seed, place as u64, MOVES + turn, heard]))
    }

    /// A standard normal number [-].
    pub fn normal(&mut self) -> f32 {
        of_word(self.0.next_u32())
    }

    /// A number spread evenly over 0 to 1, ends left out.
    pub fn even(&mut self) -> f64 {
        middle_of(self.0.next_u32())
    }
}

/// The middle of the share of 0 to 1 that a word stands for.
fn middle_of(word: u32) -> f64 {
    (f64::from(word) + 0.5) / (f64::from(u32::MAX) + 1.0)
}

/// A standard normal number from a word.
fn of_word(word: u32) -> f32 {
    quantile(middle_of(word)) as f32
}

/// Quantile of the standard normal, to about 1e-7: Wichura, Applied Statistics
/// 37, 477 (1988), algorithm AS 241, PPND7.
fn quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        return q * ratio(
            r,
            [
                3.387_132_717_9,
                50.434_271_938,
                159.291_132_02,
                59.109_374_72,
            ],
            [1.0, 17.895_169_469, 78.757_757_664, 67.187_563_6],
        );
    }
    let r = (-p.min(1.0 - p).ln()).sqrt();
    let z = if r <= 5.0 {
        ratio(
            r - 1.6,
            [
                1.423_437_277_7,
                2.756_815_39,
                1.306_728_481_6,
                0.170_238_211_03,
            ],
            [1.0, 0.737_001_642_5, 0.120_211_329_75, 0.0],
        )
    } else {
        ratio(
            r - 5.0,
            [
                6.657_905_115,
                3.081_226_386,
                0.428_682_943_37,
                0.017_337_203_997,
            ],
            [1.0, 0.241_978_942_25, 0.012_258_202_635, 0.0],
        )
    };
    if q < 0.0 { -z } else { z }
}

/// Ratio of two cubics, coefficients from the constant up.
fn ratio(x: f64, over: [f64; 4], under: [f64; 4]) -> f64 {
    let cubic = |c: [f64; 4]| c[0] + x * (c[1] + x * (c[2] + x * c[3]));
    cubic(over) / cubic(under)
}
