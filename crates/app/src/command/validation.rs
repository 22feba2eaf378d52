//! `bedwright validation --write`: works out every published check and writes
//! VALIDATION.md and its plots. What takes long is read from the long tables.

mod following;
mod grown;
mod long;
pub mod pictures;
mod trusted;

use super::session::{Fault, Reply, Session};
use engine::chemistry::AqueousModel;
use engine::table::Tables;
use engine::validation::coverage::Coverage;
use engine::validation::long::Kept;
use engine::validation::scored::Following;
use engine::validation::{Area, Check, Expected, Verdict, Worked, not_validated, worked};
use pictures::{FOLDER, Picture, pictures};
use serde_json::Value;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Write the page instead of printing it.
    #[arg(long)]
    write: bool,
    /// The page to write.
    #[arg(long, default_value = "VALIDATION.md")]
    page: PathBuf,
    /// Run what takes hours and write the long tables, with this commit.
    #[arg(long, value_name = "COMMIT", conflicts_with_all = ["write", "tenth"])]
    long: Option<String>,
    /// Of the long tables run this one only.
    #[arg(long, value_name = "NAME", requires = "long")]
    table: Option<String>,
    /// Work out anew the tenth of the long tables that this commit picks, and
    /// compare.
    #[arg(long, value_name = "COMMIT", conflicts_with = "write")]
    tenth: Option<String>,
    /// Predict growth curves in wastes, `fittable` or set `aside`, and write them
    /// as a table beside the plots. Those set aside are opened once.
    #[arg(long, value_name = "WHICH", requires = "commit", conflicts_with_all = ["write", "long", "tenth"])]
    grown: Option<String>,
    /// Commit that made them.
    #[arg(long, value_name = "COMMIT")]
    commit: Option<String>,
    /// Summary of the cross-check with PHREEQC, when there is one.
    #[arg(long, default_value = "crosscheck/summary.json")]
    crosscheck: PathBuf,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let folder = folder(&a.page);
    if let Some(commit) = &a.long {
        let tables = long::named(a.table.as_deref())?;
        let date = session.clock.now().date().to_string();
        return long::write(&folder, &tables, commit, &date);
    }
    if let (Some(which), Some(commit)) = (&a.grown, &a.commit) {
        return grown::write(
            &folder,
            which,
            commit,
            &session.clock.now().date().to_string(),
        );
    }
    if let Some(commit) = &a.tenth {
        return long::compare(&folder, commit);
    }
    let summary = std::fs::read_to_string(&a.crosscheck).ok();
    let (document, all) = worked_through(summary.as_deref(), &long::kept(&folder)?)?;
    let missed = of_verdict(&all, Verdict::Miss).count();
    let text = if a.write {
        write(&a.page, &document)?;
        format!(
            "{} checks, {missed} misses: {}",
            all.len(),
            a.page.display()
        )
    } else {
        document.page
    };
    let rows: Vec<Value> = all.iter().map(json).collect();
    Reply::new(text, rows)
}

/// The folder of plots and long tables, beside the page.
fn folder(page: &Path) -> PathBuf {
    page.parent().unwrap_or(Path::new("")).join(FOLDER)
}

fn cannot(path: &Path, e: &std::io::Error) -> Fault {
    Fault::Other(format!("{}: cannot be written: {e}", path.display()))
}

/// Writes the page, and its plots in their folder.
fn write(page: &Path, document: &Document) -> Result<(), Fault> {
    let folder = folder(page);
    std::fs::create_dir_all(&folder).map_err(|e| cannot(&folder, &e))?;
    for picture in &document.pictures {
        let path = folder.join(&picture.file);
        std::fs::write(&path, picture.svg.as_str()).map_err(|e| cannot(&path, &e))?;
    }
    std::fs::write(page, &document.page).map_err(|e| cannot(page, &e))
}

fn worked_out(kept: &Kept) -> Result<Worked, Fault> {
    let tables = Tables::load()?;
    let other = |e: &dyn std::fmt::Display| Fault::Other(e.to_string());
    let model = AqueousModel::load().map_err(|e| other(&e))?;
    worked(&tables, Some(&model), kept).map_err(|e| other(&e))
}

/// The page and its plots.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Text of VALIDATION.md.
    pub page: String,
    /// Its plots.
    pub pictures: Vec<Picture>,
}

/// The page and its plots, worked out anew but for what the long tables in
/// `folder` hold. `summary` is the text of the cross-check's summary.
///
/// # Errors
/// [`Fault`] when a check cannot be worked out, or the summary or a long table
/// cannot be read.
pub fn document(summary: Option<&str>, folder: &Path) -> Result<Document, Fault> {
    Ok(worked_through(summary, &long::kept(folder)?)?.0)
}

