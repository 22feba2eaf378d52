//! `bedwright mix FILE.toml --json`: see docs/contract-mix.md.

use super::given_file;
use super::parts;
use super::session::{Fault, Reply, Session};
use super::toml_file::File;
use super::verdict;
use crate::desk::{DOSE_MEMBERS, DRAWS};
use crate::report::Units;
use engine::bed::fill::Own;
use engine::bed::judge::{self, Judgement};
use engine::bounds::{BIN_DEPTH_CM, CHEMISTRY_CELSIUS};
use engine::log::Part;
use engine::quantity::Celsius;
use engine::table::Tables;
use std::path::{Path, PathBuf};

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// File in TOML that names the parts.
    file: PathBuf,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

const KEYS: [&str; 3] = ["parts", "temperature_celsius", "depth_cm"];
/// Temperature taken when the file gives none [°C].
pub(super) const USUAL_CELSIUS: f64 = 20.0;

/// What a file asks.
pub(super) struct Asked {
    parts: Vec<Part>,
    temperature: Celsius,
    depth_cm: Option<f64>,
}

pub(super) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let tables = Tables::load()?;
    let asked = read(&tables, &name(&a.file), &given_file::text(&a.file)?)?;
    let judged = judge(&tables, &asked, session.seed)?;
    Reply::new(
        verdict::text(&judged, Units::Metric),
        verdict::json("bedwright-mix-1", &tables, &judged),
    )
}

fn judge(tables: &Tables, asked: &Asked, seed: u64) -> Result<Judgement, Fault> {
    Ok(judge::judge(
        tables,
        &judge::Question {
            parts: &asked.parts,
            own: &Own::new(),
            temperature: asked.temperature,
            depth_cm: asked.depth_cm,
            lime: "limestone_calcitic",
            seed,
            draws: DRAWS,
            lime_draws: DOSE_MEMBERS,
        },
    )?)
}

pub(super) fn read(tables: &Tables, name: &str, text: &str) -> Result<Asked, Fault> {
    let file = File::new(name, text);
    let Some(whole) = file.parse() else {
        return Err(Fault::Input(file.faults()));
    };
    let root = file.root(&whole);
    root.only(&KEYS);
    let asked = Asked {
        parts: parts::from_file(tables, &root, "parts"),
        temperature: Celsius(
            root.number("temperature_celsius", &CHEMISTRY_CELSIUS)
                .unwrap_or(USUAL_CELSIUS),
        ),
        depth_cm: root.number("depth_cm", &BIN_DEPTH_CM),
    };
    if file.is_sound() {
        Ok(asked)
    } else {
        Err(Fault::Input(file.faults()))
    }
}

/// Longest name of a file in a message [characters].
const NAME_LONG: usize = 80;

/// The file's name for messages; of a long one its end.
pub(super) fn name(path: &Path) -> String {
    let whole = path.display().to_string();
    let long = whole.chars().count();
    if long <= NAME_LONG {
        return whole;
    }
    // Of a long path its end is shown.
    let end = whole.chars().skip(long + 1 - NAME_LONG);
    std::iter::once('…').chain(end).collect()
}
