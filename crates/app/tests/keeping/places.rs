//! Places and files that are not as they should be: a disk that cannot be
//! written to, a file for a folder, a limit to how long a file may grow, a
//! damaged log that goes on, and what is sent twice.

use super::home::{Home, Said, program};
use serde_json::Value;
use std::fs;
use std::process::{Command, Stdio};

/// Names of the files in the folder of automatic backups.
fn saved(home: &Home) -> Vec<String> {
    let list = fs::read_dir(home.path("log.db.backups")).unwrap();
    let mut names: Vec<String> = list
        .map(|f| f.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_damaged_log_is_still_backed_up_apart_from_the_whole_ones() {
    let home = Home::with_log();
    let whole = saved(&home);
    home.flip("log.db", "the first note", "the worst note");
    for day in 25..29 {
        let now = format!("2026-11-{day}T09:00");
        let text = format!("written on the {day}th");
        let said = home.run_at("log.db", &now, &["log", "1", "note", &text]);
        assert_eq!(said.code, 0, "{}", said.err);
        assert!(!said.err.contains("no automatic backup"), "{}", said.err);
    }
    let now = saved(&home);
    let apart: Vec<&String> = now
        .iter()
        .filter(|n| n.starts_with("damaged-2026-"))
        .collect();
    assert_eq!(apart.len(), 4, "{now:?}");
    assert!(whole.iter().all(|n| now.contains(n)), "{now:?}");
    // All that can be read is in it, and the way back is the same.
    let last = format!("log.db.backups/{}", apart[3]);
    let told = home.run(&["rescue", &last, "saved.db"]);
    assert_eq!(told.code, 0, "{}", told.err);
    assert!(home.holds("saved.db", "written on the 28th"));
    assert!(!home.holds("saved.db", "the worst note"));
}

#[test]
fn a_file_where_a_folder_should_be_is_said_to_be_one() {
    let home = Home::with_log();
    for asked in [&["bins"][..], &["log", "1", "turned"], &["demo"]] {
        let said = home.run_on("log.db/x.db", asked);
        assert!(
            said.refused().contains("`log.db` is a file, not a folder"),
            "{}",
            said.err
        );
    }
    let said = home.run(&["export", "log.db/out.jsonl"]);
    assert!(said.refused().contains("not a folder"), "{}", said.err);
}

#[test]
fn an_import_that_is_refused_makes_no_log_and_speaks_plainly() {
    let home = Home::new();
    let whole = r#"{"id":1,"bin":null,"at_unix_seconds":1795000000,"zone":"UTC","written_unix_seconds":1795000000,"body":{"kind":"note","text":"one"}}"#;
    for (line, word) in [
        ("[]", "must be one entry: an object in braces"),
        ("12", "must be one entry: an object in braces"),
        ("{", "breaks off"),
        ("{]", "is not JSON"),
        (
            &whole.replace("1,\"bin\":null", "\"a\",\"bin\":null"),
            "text \"a\" stands where a whole number should",
        ),
        (
            &whole.replace("\"kind\":\"note\",", ""),
            "it lacks the field `kind`",
        ),
        (
            &whole.replace("\"note\"", "\"no such\""),
            "this version does not know `no such`",
        ),
        (
            &whole.replace("\"text\":\"one\"", "\"text\":[]"),
            "a list stands where text should",
        ),
        (
            &whole.replace("{\"kind\":\"note\",\"text\":\"one\"}", "[1]"),
            "body could not be read",
        ),
        (
            &whole.replace("\"zone\":\"UTC\"", "\"zone\":{}"),
            "an object in braces stands where text should",
        ),
    ] {
        fs::write(
            home.path("in.jsonl"),
            format!("{whole}\n{line}\n").replacen("\"id\":1", "\"id\":1", 1),
        )
        .unwrap();
        let said = home.run_on("deep/er.db", &["import", "in.jsonl"]);
        let told = said.refused();
        assert!(
            told.contains("line 2: ") && told.contains(word),
            "{line}: {told}"
        );
        for jargon in [
            "struct",
            "invalid type",
            "expected",
            "variant",
            "enum",
            "Sqlite",
            "at line",
            "i64",
            "sequence",
        ] {
            assert!(!told.contains(jargon), "{line}: {told}");
        }
        assert_eq!(home.names(), ["in.jsonl"]);
    }
    fs::write(
        home.path("in.csv"),
        "id,bin,at_unix_seconds,zone,written_unix_seconds,kind,body\nx,,1,UTC,1,note,{}\n",
    )
    .unwrap();
    let said = home.run_on("deep/er.db", &["import", "in.csv"]);
    assert!(
        said.refused()
            .contains("line 2: line could not be read: `id`: "),
        "{}",
        said.err
    );
    fs::write(
        home.path("in.csv"),
        "id,bin,at_unix_seconds,zone,written_unix_seconds,kind,body\n1,,1\n",
    )
    .unwrap();
    let said = home.run_on("deep/er.db", &["import", "in.csv"]);
    assert!(
        said.refused()
            .contains("it has 3 cells where the first line names 7"),
        "{}",
        said.err
    );
    assert_eq!(home.names(), ["in.csv", "in.jsonl"]);
}

/// A log of the first schema, as a version of then wrote it.
fn old_log(home: &Home) {
    home.hostile(
        "log.db",
        include_str!("../../../store/tests/old/schema-1.sql"),
    );
}

#[test]
fn an_old_log_whose_beginning_was_written_over_names_rescue() {
    let home = Home::new();
    old_log(&home);
    let mut bytes = fs::read(home.path("log.db")).unwrap();
    bytes[..100].fill(b'x');
    fs::write(home.path("log.db"), bytes).unwrap();
    let said = home.run(&["bins"]);
    assert!(said.refused().contains("bedwright rescue"), "{}", said.err);
}

#[test]
fn four_commands_at_once_bring_an_old_log_up_once() {
    let home = Home::new();
    old_log(&home);
    let run = || {
        let mut command = Command::new(program());
        command
            .current_dir(home.folder.path())
            .args(["--data", "log.db", "check"])
            .stdout(Stdio::null());
        command.spawn().unwrap()
    };
    let all: Vec<_> = (0..4).map(|_| run()).collect();
    for mut one in all {
        assert!(one.wait().unwrap().success());
    }
    assert_eq!(home.names(), ["log.db", "log.db.before-schema-2"]);
}

#[test]
fn check_names_what_a_command_that_was_cut_off_left() {
    let home = Home::with_log();
    let long_ago = std::time::SystemTime::now() - std::time::Duration::from_secs(200_000);
    for name in [
        "log.db.part",
        "log.db.part-journal",
        "log.db.reading-2",
        "film.part",
    ] {
        let file = fs::File::create(home.path(name)).unwrap();
        file.set_modified(long_ago).unwrap();
    }
    fs::copy(home.path("log.db"), home.path("saved.db.part-2")).unwrap();
    let saved = fs::File::options()
        .write(true)
        .open(home.path("saved.db.part-2"));
    saved.unwrap().set_modified(long_ago).unwrap();
    fs::write(home.path("log.db.part-2"), "perhaps in use").unwrap();
    let said = home.run(&["check"]);
    assert_eq!(said.code, 0);
    let lines: Vec<&str> = said.out.lines().filter(|l| l.contains("cut off")).collect();
    assert_eq!(lines.len(), 4, "{}", said.out);
    assert!(!said.out.contains("film.part"), "{}", said.out);
    assert_eq!(
        home.run(&["check", "--json"]).json()["left_over"]
            .as_array()
            .unwrap()
            .len(),
        4
    );
    // They are named and left: one may hold a whole log.
    assert!(home.path("log.db.part").exists());
}

#[test]
fn a_forged_count_is_told_in_words() {
    for forged in [
        "UPDATE this_log SET sequence = 9223372036854775807",
        "UPDATE sqlite_sequence SET seq = 9223372036854775807",
        "UPDATE this_log SET sequence = 9223372036854775807; UPDATE sqlite_sequence SET seq = 9223372036854775807",
    ] {
        let home = Home::with_log();
        home.hostile("log.db", forged);
        let said = home.run(&["check"]);
        let told = said.refused();
        assert!(
            told.contains("the count of entries that the file keeps was changed"),
            "{told}"
        );
        assert!(!told.contains("922337"), "{told}");
        let page = home.serve().get("/").words();
        assert!(
            page.contains("The count of entries in the file was changed"),
            "{page}"
        );
        assert!(!page.contains("922337"), "{page}");
        let said = home.run(&["log", "1", "note", "one more"]);
        assert!(said.refused().contains("no number left"), "{}", said.err);
        let said = home.run(&["rescue", "log.db", "new.db"]);
        assert_eq!(said.code, 0, "{}", said.err);
        assert_eq!(
            home.run_on("new.db", &["log", "1", "note", "one more"])
                .code,
            0
        );
    }
}

#[test]
fn of_the_same_commands_at_once_one_is_written() {
    let home = Home::with_log();
    let run = |arguments: &[&str]| {
        let mut command = Command::new(program());
        command
            .current_dir(home.folder.path())
            .env("TZ", "Europe/Paris")
            .args(["--data", "log.db", "--now", "2026-11-24T18:05"])
            .args(arguments)
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command.spawn().unwrap()
    };
    for asked in [
        &["log", "1", "fed", "200 g apple"][..],
        &["shed", "add", "limestone_calcitic", "--have", "2 kg"],
        &[
            "add-bin", "Tub", "--length", "40", "--width", "30", "--depth", "25",
        ],
    ] {
        let before = home.entries("log.db").len();
        let all: Vec<_> = (0..6).map(|_| run(asked)).collect();
        let codes: Vec<i32> = all
            .into_iter()
            .map(|mut one| one.wait().unwrap().code().unwrap())
            .collect();
        assert_eq!(
            codes.iter().filter(|c| **c == 0).count(),
            1,
            "{asked:?} {codes:?}"
        );
        assert!(codes.iter().all(|c| [0, 2].contains(c)), "{codes:?}");
        assert_eq!(home.entries("log.db").len(), before + 1, "{asked:?}");
    }
}

#[test]
fn the_same_in_another_unit_or_struck_for_another_reason_is_the_same() {
    let home = Home::with_log();
    assert_eq!(home.run(&["log", "1", "fed", "200 g apple"]).code, 0);
    let again = home.run(&["log", "1", "fed", "0.2 kg apple"]);
    assert!(
        again.refused().contains("within the last minute"),
        "{}",
        again.err
    );
    assert_eq!(home.run(&["log", "1", "fed", "201 g apple"]).code, 0);
    assert_eq!(home.run(&["log", "1", "water", "1 L"]).code, 0);
    let again = home.run(&["log", "1", "water", "1000 mL"]);
    assert!(
        again.refused().contains("within the last minute"),
        "{}",
        again.err
    );
    assert_eq!(
        home.run(&["strike", "1", "3", "--reason", "typed twice"])
            .code,
        0
    );
    let again = home.run(&["strike", "1", "3", "--reason", "not mine"]);
    assert!(
        again.refused().contains("within the last minute"),
        "{}",
        again.err
    );
    assert_eq!(
        home.run(&["strike", "1", "4", "--reason", "typed twice"])
            .code,
        0
    );
}

#[test]
fn a_file_that_may_grow_no_longer_refuses_the_entry_in_words() {
    let home = Home::with_long_log();
    let before = home.entries("log.db").len();
    // The limit is less than what is beside an open log.
    for blocks in [8, 40, 64] {
        let limited = Command::new("sh")
            .arg("-c")
            .arg(format!("ulimit -f {blocks}; exec \"$0\" \"$@\""))
            .arg(program())
            .current_dir(home.folder.path())
            .env("TZ", "Europe/Paris")
            .args(["--data", "log.db", "--now", "2026-11-24T18:05"])
            .args(["log", "1", "note", "too long for this"])
            .output()
            .unwrap();
        let told = String::from_utf8(limited.stderr).unwrap();
        match limited.status.code() {
            // Written: then it is there.
            Some(0) => assert!(home.holds("log.db", "too long for this")),
            Some(1) => {
                assert!(!told.trim().is_empty());
                assert_eq!(home.entries("log.db").len(), before);
            }
            other => panic!("{blocks}: {other:?} {:?} {told}", limited.status),
        }
    }
    assert_eq!(home.run(&["check"]).code, 0);
}

#[test]
fn a_torn_file_is_told_of_in_words() {
    let home = Home::with_long_log();
    home.tear("log.db");
    let said = home.run(&["check"]);
    let told = said.refused();
    assert!(
        told.contains("the file is damaged") || told.contains("is damaged:"),
        "{told}"
    );
    assert!(told.contains("bedwright rescue"), "{told}");
    assert!(told.contains("a part of it cannot be read"), "{told}");
    assert!(
        !told.contains("SqliteFailure") && !told.contains("***"),
        "{told}"
    );
    let page = home.serve().get("/").words();
    assert!(page.contains("damaged"), "{page}");
    let said = home.run(&["log", "1", "note", "into a torn file"]);
    assert!(said.refused().contains("damaged"), "{}", said.err);
}

#[test]
fn pages_say_that_a_backup_failed_and_that_the_newest_is_old() {
    let home = Home::with_log();
    fs::remove_dir_all(home.path("log.db.backups")).unwrap();
    let early = home.run_at("log.db", "2026-11-02T09:00", &["log", "1", "note", "early"]);
    assert_eq!(early.code, 0, "{}", early.err);
    let server = home.serve();
    for page in ["/", "/settings"] {
        let words = server.get(page).words();
        assert!(
            words.contains("The newest backup is 22 days old, and entries were written since."),
            "{page}: {words}"
        );
    }
    fs::remove_dir_all(home.path("log.db.backups")).unwrap();
    fs::write(home.path("log.db.backups"), "in the way").unwrap();
    let got = server.note("all the same");
    assert_eq!(got.status, 303, "{}", got.words());
    let words = server.get("/settings").words();
    assert!(
        words.contains("log.db.backups") && words.contains("could not"),
        "{words}"
    );
    drop(server);
    assert!(home.holds("log.db", "all the same"));
}

#[test]
fn an_import_posted_twice_is_one_import() {
    let from = Home::with_log();
    let out = from.run(&["export", "-"]).out;
    let home = Home::new();
    let server = home.serve();
    for _ in 0..2 {
        let got = server.upload("/settings/import", out.as_bytes());
        assert!(
            [200, 303].contains(&got.status),
            "{} {}",
            got.status,
            got.words()
        );
    }
    drop(server);
    assert_eq!(home.entries("log.db").len(), 4);
}

#[test]
fn what_a_damaged_entry_says_of_the_shed_is_left_out_of_it() {
    let home = Home::with_log();
    for (material, have) in [("limestone_calcitic", "2 kg"), ("wood_ash", "7 kg")] {
        let said = home.run(&["shed", "add", material, "--have", have]);
        assert_eq!(said.code, 0, "{}", said.err);
    }
    home.flip("log.db", "\"7 kg\"", "\"9 kg\"");
    let said = home.run(&["shed", "--json"]);
    let json: Value = said.json();
    let text = json.to_string();
    assert!(
        text.contains("2 kg") && !text.contains("9 kg") && !text.contains("7 kg"),
        "{text}"
    );
    assert!(
        said.err.contains("entry 6 no longer says what was written"),
        "{}",
        said.err
    );
    let page = home.serve().get("/shed").words();
    assert!(
        page.contains("One entry cannot be read and is left out."),
        "{page}"
    );
    assert!(!page.contains("9 kg"), "{page}");
}

/// A log file mounted by itself under a second name, as into a container: what
/// one name wrote was lost by way of the other, and `check` said all was sound.
#[cfg(target_os = "linux")]
#[test]
fn a_log_mounted_by_itself_is_read_and_takes_nothing() {
    let home = Home::with_log();
    fs::create_dir(home.path("lent")).unwrap();
    fs::write(home.path("lent/log.db"), "").unwrap();
    let lent = |inner: &str| {
        let script = format!("mount --bind log.db lent/log.db && {inner}");
        let mut command = Command::new("unshare");
        command
            .current_dir(home.folder.path())
            .env("BEDWRIGHT_TRIED", program())
            .args(["--user", "--map-root-user", "--mount", "sh", "-c", &script]);
        command.output().unwrap()
    };
    if !lent("true").status.success() {
        println!("not tried here: files cannot be mounted");
        return;
    }
    let run = |words: &str| {
        let output = lent(&format!("\"$BEDWRIGHT_TRIED\" --data lent/log.db {words}"));
        Said {
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
            code: output.status.code().unwrap(),
        }
    };
    let refused = run("log 1 note lost");
    let text = refused.refused();
    assert!(text.contains("mounted here from elsewhere"), "{text}");
    assert!(text.contains("Mount the folder"), "{text}");
    assert!(!home.holds("log.db", "lost"));
    let shown = run("bin 1");
    assert!(shown.out.contains("the second note"), "{}", shown.err);
    home.note("by its own name");
}

#[cfg(unix)]
#[test]
fn a_pipe_among_the_backups_keeps_nobody_waiting() {
    let home = Home::with_log();
    let pipe = home.path("log.db.backups/last-saved-by-hand");
    assert!(
        Command::new("mkfifo")
            .arg(&pipe)
            .status()
            .unwrap()
            .success()
    );
    let mut asked = Command::new(program())
        .current_dir(home.folder.path())
        .args(["--data", "log.db", "check"])
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    for _ in 0..100 {
        if let Some(done) = asked.try_wait().unwrap() {
            assert!(done.success());
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    asked.kill().unwrap();
    panic!("it waits for the pipe");
}
