//! Names too long, and nowhere to say anything.

use super::home::{Home, program};
use std::fs::OpenOptions;
use std::process::{Command, Stdio};

#[test]
fn a_name_too_long_is_told_of_before_anything_is_made() {
    let home = Home::new();
    let made = home.names();
    for long in [505, 600, 3000] {
        let name = format!("{}x/log.db", "folder ten/".repeat(long / 11));
        for command in [
            &[
                "add-bin", "P", "--length", "60", "--width", "40", "--depth", "30",
            ][..],
            &["demo"],
        ] {
            let said = home.run_on(&name, command);
            let told = said.refused();
            assert!(told.contains("is too long with its folders"), "{told}");
        }
        assert_eq!(home.names(), made);
    }
    // By itself, though its folders are few.
    for (long, can_be) in [(230, true), (231, false), (241, false), (250, false)] {
        let name = "n".repeat(long);
        let said = home.run_on(&name, &["demo"]);
        match can_be {
            true => assert_eq!(said.code, 0, "{}", said.err),
            false => {
                let told = said.refused();
                let why = format!("is too long: {long} bytes, and at most 230 can be used");
                assert!(told.contains(&why), "{told}");
            }
        }
        assert_eq!(home.path(&name).exists(), can_be);
    }
    let longest = "n".repeat(230);
    assert_eq!(home.run_on(&longest, &["backup", "saved.db"]).code, 0);
    let server = home.serve_on(&longest);
    let saved = std::fs::read(home.path("saved.db")).unwrap();
    let got = server.upload("/settings/restore", &saved);
    assert_eq!(got.status, 303, "{}", got.words());
    drop(server);
    // What is there is saved under a name that can be used.
    let home = Home::with_log();
    let name = format!("{}saved.db", "folder ten/".repeat(50));
    std::fs::create_dir_all(home.path(&name).parent().unwrap()).unwrap();
    let said = home.run(&["backup", &home.path(&name).display().to_string()]);
    assert!(
        said.refused().contains("is too long with its folders"),
        "{}",
        said.refused()
    );
    assert!(!home.path(&name).exists());
}

/// The standard library's own printing ends the program with a panic.
#[cfg(target_os = "linux")]
#[test]
fn with_nowhere_to_say_it_the_exit_code_says_it() {
    let home = Home::new();
    let full = || Stdio::from(OpenOptions::new().write(true).open("/dev/full").unwrap());
    let log = home.path("log.db");
    for (words, code) in [
        (&["no-such-command"][..], 2),
        (&["bin", "4"], 2),
        (&["bins"], 1),
        (&["--help"], 1),
        (&["--version"], 1),
    ] {
        let ended = Command::new(program())
            .arg("--data")
            .arg(&log)
            .args(words)
            .stdout(full())
            .stderr(full())
            .status()
            .unwrap();
        assert_eq!(ended.code(), Some(code), "{words:?}");
    }
}

/// Each bin costs what it costs, however many there are: this took minutes.
#[test]
fn many_bins_are_listed_in_a_moment() {
    let home = Home::new();
    let line = |id: u32| {
        format!(
            r#"{{"id":{id},"bin":{id},"at_unix_seconds":1788264000,"zone":"UTC","written_unix_seconds":1788264000,"body":{{"kind":"bin","name":"b{id}","length_cm":60,"width_cm":40,"depth_cm":30}}}}{}"#,
            "\n"
        )
    };
    let lines: String = (1..=4000).map(line).collect();
    std::fs::write(home.path("bins.jsonl"), lines).unwrap();
    assert_eq!(home.run(&["import", "bins.jsonl"]).code, 0);
    let begun = std::time::Instant::now();
    let said = home.run(&["bins"]);
    assert_eq!(said.out.lines().count(), 4000, "{}", said.err);
    // A busy machine is allowed for.
    assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
}