fn worked_through(summary: Option<&str>, kept: &Kept) -> Result<(Document, Vec<Check>), Fault> {
    let Worked {
        checks, evidence, ..
    } = worked_out(kept)?;
    let lived = Lived {
        dosed: Coverage::over(&kept.dosed),
        followed: Following::over(&kept.followed),
        other_laws: Following::over(&kept.other_laws),
        second_world: Following::over(&kept.second_world),
    };
    let parts = Parts {
        trusted: trusted::section(&evidence),
        pictures: pictures(&evidence, &lived.followed)?,
    };
    let page = page(&checks, &lived, &parts, summary)?;
    let pictures = parts.pictures;
    Ok((Document { page, pictures }, checks))
}

/// What came of bins that were lived through.
struct Lived {
    dosed: Coverage,
    followed: Following,
    other_laws: Following,
    second_world: Following,
}

/// Parts of the page worked out beforehand.
struct Parts {
    trusted: String,
    pictures: Vec<Picture>,
}

impl Parts {
    fn show(&self, out: &mut String, name: &str) {
        let found = self.pictures.iter().find(|p| p.file == name);
        debug_assert!(found.is_some(), "there is a plot `{name}`");
        found.into_iter().for_each(|p| out.push_str(&p.line()));
    }

    /// The plots of an area.
    fn of_area(&self, out: &mut String, area: Area) {
        let names: &[&str] = match area {
            Area::Population => &["population.svg"],
            Area::WormGrowth => &["growth.svg", "moisture.svg", "density.svg"],
            _ => &[],
        };
        names.iter().for_each(|name| self.show(out, name));
    }
}

fn of_verdict(all: &[Check], verdict: Verdict) -> impl Iterator<Item = &Check> {
    all.iter().filter(move |c| c.verdict() == verdict)
}

fn json(c: &Check) -> Value {
    let verdict = match c.verdict() {
        Verdict::Pass => "pass",
        Verdict::Miss => "miss",
        Verdict::Info => "info",
    };
    serde_json::json!({
        "key": c.key, "area": c.area.title(), "what": c.what, "expected": expected(c),
        "ours": c.ours, "unit": c.unit, "verdict": verdict, "source": c.source,
        "status": c.basis.text(), "note": c.note,
    })
}

