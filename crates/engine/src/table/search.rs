//! Finding a material by what a keeper types, and near misses of a key.

use super::Material;
use super::unfed::{self, Unfed};

/// Longest text that may name a material [characters]: no name is half as long,
/// and the work to compare grows with it.
const LONGEST: usize = 200;

/// The three nearest of `all` to `asked`, joined by commas.
pub(crate) fn nearest<'a>(asked: &str, all: impl Iterator<Item = &'a str>) -> String {
    let asked: String = asked.chars().take(LONGEST).collect();
    let asked = asked_words(&asked).join("_");
    let mut scored: Vec<(usize, &str)> = all.map(|key| (distance(&asked, key), key)).collect();
    scored.sort();
    joined(scored.iter().take(3).map(|(_, key)| *key))
}

/// Names in back-ticks, joined by commas.
pub(crate) fn joined<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let quoted: Vec<String> = names.map(|n| format!("`{n}`")).collect();
    quoted.join(", ")
}

/// Distance of a typed key to a real one: edits, less what is contained.
fn distance(asked: &str, key: &str) -> usize {
    let edits = edits(asked, key) * 2;
    let shared = words(asked)
        .iter()
        .map(|w| w.strip_suffix('s').unwrap_or(w))
        .filter(|w| w.len() > 2 && key.contains(w))
        .map(str::len)
        .sum::<usize>();
    edits.saturating_sub(shared * 3)
}

/// Smallest number of letters to add, drop or change (Levenshtein 1966).
fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut corner = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let change = corner + usize::from(ca != *cb);
            corner = row[j + 1];
            row[j + 1] = change.min(corner + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

/// Lower-case words of a text.
fn words(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Words that say a thing is left out of what is named.
const LEFT_OUT: [&str; 5] = ["no", "non", "not", "without", "never"];

/// Words of a name or caution, without those it only says are left out: `(no
/// bread/meat)`, `free of meat`, `sugar-free`. What is left out ends with its
/// clause; where it follows `non` or goes before `free`, it is one word.
fn stated(text: &str) -> Vec<String> {
    text.split([',', ';', ':', '(', ')', '.'])
        .flat_map(|clause| kept(words(clause)))
        .collect()
}

fn kept(mut clause: Vec<String>) -> Vec<String> {
    if let Some(at) = clause.iter().position(|w| w == "non") {
        clause.drain(at..clause.len().min(at + 2));
    }
    if let Some(at) = clause.iter().position(|w| w == "free") {
        if clause.get(at + 1).is_some_and(|w| w == "of") {
            clause.truncate(at);
        } else {
            clause.drain(at.saturating_sub(1)..=at);
        }
    }
    if let Some(at) = clause.iter().position(|w| LEFT_OUT.contains(&w.as_str())) {
        clause.truncate(at);
    }
    if clause.first().is_some_and(|w| w == "leave") && clause.last().is_some_and(|w| w == "out") {
        clause.clear();
    }
    clause
}

/// What is asked for, where it is something not fed.
pub(crate) fn unfed(text: &str) -> Option<Unfed> {
    unfed::among(&words(text))
}

/// Words keepers use for what the tables call by another name.
const SAME: [(&str, &str); 13] = [
    ("newspaper", "newsprint"),
    ("newspapers", "newsprint"),
    ("moss", "peat"),
    ("coco", "coir"),
    ("chalk", "limestone"),
    ("slaked", "hydrated"),
    ("burnt", "quicklime"),
    ("vermicast", "vermicompost"),
    ("bicarb", "bicarbonate"),
    ("card", "cardboard"),
    ("courgette", "zucchini"),
    ("veggie", "vegetable"),
    ("veggies", "vegetable"),
];

/// Words as asked, in the words of the tables.
fn asked_words(text: &str) -> Vec<String> {
    let table = |w: String| {
        SAME.iter()
            .find(|(said, _)| *said == w)
            .map_or(w, |(_, table)| (*table).to_owned())
    };
    words(text).into_iter().map(table).collect()
}

/// How well one word fits one material: 0 is not at all.
fn fit(word: &str, material: &Material) -> usize {
    let mut named = stated(&material.name);
    named.extend(words(&material.key));
    if named.iter().any(|w| w == word) {
        return 8;
    }
    if named.iter().any(|w| w.starts_with(word)) {
        return 6;
    }
    let short = word.trim_end_matches('s');
    if !short.is_empty() && named.iter().any(|w| w.trim_end_matches('s') == short) {
        return 6;
    }
    if material.role.name().starts_with(word) && word.len() > 2 {
        return 4;
    }
    if named
        .iter()
        .any(|w| w.len() > 3 && word.len() > 3 && edits(w, word) <= word.len() / 4)
    {
        return 3;
    }
    let warned = stated(&material.cautions.join(";"));
    usize::from(word.len() > 2 && warned.iter().any(|w| w.starts_with(word)))
}

/// Materials named so: every word of `text` is a word of the name or key, or
/// begins one where none has all of them whole. Nothing is forgiven and nothing
/// guessed: where more than one is named so, all are given.
pub(crate) fn named<'a>(materials: &'a [Material], text: &str) -> Vec<&'a Material> {
    if text.len() > 4 * LONGEST {
        return Vec::new();
    }
    let asked = asked_words(text);
    if asked.is_empty() || unfed(text).is_some() {
        return Vec::new();
    }
    let one = |w: &str| w.strip_suffix('s').unwrap_or(w).to_owned();
    let among = |is: &dyn Fn(&str, &str) -> bool| -> Vec<&'a Material> {
        let fits = |m: &&Material| {
            let mut all = stated(&m.name);
            all.extend(words(&m.key));
            asked.iter().all(|w| all.iter().any(|n| is(n, w)))
        };
        materials.iter().filter(fits).collect()
    };
    let whole = among(&|n, w| one(n) == one(w));
    if whole.is_empty() {
        among(&|n, w| n.starts_with(&one(w)))
    } else {
        whole
    }
}

