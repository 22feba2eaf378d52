//! What the readers of JSON and CSV complain of, in a keeper's words.

use crate::plain;
use serde_json::error::Category;

/// Longest account [characters].
const LONG: usize = 120;

/// Names these readers have for sorts of things, and plain ones. The longer
/// stand before what they begin with.
const SORTS: [(&str, &str); 20] = [
    ("internally tagged enum Body", "an object in braces"),
    ("a map", "an object in braces"),
    ("map", "an object in braces"),
    ("a sequence", "a list"),
    ("sequence", "a list"),
    ("any valid JSON value", "a value"),
    ("a borrowed string", "text"),
    ("a string", "text"),
    ("string", "text"),
    ("variant identifier", "a name"),
    ("a boolean", "true or false"),
    ("boolean", "true or false"),
    ("floating point", "the number"),
    ("integer", "the number"),
    ("unit variant", "text"),
    ("unit", "nothing"),
    ("null", "nothing"),
    ("i64", "a whole number"),
    ("u64", "a whole number from 0"),
    ("f64", "a number"),
];

fn sort(word: &str) -> String {
    if word.starts_with("struct ") || word.starts_with("enum ") || word.contains("tagged enum") {
        return "an object in braces".to_owned();
    }
    let found = SORTS.iter().find_map(|(theirs, plain)| {
        let rest = word.strip_prefix(theirs)?;
        (rest.is_empty() || rest.starts_with(' ')).then(|| format!("{plain}{rest}"))
    });
    found.unwrap_or_else(|| word.to_owned())
}

/// What is wrong with a piece of JSON.
pub(crate) fn of_json(error: &serde_json::Error) -> String {
    match error.classify() {
        Category::Eof => "it breaks off before its end".to_owned(),
        Category::Syntax => format!(
            "it is not JSON; what stands at character {} does not fit",
            error.column()
        ),
        Category::Io => plain(&error.to_string(), LONG),
        Category::Data => {
            let said = error.to_string();
            let said = said.split(" at line ").next().unwrap_or(&said);
            plain(&of_value(said), LONG)
        }
    }
}

/// What is wrong with a value that was read.
fn of_value(said: &str) -> String {
    let wrong = said
        .strip_prefix("invalid type: ")
        .or_else(|| said.strip_prefix("invalid value: "))
        .or_else(|| said.strip_prefix("invalid length "));
    match wrong.and_then(|w| w.rsplit_once(", expected ")) {
        Some((there, wanted)) => format!("{} stands where {} should", sort(there), sort(wanted)),
        None => said
            .replace("unknown variant", "this version does not know")
            .replace("unknown field", "there is no field")
            .replace("missing field", "it lacks the field")
            .replace("duplicate field", "it gives twice the field")
            .replace("expected one of", "but only")
            .replace("expected", "but only"),
    }
}

/// What is wrong with a line of CSV.
pub(crate) fn of_csv(error: &csv::Error) -> String {
    use csv::ErrorKind;
    match error.kind() {
        ErrorKind::UnequalLengths {
            expected_len, len, ..
        } => format!("it has {len} cells where the first line names {expected_len}"),
        ErrorKind::Utf8 { .. } => "it is not UTF-8 text".to_owned(),
        ErrorKind::Deserialize { err, .. } => {
            let cell = err.field().map_or_else(String::new, |n| {
                let name = usize::try_from(n)
                    .ok()
                    .and_then(|n| crate::export::CSV_COLUMNS.get(n));
                name.map_or_else(|| format!("cell {}: ", n + 1), |c| format!("`{c}`: "))
            });
            plain(&format!("{cell}{}", of_cell(err.kind())), LONG)
        }
        ErrorKind::Io(error) => plain(&error.to_string(), LONG),
        _ => "it is no line of a table".to_owned(),
    }
}

/// What is wrong with a cell.
fn of_cell(kind: &csv::DeserializeErrorKind) -> String {
    use csv::DeserializeErrorKind as Kind;
    match kind {
        Kind::ParseInt(_) => "a whole number should stand there".to_owned(),
        Kind::ParseFloat(_) => "a number should stand there".to_owned(),
        Kind::ParseBool(_) => "true or false should stand there".to_owned(),
        Kind::UnexpectedEndOfRow => "the line ends before it".to_owned(),
        Kind::InvalidUtf8(_) => "it is not UTF-8 text".to_owned(),
        Kind::Message(said) | Kind::Unsupported(said) => of_value(said),
    }
}