/// A number to four significant digits, or to a check's own decimals.
fn short(x: f64) -> String {
    if x != 0.0 && x.abs() < 1e-3 {
        return format!("{x:.3e}");
    }
    let digits = if x == 0.0 {
        0
    } else {
        (3 - x.abs().log10().floor() as i32).clamp(0, 6) as usize
    };
    let text = format!("{x:.digits$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

fn ours(c: &Check) -> String {
    if c.ours != 0.0 && c.ours.abs() < 1e-3 && c.decimals > 4 {
        return format!("{:.3e}", c.ours);
    }
    format!("{:.*}", c.decimals, c.ours)
}

fn expected(c: &Check) -> String {
    match c.expected {
        Expected::Near { value, within } => format!("{} ± {}", short(value), short(within)),
        Expected::Between { low, high } => format!("{} to {}", short(low), short(high)),
        Expected::Information { value } => short(value),
    }
}

fn row(out: &mut String, c: &Check) {
    let verdict = match c.verdict() {
        Verdict::Pass => "pass",
        Verdict::Miss => "**miss**",
        Verdict::Info => "info",
    };
    let _ = writeln!(
        out,
        "| {} | {} | {} | {} | {} | {verdict} | {} ({}) | {} |",
        c.key,
        c.what,
        expected(c),
        ours(c),
        c.unit,
        c.source,
        c.basis.text(),
        c.note
    );
}

const HEAD: &str = "| no. | what | published | ours | unit | | source (how read) | note |\n|---|---|---|---|---|---|---|---|\n";

const OPENING: &str = "# Validation

What Bedwright computes, held against what others have published. This page is written by `bedwright validation --write`, which works every figure under *ours* out anew with the engine; a test fails when the page and the engine disagree. Only what takes long is read from tables that say by which commit, when and with which seed they were made: [published experiments predicted](docs/validation/predicted.csv), [bins followed](docs/validation/followed.csv), [bins of other laws followed](docs/validation/other_laws.csv), [bins of a second world followed](docs/validation/second_world.csv), [bins dosed](docs/validation/dosed.csv). Each run of `./check` works out anew the tenth of their rows that its own commit picks.

How to read it. *Published* is the value with the error allowed, or a range. *pass* and *miss* follow from the numbers and nothing else; *info* is shown for comparison where the source measured something near but not the same, or gave no error. A miss stays here until the engine is better. *Opened* means the value was read in the text of the source (for most papers the abstract), *from memory* that it was not read again, *derived* that it was computed from published numbers, by hand or by another program. *Common practice, no source* is what keepers say.

Of published experiments predicted, *seen* are those whose misses had been looked at when the laws of the model were last changed: that they lie inside now proves nothing. *Fresh* are those for whose outcomes no law was changed. They are counted apart.

Numbers: keys 1 to 47 are the list of published checks the engine was built to; 1.x to 6.x are worked values; W and M are mixing and measures; P is practice.

The plots are in black and white; shapes and dashes tell things apart, and what is missed has a marker of its own and is counted in the title of each panel.
";

fn page(
    all: &[Check],
    lived: &Lived,
    parts: &Parts,
    summary: Option<&str>,
) -> Result<String, Fault> {
    let mut out = String::from(OPENING);
    counts(&mut out, all);
    out.push_str("\n## Misses\n\n");
    out.push_str(HEAD);
    of_verdict(all, Verdict::Miss).for_each(|c| row(&mut out, c));
    intervals(&mut out, &lived.dosed);
    following::section(&mut out, &lived.followed);
    parts.show(&mut out, "coverage.svg");
    following::other_laws(&mut out, &lived.other_laws);
    following::second_world(&mut out, &lived.second_world);
    out.push_str(&parts.trusted);
    parts.show(&mut out, "experiments.svg");
    out.push_str(&agreement(summary)?);
    for area in Area::ALL {
        let _ = writeln!(out, "\n## {}", area.title());
        parts.of_area(&mut out, area);
        let _ = write!(out, "\n{HEAD}");
        all.iter()
            .filter(|c| c.area == area)
            .for_each(|c| row(&mut out, c));
    }
    out.push_str("\n## What could not be validated\n\n");
    for line in not_validated() {
        let _ = writeln!(out, "- {line}");
    }
    Ok(out)
}

fn counts(out: &mut String, all: &[Check]) {
    out.push_str("\n## Summary\n\n| area | checks | pass | miss | info |\n|---|---|---|---|---|\n");
    let mut line = |name: &str, of: &dyn Fn(&&Check) -> bool| {
        let n = |verdict: Verdict| of_verdict(all, verdict).filter(of).count();
        let (pass, miss, info) = (n(Verdict::Pass), n(Verdict::Miss), n(Verdict::Info));
        let _ = writeln!(
            out,
            "| {name} | {} | {pass} | {miss} | {info} |",
            pass + miss + info
        );
    };
    for area in Area::ALL {
        line(area.title(), &|c| c.area == area);
    }
    line("all", &|_| true);
}

fn intervals(out: &mut String, c: &Coverage) {
    let _ = write!(
        out,
        "
## Do the intervals hold the truth

{} bins with a hidden truth drawn from the priors (peat, coir, compost and paper, alone and mixed) were lived through for sixty days, read six times with a cheap pen or a two-metal probe of hidden bias at one to four spots, dosed now and then with lime, dolomite or potassium bicarbonate, and estimated from their log alone.

| figure | value |
|---|---|
| 80 % intervals of pH that held the truth at the end (by chance ± 2) | {:.0} % |
| truth below the interval | {:.0} % |
| 80 % intervals of the buffer that held the truth | {:.0} % |
| mean half-width of the pH interval, when filled | {:.2} |
| the same after sixty days of readings | {:.2} |

This says that the estimate is honest about what it assumes. It does not say that real beds are as assumed.
",
        c.bins,
        100.0 * c.ph_share(),
        100.0 * c.ph_below as f64 / c.bins as f64,
        100.0 * c.buffer_share(),
        c.mean_half_width_at_start,
        c.mean_half_width,
    );
}

/// What the cross-check with PHREEQC found, as a section of the page, from the
/// text of its summary.
///
/// # Errors
/// [`Fault`] when the summary cannot be read.
pub fn agreement(summary: Option<&str>) -> Result<String, Fault> {
    let mut out = String::from("\n## Agreement with PHREEQC\n\n");
    let Some(text) = summary else {
        out.push_str("Not summarised here: run `./check`, which compares the water solver with PHREEQC over the reference cases, random waters and bedding mixes.\n");
        return Ok(out);
    };
    let value: Value = serde_json::from_str(text)
        .map_err(|e| Fault::input(format!("cross-check summary: {e}")))?;
    let said = |v: &Value| v.as_str().unwrap_or("PHREEQC").to_owned();
    let _ = writeln!(
        out,
        "The same waters put to the engine and to {}, seed {}; each run of `./check` does it live.\n\n| group | asked | compared | quantity | median error | 95 % | 99 % | largest |\n|---|---|---|---|---|---|---|---|",
        said(&value["reference"]),
        value["seed"]
    );
    let Some(groups) = value["groups"].as_object() else {
        return Err(Fault::input("cross-check summary: no `groups`"));
    };
    for (name, group) in groups {
        for (quantity, what) in [
            ("ph", "pH"),
            ("ca", "calcium, relative"),
            ("alkalinity", "alkalinity, relative"),
            ("ec", "conductivity, relative"),
        ] {
            let error = |share: &str| {
                let e = group["errors"][quantity][share].as_f64();
                e.map_or_else(|| "-".to_owned(), |e| format!("{e:.1e}"))
            };
            let _ = writeln!(
                out,
                "| {name} | {} | {} | {what} | {} | {} | {} | {} |",
                group["asked"],
                group["compared"],
                error("p50"),
                error("p95"),
                error("p99"),
                error("max")
            );
        }
    }
    let broken = value["limits_broken"].as_array().map_or(0, Vec::len);
    let _ = writeln!(out, "\nLimits broken: {broken}.");
    Ok(out)
}
