//! The long tables as files: written, read, and a tenth of them worked out anew.

use super::{Fault, Reply, cannot};
use engine::table::Tables;
use engine::validation::ValidationError;
use engine::validation::long::{Kept, Long, tenth};
use rayon::prelude::*;
use std::path::{Path, PathBuf};

fn file(folder: &Path, long: Long) -> PathBuf {
    folder.join(format!("{}.csv", long.name()))
}

fn other(e: &ValidationError) -> Fault {
    Fault::Other(e.to_string())
}

fn text(folder: &Path, long: Long) -> Result<String, Fault> {
    let path = file(folder, long);
    std::fs::read_to_string(&path).map_err(|e| {
        let path = path.display();
        Fault::Other(format!(
            "{path}: {e}; `./check long validation` makes it anew"
        ))
    })
}

/// All tables.
pub(super) fn kept(folder: &Path) -> Result<Kept, Fault> {
    let mut texts = Long::ALL.map(|_| String::new());
    for (kept, long) in texts.iter_mut().zip(Long::ALL) {
        *kept = text(folder, long)?;
    }
    Kept::read(&texts).map_err(|e| other(&e))
}

/// The rows of these runs, on all cores; which runs where changes nothing.
fn run(tables: &Tables, long: Long, names: &[String]) -> Result<Vec<Vec<String>>, Fault> {
    let one = |name: &String| long.run(tables, name).map_err(|e| other(&e));
    names.par_iter().map(one).collect()
}

/// The table of a name, or all of them.
pub(super) fn named(name: Option<&str>) -> Result<Vec<Long>, Fault> {
    let Some(name) = name else {
        return Ok(Long::ALL.to_vec());
    };
    let known = || Long::ALL.map(Long::name).join(", ");
    let found = Long::ALL.into_iter().find(|long| long.name() == name);
    let unknown = || Fault::input(format!("no long table `{name}`; there are {}", known()));
    Ok(vec![found.ok_or_else(unknown)?])
}

/// Runs everything and writes these tables.
pub(super) fn write(
    folder: &Path,
    wanted: &[Long],
    commit: &str,
    date: &str,
) -> Result<Reply, Fault> {
    let tables = Tables::load()?;
    let mut said = Vec::new();
    for &long in wanted {
        let names = long.runs(&tables).map_err(|e| other(&e))?;
        let rows = run(&tables, long, &names)?.concat();
        let head = format!("# commit {commit}, {date}, {}", long.how());
        let path = file(folder, long);
        let text = format!("{head}\n{}\n{}\n", long.heading(), rows.join("\n"));
        std::fs::write(&path, text).map_err(|e| cannot(&path, &e))?;
        said.push(format!("{}: {} rows", path.display(), rows.len()));
    }
    Reply::new(said.join("\n"), said)
}

/// Works out anew what a commit picks; a row that differs is a fault.
pub(super) fn compare(folder: &Path, commit: &str) -> Result<Reply, Fault> {
    let tables = Tables::load()?;
    let (mut said, mut differ) = (Vec::new(), Vec::new());
    for long in Long::ALL {
        let text = text(folder, long)?;
        let all = long.runs(&tables).map_err(|e| other(&e))?;
        let names = tenth(commit, &all);
        for (name, ours) in names.iter().zip(run(&tables, long, &names)?) {
            let theirs = long.kept(&text, name);
            if ours != theirs {
                differ.push(difference(long, name, &ours, &theirs));
            }
        }
        let (n, of) = (names.len(), all.len());
        said.push(format!(
            "{}: {n} of {of} worked out anew, picked by {commit}",
            long.name()
        ));
    }
    if differ.is_empty() {
        return Reply::new(said.join("\n"), said);
    }
    let differ = differ.join("\n");
    Err(Fault::Other(format!(
        "{differ}\nthe long tables are behind the laws: `./check long validation` makes them anew"
    )))
}

/// The first row that differs.
fn difference(long: Long, name: &str, ours: &[String], theirs: &[&str]) -> String {
    let at = ours.iter().zip(theirs).position(|(a, b)| a != b);
    let at = at.unwrap_or(ours.len().min(theirs.len()));
    let ours = ours.get(at).map_or("no row", String::as_str);
    let theirs = theirs.get(at).unwrap_or(&"no row");
    let table = long.name();
    format!("{table} {name}: kept `{theirs}`, now `{ours}`")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_is_found_by_its_name_and_another_is_told_of() {
        assert_eq!(named(None).unwrap(), Long::ALL);
        assert_eq!(named(Some("other_laws")).unwrap(), [Long::OtherLaws]);
        let told = named(Some("others")).unwrap_err();
        assert_eq!(told.code(), 2);
        assert!(
            format!("{told:?}").contains("followed, other_laws"),
            "{told:?}"
        );
    }
}
