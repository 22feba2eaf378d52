//! What is written is read, and a commit picks a tenth.

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
fn a_commit_never_picks_none() {
    let of = vec!["a".to_owned(), "b".to_owned()];
    let none = (0..100)
        .map(|n| n.to_string())
        .find(|c| !picked(c, "a") && !picked(c, "b"))
        .unwrap();
    assert_eq!(tenth(&none, &of), ["a"]);
}

/// A table of so many bins, each with the same scores in every week.
fn followed(long: Long, bins: usize) -> String {
    let score = |side: i8| Score {
        side,
        error: -0.25,
        half_width: 0.123_456,
        crps: 12_345.6,
        log_score: -3.0,
        rank: 0.25,
    };
    let pair = Pair {
        looked: score(-1),
        blind: score(1),
    };
    let (figures, weeks) = long.followed();
    let mut text = format!("# how\n{}\n", long.heading());
    for bin in 0..bins {
        let one = Followed {
            bin,
            contradictions: 2,
            held: vec![vec![pair; figures.len()]; weeks.len()],
        };
        for row in long.followed_rows(&one) {
            text += &format!("{row}\n");
        }
    }
    text
}

fn dosed(bins: usize) -> String {
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
}

#[test]
fn what_is_written_is_read() {
    let whole = [
        "# how\nheading\na2000,b,14.00,ph,7.1,6.5,8\n".to_owned(),
        followed(Long::Followed, following::BINS),
        followed(Long::OtherLaws, other_laws::BINS),
        followed(Long::SecondWorld, second_world::BINS),
        dosed(coverage::BINS),
    ];
    let kept = Kept::read(&whole).unwrap();
    assert_eq!(kept.followed[7].held[2][4].looked.half_width, 0.123_46);
    assert_eq!(kept.followed[7].held[0][0].looked.side, -1);
    assert_eq!(kept.followed[7].held[0][0].looked.rank, 0.25);
    assert_eq!(kept.other_laws[3].held[4][6].blind.crps, 12_346.0);
    assert_eq!(kept.other_laws[3].held[4][6].blind.side, 1);
    assert_eq!(kept.dosed[3].buffer_side, 1);
    assert_eq!(kept.band("a2000,b,14.00,ph").unwrap().low, 6.5);
    assert!(kept.band("a2000,b,15.00,ph").is_err());
    let rows = Long::Followed.kept(&whole[1], "1");
    assert_eq!(rows.len(), following::WEEKS.len());
    // A bin too few, a week left out, or a cell that is no number, is told.
    let with = |at: usize, text: String| {
        let mut spoiled = whole.clone();
        spoiled[at] = text;
        Kept::read(&spoiled)
    };
    assert!(with(1, followed(Long::Followed, following::BINS - 1)).is_err());
    assert!(with(2, followed(Long::OtherLaws, other_laws::BINS - 1)).is_err());
    assert!(with(4, dosed(3)).is_err());
    assert!(with(1, whole[1].replace("12346", "x")).is_err());
    let gone = |row: &&str| !row.starts_with("5,26,");
    let left: Vec<&str> = whole[2].lines().filter(gone).collect();
    assert!(with(2, left.join("\n")).is_err());
}

#[test]
fn every_row_has_a_cell_for_every_heading() {
    for long in [Long::Followed, Long::OtherLaws, Long::SecondWorld] {
        let text = followed(long, 1);
        let cells: Vec<usize> = text.lines().skip(1).map(|l| l.split(',').count()).collect();
        assert!(cells.iter().all(|n| *n == cells[0]), "{cells:?}");
    }
}
