//! The simulations that take too long for every check: bins that are followed, by
//! our laws and by others, bins that are dosed, and published experiments that are
//! predicted. `./check
//! long validation` runs them and keeps what came of it in tables with commit, seed and date;
//! every check works out anew the tenth of their rows that its own commit picks,
//! so that no table can stay behind the laws for long.

#[cfg(test)]
mod tests;

use super::ValidationError;
use super::coverage::{self, Lived};
use super::following;
use super::other_laws;
use super::predicted::{self, Prediction};
use super::scored::{Followed, Pair, Score};
use super::second_world;
use super::trial;
use crate::estimate::track::Track;
use crate::quantity::Band;
use crate::table::Tables;
use std::collections::BTreeMap;

/// Cells of one score in a row.
const SCORES: usize = 6;

/// Lives through a bin of so many members by a seed, and judges it by week.
type Follow = fn(&Tables, usize, usize, u64, &[u32]) -> Result<Followed, ValidationError>;

/// One long table: how it is called, its heading, and what is run for a row or
/// a few that stand together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Long {
    /// Published experiments, a treatment at a time.
    Predicted,
    /// Followed bins, a bin at a time.
    Followed,
    /// Followed bins whose truth follows other laws, a bin at a time.
    OtherLaws,
    /// The same of a second world of other laws.
    SecondWorld,
    /// Dosed bins whose pH was read, a bin at a time.
    Dosed,
}

