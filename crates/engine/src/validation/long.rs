//! The simulations that take too long for every check: bins that are followed,
//! bins that are dosed, and published experiments that are predicted. `./check
//! long validation` runs them and keeps what came of it in tables with commit, seed and date;
//! every check works out anew the tenth of their rows that its own commit picks,
//! so that no table can stay behind the laws for long.

use super::ValidationError;
use super::coverage::{self, Lived};
use super::following::{BINS, Followed, Held, MEMBERS, SEED, WEEKS, follow};
use super::predicted::{self, Prediction};
use super::trial;
use crate::quantity::Band;
use crate::table::Tables;
use std::collections::BTreeMap;

/// One long table: how it is called, its heading, and what is run for a row or
/// a few that stand together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Long {
    /// Published experiments, a treatment at a time.
    Predicted,
    /// Followed bins, a bin at a time.
    Followed,
    /// Dosed bins whose pH was read, a bin at a time.
    Dosed,
}

impl Long {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Predicted, Self::Followed, Self::Dosed];

    /// Its name, and that of its file without the ending.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Predicted => "predicted",
            Self::Followed => "followed",
            Self::Dosed => "dosed",
        }
    }

    /// What was run, for its first line.
    #[must_use]
    pub fn how(self) -> String {
        match self {
            Self::Predicted => format!("seed {}, {} possible bins", trial::SEED, trial::MEMBERS),
            Self::Followed => format!("seed {SEED}, {BINS} bins of {MEMBERS} members"),
            Self::Dosed => {
                let (seed, members) = (coverage::SEED, coverage::MEMBERS);
                format!("seed {seed}, {} bins of {members} members", coverage::BINS)
            }
        }
    }

    /// Its heading.
    #[must_use]
    pub fn heading(self) -> String {
        let figures = ["ph", "moisture", "core", "worm_kg", "castings"];
        match self {
            Self::Predicted => "experiment,treatment,day,quantity,median,low,high".to_owned(),
            Self::Followed => {
                let mut heading = "bin,week,contradictions".to_owned();
                for f in figures {
                    heading += &format!(",{f}_side,{f}_half,{f}_blind_side,{f}_blind_half");
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
            Self::Followed => (0..BINS).map(|bin| bin.to_string()).collect(),
            Self::Dosed => (0..coverage::BINS).map(|bin| bin.to_string()).collect(),
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
            Self::Followed => {
                let followed = follow(tables, self.bin(name)?, MEMBERS, SEED)?;
                Ok(followed_rows(&followed))
            }
            Self::Dosed => {
                let lived = coverage::live(tables, self.bin(name)?, coverage::SEED)?;
                Ok(vec![dosed_row(&lived)])
            }
        }
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

    fn wrong(self, what: String) -> ValidationError {
        ValidationError::Long {
            table: self.name(),
            what,
        }
    }
}

/// Whether a run is of the tenth that a commit picks, by its hash.
#[must_use]
pub fn picked(commit: &str, name: &str) -> bool {
    crc32(&format!("{commit} {name}")).is_multiple_of(10)
}

/// Rows without the first line, which says how they came about, and the heading.
fn rows(text: &str) -> impl Iterator<Item = &str> {
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

fn followed_rows(f: &Followed) -> Vec<String> {
    let cells = |h: &Held| {
        let (half, blind) = (digits(h.half_width), digits(h.blind_half_width));
        format!(",{},{half},{},{blind}", h.side, h.blind_side)
    };
    let weeks = WEEKS.iter().zip(&f.held);
    weeks
        .map(|(week, held)| {
            let figures: String = held.iter().map(cells).collect();
            format!("{},{week},{}{figures}", f.bin, f.contradictions)
        })
        .collect()
}

fn dosed_row(l: &Lived) -> String {
    let (half, start) = (digits(l.half_width), digits(l.half_width_at_start));
    format!("{},{},{},{half},{start}", l.bin, l.ph_side, l.buffer_side)
}

/// Where a truth lies: below the interval (-1), in it (0), above it (1).
pub(super) fn side(truth: f64, band: &Band) -> i8 {
    i8::from(truth > band.high) - i8::from(truth < band.low)
}

/// What the long tables hold.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Kept {
    bands: BTreeMap<String, Band>,
    /// Bins that were followed.
    pub followed: Vec<Followed>,
    /// Bins that were dosed.
    pub dosed: Vec<Lived>,
}

impl Kept {
    /// Reads the tables, each from its text.
    ///
    /// # Errors
    /// [`ValidationError::Long`] naming the row that cannot be read.
    pub fn read(predicted: &str, followed: &str, dosed: &str) -> Result<Self, ValidationError> {
        let mut kept = Self::default();
        for row in rows(predicted) {
            let read = read_predicted(row);
            let (name, band) = read.ok_or_else(|| Long::Predicted.wrong(format!("`{row}`")))?;
            kept.bands.insert(name.to_owned(), band);
        }
        for row in rows(followed) {
            let read = read_followed(row, &mut kept.followed);
            read.ok_or_else(|| Long::Followed.wrong(format!("`{row}`")))?;
        }
        for row in rows(dosed) {
            let read = read_dosed(row);
            kept.dosed
                .push(read.ok_or_else(|| Long::Dosed.wrong(format!("`{row}`")))?);
        }
        for (long, there, of) in [
            (Long::Followed, kept.followed.len(), BINS),
            (Long::Dosed, kept.dosed.len(), coverage::BINS),
        ] {
            if there != of {
                return Err(long.wrong(format!("{there} bins of {of}")));
            }
        }
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

/// Reads a row into the bin it is of; the weeks of a bin follow each other.
fn read_followed(row: &str, bins: &mut Vec<Followed>) -> Option<()> {
    let cells: Vec<&str> = row.split(',').collect();
    let [bin, week, contradictions, figures @ ..] = cells.as_slice() else {
        return None;
    };
    let bin = bin.parse().ok()?;
    let at = WEEKS.iter().position(|w| week.parse() == Ok(*w))?;
    if at == 0 {
        bins.push(Followed {
            bin,
            contradictions: contradictions.parse().ok()?,
            ..Followed::default()
        });
    }
    let held = &mut bins.last_mut().filter(|b| b.bin == bin)?.held[at];
    if figures.len() != 4 * held.len() {
        return None;
    }
    for (held, cells) in held.iter_mut().zip(figures.chunks_exact(4)) {
        *held = Held {
            side: cells[0].parse().ok()?,
            half_width: cells[1].parse().ok()?,
            blind_side: cells[2].parse().ok()?,
            blind_half_width: cells[3].parse().ok()?,
        };
    }
    Some(())
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sum_is_the_one_of_zip() {
        assert_eq!(crc32("123456789"), 0xCBF4_3926);
        assert_eq!(crc32(""), 0);
    }

    #[test]
    fn a_commit_picks_about_a_tenth_and_another_commit_another() {
        let of = |commit: &str| -> Vec<usize> {
            (0..1000)
                .filter(|n| picked(commit, &n.to_string()))
                .collect()
        };
        let (one, other) = (of("ee8b486"), of("b8b9ad2"));
        assert!((60..140).contains(&one.len()), "{}", one.len());
        assert!(one.iter().filter(|n| other.contains(n)).count() < one.len() / 2);
    }

    #[test]
    fn what_is_written_is_read() {
        let held = Held {
            side: -1,
            half_width: 0.123_456,
            blind_side: 1,
            blind_half_width: 12_345.6,
        };
        let text = |bins: usize| {
            let mut text = format!("# how\n{}\n", Long::Followed.heading());
            for bin in 0..bins {
                let one = Followed {
                    bin,
                    contradictions: 2,
                    held: [[held; 5]; 3],
                };
                followed_rows(&one)
                    .iter()
                    .for_each(|r| text += &format!("{r}\n"));
            }
            text
        };
        let dosed = |bins: usize| {
            let mut text = "# how\nheading\n".to_owned();
            for bin in 0..bins {
                let one = Lived {
                    bin,
                    buffer_side: 1,
                    half_width: 0.5,
                    ..Lived::default()
                };
                text += &format!("{}\n", dosed_row(&one));
            }
            text
        };
        let predicted = "# how\nheading\na2000,b,14.00,ph,7.1,6.5,8\n";
        let whole = dosed(coverage::BINS);
        let kept = Kept::read(predicted, &text(BINS), &whole).unwrap();
        assert_eq!(kept.followed[7].held[2][4].half_width, 0.123_46);
        assert_eq!(kept.followed[7].held[0][0].side, -1);
        assert_eq!(kept.dosed[3].buffer_side, 1);
        assert_eq!(kept.band("a2000,b,14.00,ph").unwrap().low, 6.5);
        assert!(kept.band("a2000,b,15.00,ph").is_err());
        assert_eq!(Long::Followed.kept(&text(20), "1").len(), 3);
        // A bin too few, or a cell that is no number, is told.
        assert!(Kept::read(predicted, &text(BINS - 1), &whole).is_err());
        assert!(Kept::read(predicted, &text(BINS), &dosed(3)).is_err());
        let spoiled = text(BINS).replace("12346", "x");
        assert!(Kept::read(predicted, &spoiled, &whole).is_err());
    }
}
