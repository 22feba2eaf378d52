//! What keepers ask about and the tables leave out on purpose: meat, fish,
//! dairy, the droppings of pets and people.

/// Something that is not fed, and why.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unfed {
    /// What: `Meat`.
    pub what: &'static str,
    /// Why it stays out, and where it may go, in plain words.
    pub why: &'static str,
    words: &'static [&'static str],
}

impl Unfed {
    /// As one text.
    #[must_use]
    pub fn text(&self) -> String {
        format!("{} is left out of the tables. {}", self.what, self.why)
    }
}

const UNFED: [Unfed; 5] = [
    Unfed {
        what: "Meat",
        why: "It rots without air, smells, and draws flies and rats. Keep it out of the bin.",
        words: &[
            "meat", "beef", "pork", "lamb", "mutton", "veal", "chicken", "turkey", "ham", "bacon",
            "sausage", "mince", "steak", "bone", "gravy",
        ],
    },
    Unfed {
        what: "Fish",
        why: "It rots without air, smells, and draws flies and rats. Keep it out of the bin.",
        words: &[
            "fish",
            "salmon",
            "tuna",
            "shrimp",
            "prawn",
            "seafood",
            "shellfish",
        ],
    },
    Unfed {
        what: "Dairy food",
        why: "It turns sour and greasy, smells, and draws flies. Keep it out of the bin.",
        words: &[
            "dairy", "milk", "cheese", "yoghurt", "yogurt", "butter", "cream", "whey",
        ],
    },
    Unfed {
        what: "Oil or fat",
        why: "It coats the bedding so that air cannot reach it, and turns rancid. Keep it out of the bin.",
        words: &["oil", "fat", "grease", "lard", "margarine"],
    },
    Unfed {
        what: "What pets and people leave",
        why: "It can carry worm eggs and germs that a bin at home may not kill. Keep it, and litter it was in, out of a bin whose castings you handle or use on food.",
        words: &[
            "pet", "pets", "dog", "cat", "kitty", "puppy", "litter", "poo", "poop", "faeces",
            "feces", "nappy", "diaper", "human", "humanure",
        ],
    },
];

/// Words that say nothing about what it is.
const BESIDE: [&str; 26] = [
    "a", "and", "or", "of", "from", "the", "some", "my", "raw", "cooked", "old", "fresh",
    "leftover", "left", "scrap", "waste", "food", "leaving", "dropping", "manure", "dung", "dirt",
    "product", "bit", "fried", "minced",
];

/// What is asked for by these lower-case words, where it is something not fed
/// and nothing else. `dairy manure` is a manure and is not caught: only the
/// droppings of pets and people are.
pub(super) fn among(asked: &[String]) -> Option<Unfed> {
    let is = |word: &str, list: &[&str]| {
        let single = word.strip_suffix('s').unwrap_or(word);
        list.contains(&word) || list.contains(&single)
    };
    let said = |u: &&Unfed| asked.iter().any(|w| is(w, u.words));
    // Pets last in the list, first asked: `dog meat waste` is nobody's question.
    let found = UNFED.iter().rev().find(said)?;
    let pets = found.words.contains(&"pet");
    let beside = |w: &str| {
        let dropped = matches!(w, "manure" | "dung" | "dropping" | "droppings");
        is(w, &BESIDE) && (pets || !dropped)
    };
    let rest = asked
        .iter()
        .all(|w| UNFED.iter().any(|u| is(w, u.words)) || beside(w));
    rest.then_some(*found)
}