impl Long {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Predicted,
        Self::Followed,
        Self::OtherLaws,
        Self::SecondWorld,
        Self::Dosed,
    ];

    /// Its name, and that of its file without the ending.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Predicted => "predicted",
            Self::Followed => "followed",
            Self::OtherLaws => "other_laws",
            Self::SecondWorld => "second_world",
            Self::Dosed => "dosed",
        }
    }

    /// What was run, for its first line.
    #[must_use]
    pub fn how(self) -> String {
        match self {
            Self::Predicted => format!("seed {}, {} possible bins", trial::SEED, trial::MEMBERS),
            _ => {
                let (bins, members, seed) = self.size();
                format!("seed {seed}, {bins} bins of {members} members")
            }
        }
    }

    /// Bins, members of each estimate, and seed.
    const fn size(self) -> (usize, usize, u64) {
        match self {
            Self::Predicted => (0, trial::MEMBERS, trial::SEED),
            Self::Followed => (following::BINS, following::MEMBERS, following::SEED),
            Self::OtherLaws => (other_laws::BINS, other_laws::MEMBERS, other_laws::SEED),
            Self::SecondWorld => (
                second_world::BINS,
                second_world::MEMBERS,
                second_world::SEED,
            ),
            Self::Dosed => (coverage::BINS, coverage::MEMBERS, coverage::SEED),
        }
    }

    /// Figures and weeks held against the truth.
    const fn followed(self) -> (&'static [Track], &'static [u32]) {
        match self {
            Self::Followed => (&following::FOLLOWED, &following::WEEKS),
            Self::OtherLaws | Self::SecondWorld => (&other_laws::FIGURES, &other_laws::WEEKS),
            Self::Predicted | Self::Dosed => (&[], &[]),
        }
    }

    /// Its heading.
    #[must_use]
    pub fn heading(self) -> String {
        match self {
            Self::Predicted => "experiment,treatment,day,quantity,median,low,high".to_owned(),
            Self::Followed | Self::OtherLaws | Self::SecondWorld => {
                let mut heading = "bin,week,contradictions".to_owned();
                for figure in self.followed().0 {
                    for how in ["", "_blind"] {
                        let f = format!("{}{how}", figure.name());
                        heading +=
                            &format!(",{f}_side,{f}_error,{f}_half,{f}_crps,{f}_log,{f}_rank");
                    }
                }
                heading
            }
            Self::Dosed => "bin,ph_side,buffer_side,half_width,half_width_at_start".to_owned(),
        }
    }

    /// Names of all its runs: what the rows of each begin with.
    ///
    /// # Errors
    /// [`ValidationError`] when a number is missing.
    pub fn runs(self, tables: &Tables) -> Result<Vec<String>, ValidationError> {
        Ok(match self {
            Self::Predicted => predicted::treatments(tables)?
                .into_iter()
                .map(|(e, t)| format!("{e},{t}"))
                .collect(),
            _ => (0..self.size().0).map(|bin| bin.to_string()).collect(),
        })
    }

    /// The rows of one run, worked out anew.
    ///
    /// # Errors
    /// [`ValidationError`] when a number is missing or a bed cannot be made.
    pub fn run(self, tables: &Tables, name: &str) -> Result<Vec<String>, ValidationError> {
        match self {
            Self::Predicted => {
                let (experiment, treatment) = name.split_once(',').unwrap_or((name, ""));
                let all = predicted::run(tables, experiment, treatment)?;
                Ok(all.iter().map(predicted_row).collect())
            }
            Self::Followed => self.follow(tables, name, following::follow),
            Self::OtherLaws => self.follow(tables, name, other_laws::follow),
            Self::SecondWorld => self.follow(tables, name, second_world::follow),
            Self::Dosed => {
                let lived = coverage::live(tables, self.bin(name)?, coverage::SEED)?;
                Ok(vec![dosed_row(&lived)])
            }
        }
    }

    /// Follows one bin by one kind of laws.
    fn follow(
        self,
        tables: &Tables,
        name: &str,
        by: Follow,
    ) -> Result<Vec<String>, ValidationError> {
        let ((_, members, seed), weeks) = (self.size(), self.followed().1);
        let followed = by(tables, self.bin(name)?, members, seed, weeks)?;
        Ok(self.followed_rows(&followed))
    }

    fn bin(self, name: &str) -> Result<usize, ValidationError> {
        name.parse()
            .map_err(|_| self.wrong(format!("no bin `{name}`")))
    }

    /// The rows of one run as a table holds them.
    #[must_use]
    pub fn kept<'a>(self, text: &'a str, name: &str) -> Vec<&'a str> {
        rows(text)
            .filter(|row| row.strip_prefix(name).is_some_and(|r| r.starts_with(',')))
            .collect()
    }

    fn followed_rows(self, f: &Followed) -> Vec<String> {
        let cells = |s: &Score| {
            let numbers = [s.error, s.half_width, s.crps, s.log_score, s.rank].map(digits);
            format!(",{},{}", s.side, numbers.join(","))
        };
        let weeks = self.followed().1.iter().zip(&f.held);
        weeks
            .map(|(week, held)| {
                let figures: String = held
                    .iter()
                    .map(|p| cells(&p.looked) + &cells(&p.blind))
                    .collect();
                format!("{},{week},{}{figures}", f.bin, f.contradictions)
            })
            .collect()
    }

    /// Reads a row into the bin it is of; the weeks of a bin follow each other.
    fn read_followed(self, row: &str, bins: &mut Vec<Followed>) -> Option<()> {
        let (figures, weeks) = self.followed();
        let cells: Vec<&str> = row.split(',').collect();
        let [bin, week, contradictions, scores @ ..] = cells.as_slice() else {
            return None;
        };
        let bin = bin.parse().ok()?;
        let at = weeks.iter().position(|w| week.parse() == Ok(*w))?;
        if at == 0 {
            bins.push(Followed {
                bin,
                contradictions: contradictions.parse().ok()?,
                held: Vec::new(),
            });
        }
        let followed = bins.last_mut().filter(|b| b.bin == bin)?;
        if followed.held.len() != at || scores.len() != 2 * SCORES * figures.len() {
            return None;
        }
        let pairs = scores.chunks_exact(2 * SCORES).map(|cells| {
            let (looked, blind) = cells.split_at(SCORES);
            let (looked, blind) = (read_score(looked)?, read_score(blind)?);
            Some(Pair { looked, blind })
        });
        followed.held.push(pairs.collect::<Option<_>>()?);
        Some(())
    }

    /// Reads the bins of a table, all of them.
    fn read_bins(self, text: &str) -> Result<Vec<Followed>, ValidationError> {
        let mut bins = Vec::new();
        for row in rows(text) {
            let read = self.read_followed(row, &mut bins);
            read.ok_or_else(|| self.wrong(format!("`{row}`")))?;
        }
        self.all_there(bins.len())?;
        Ok(bins)
    }

    fn all_there(self, bins: usize) -> Result<(), ValidationError> {
        let of = self.size().0;
        if bins == of {
            return Ok(());
        }
        Err(self.wrong(format!("{bins} bins of {of}")))
    }

    fn wrong(self, what: String) -> ValidationError {
        ValidationError::Long {
            table: self.name(),
            what,
        }
    }
}

/// Whether a run is of the tenth that a commit picks, by its hash.
#[must_use]
fn picked(commit: &str, name: &str) -> bool {
    crc32(&format!("{commit} {name}")).is_multiple_of(10)
}