/// Materials that fit every word of `text`, best first, then file order.
/// Where something is asked for that is not fed, only those named so.
pub(crate) fn search<'a>(materials: &'a [Material], text: &str) -> Vec<&'a Material> {
    const NAMED: usize = 6;
    if text.len() > 4 * LONGEST {
        return Vec::new();
    }
    let asked = asked_words(text);
    let least = if unfed(text).is_some() { NAMED } else { 1 };
    let mut found: Vec<(usize, &Material)> = materials
        .iter()
        .filter_map(|m| {
            let fits: Vec<usize> = asked.iter().map(|w| fit(w, m)).collect();
            let all = fits.iter().all(|&f| f >= least);
            all.then(|| (fits.iter().sum(), m))
        })
        .collect();
    found.sort_by_key(|(score, _)| std::cmp::Reverse(*score));
    found.into_iter().map(|(_, m)| m).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_keeper_s_word_finds_the_table_s() {
        let tables = crate::table::Tables::load().unwrap();
        for (said, key) in [
            ("newspaper", "newsprint_shredded"),
            ("peat moss", "peat_sphagnum_unlimed"),
            ("slaked lime", "hydrated_lime"),
        ] {
            let found = tables.search(said);
            assert!(found.iter().any(|m| m.key == key), "{said}");
        }
        let near = nearest("newspaper", ["grapes", "newsprint_shredded"].into_iter());
        assert!(near.starts_with("`newsprint_shredded`"), "{near}");
    }

    #[test]
    fn a_usual_name_is_taken_when_it_names_one_and_asked_about_when_more() {
        let tables = crate::table::Tables::load().unwrap();
        let keys = |text: &str| -> Vec<&str> {
            tables.named(text).iter().map(|m| m.key.as_str()).collect()
        };
        assert_eq!(keys("kitchen scraps"), ["kitchen_scraps_veg"]);
        assert_eq!(keys("Coir"), ["coir_pith"]);
        assert_eq!(keys("garden lime"), ["limestone_calcitic"]);
        assert_eq!(keys("coffee"), ["coffee_grounds"]);
        assert_eq!(keys("card"), ["cardboard_corrugated"]);
        assert!(keys("peat").len() > 2 && keys("eggshells").len() == 2);
        for none in ["cardbord", "meat", "", "plutonium"] {
            assert_eq!(keys(none), [""; 0], "{none}");
        }
    }

    #[test]
    fn a_name_that_says_no_meat_is_not_meat() {
        let tables = crate::table::Tables::load().unwrap();
        let keys = |text: &str| -> Vec<&str> {
            tables.search(text).iter().map(|m| m.key.as_str()).collect()
        };
        for asked in [
            "meat",
            "meat scraps",
            "Fish",
            "cheese",
            "pet waste",
            "cat litter",
        ] {
            assert_eq!(keys(asked), [""; 0], "{asked}");
            assert!(tables.unfed(asked).is_some(), "{asked}");
        }
        assert_eq!(keys("bread"), ["bread_white", "bread_wholewheat"]);
        assert!(!keys("legume").contains(&"veg_waste_nonlegume"));
        for asked in [
            "bone meal",
            "dairy manure",
            "egg shells",
            "peat",
            "scraps",
            "food waste",
            "",
        ] {
            assert!(tables.unfed(asked).is_none(), "{asked}");
        }
        assert_eq!(keys("dairy"), ["cow_manure_solid"]);
        assert!(tables.unfed("dog manure").is_some());
    }

    #[test]
    fn what_a_name_leaves_out_is_not_stated() {
        assert_eq!(stated("Scraps (no bread/meat), raw"), ["scraps", "raw"]);
        assert_eq!(stated("Grass hay (non-legume)"), ["grass", "hay"]);
        assert_eq!(stated("sugar-free jam"), ["jam"]);
        assert_eq!(stated("leave salty food and meat out"), [""; 0]);
    }

    #[test]
    fn edits_counts_letters() {
        assert_eq!(edits("kitten", "sitting"), 3);
        assert_eq!(edits("", "peat"), 4);
        assert_eq!(edits("peat", "peat"), 0);
    }
}