/// The runs of a table that a commit picks: a tenth, and never none.
#[must_use]
pub fn tenth(commit: &str, of: &[String]) -> Vec<String> {
    let names: Vec<String> = of.iter().filter(|n| picked(commit, n)).cloned().collect();
    if names.is_empty() {
        return of.iter().take(1).cloned().collect();
    }
    names
}

/// Rows without the first line, which says how they came about, and the heading.
fn rows(text: &str) -> impl Iterator<Item = &str> {
    // The heading is no row.
    text.lines().filter(|l| !l.starts_with('#')).skip(1)
}

/// Five digits that count.
fn digits(x: f64) -> String {
    let short = format!("{x:.4e}");
    short.parse::<f64>().map_or(short, |x| x.to_string())
}

fn predicted_row(p: &Prediction) -> String {
    let [median, low, high] = [p.median, p.low, p.high].map(digits);
    format!("{},{median},{low},{high}", p.row())
}

fn dosed_row(l: &Lived) -> String {
    let (half, start) = (digits(l.half_width), digits(l.half_width_at_start));
    format!("{},{},{},{half},{start}", l.bin, l.ph_side, l.buffer_side)
}

/// What the long tables hold.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Kept {
    bands: BTreeMap<String, Band>,
    /// Bins that were followed.
    pub followed: Vec<Followed>,
    /// Bins that were followed, of another world.
    pub other_laws: Vec<Followed>,
    /// The same of a second world.
    pub second_world: Vec<Followed>,
    /// Bins that were dosed.
    pub dosed: Vec<Lived>,
}

impl Kept {
    /// Reads the tables, each from its text, in the order of [`Long::ALL`].
    ///
    /// # Errors
    /// [`ValidationError::Long`] naming the row that cannot be read.
    pub fn read(texts: &[String; 5]) -> Result<Self, ValidationError> {
        let [predicted, followed, other_laws, second_world, dosed] = texts;
        let mut kept = Self {
            followed: Long::Followed.read_bins(followed)?,
            other_laws: Long::OtherLaws.read_bins(other_laws)?,
            second_world: Long::SecondWorld.read_bins(second_world)?,
            ..Self::default()
        };
        for row in rows(predicted) {
            let read = read_predicted(row);
            let (name, band) = read.ok_or_else(|| Long::Predicted.wrong(format!("`{row}`")))?;
            kept.bands.insert(name.to_owned(), band);
        }
        for row in rows(dosed) {
            let read = read_dosed(row);
            kept.dosed
                .push(read.ok_or_else(|| Long::Dosed.wrong(format!("`{row}`")))?);
        }
        Long::Dosed.all_there(kept.dosed.len())?;
        Ok(kept)
    }

    /// What was predicted.
    pub(super) fn band(&self, row: &str) -> Result<Band, ValidationError> {
        let band = self.bands.get(row).copied();
        band.ok_or_else(|| Long::Predicted.wrong(format!("no row `{row}`")))
    }
}

fn read_predicted(row: &str) -> Option<(&str, Band)> {
    let mut cells = row.rsplitn(4, ',');
    let mut number = || cells.next()?.parse().ok();
    let (high, low, median) = (number()?, number()?, number()?);
    Some((cells.next()?, Band { median, low, high }))
}

fn read_score(cells: &[&str]) -> Option<Score> {
    let [side, error, half_width, crps, log_score, rank] = cells else {
        return None;
    };
    Some(Score {
        side: side.parse().ok()?,
        error: error.parse().ok()?,
        half_width: half_width.parse().ok()?,
        crps: crps.parse().ok()?,
        log_score: log_score.parse().ok()?,
        rank: rank.parse().ok()?,
    })
}

fn read_dosed(row: &str) -> Option<Lived> {
    let mut cells = row.split(',');
    let lived = Lived {
        bin: cells.next()?.parse().ok()?,
        ph_side: cells.next()?.parse().ok()?,
        buffer_side: cells.next()?.parse().ok()?,
        half_width: cells.next()?.parse().ok()?,
        half_width_at_start: cells.next()?.parse().ok()?,
    };
    cells.next().is_none().then_some(lived)
}

/// CRC-32 of a text (ISO 3309, the one of zip).
pub(super) fn crc32(text: &str) -> u32 {
    !text.bytes().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(byte), |s, _| {
            (s >> 1) ^ (0xEDB8_8320 * (s & 1))
        })
    })
}
