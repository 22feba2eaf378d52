//! A folder of its own to run the command in, and reading its answers.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder of its own, with the files of `cases/files` in it and no log.
pub(crate) struct Desk {
    pub(crate) folder: tempfile::TempDir,
}

pub(crate) fn cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases")
}

impl Desk {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let files = folder.path().join("files");
        std::fs::create_dir(&files).unwrap();
        for entry in std::fs::read_dir(cases().join("files")).unwrap() {
            let from = entry.unwrap();
            std::fs::copy(from.path(), files.join(from.file_name())).unwrap();
        }
        Self { folder }
    }

    pub(crate) fn file(&self, name: &str, text: &str) -> String {
        std::fs::write(self.folder.path().join(name), text).unwrap();
        name.to_owned()
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_bedwright"));
        command
            .current_dir(self.folder.path())
            .env("TZ", "Europe/Paris")
            .args(["--data", "log.db"]);
        if !arguments.contains(&"--now") {
            command.args(["--now", "2026-11-24T18:05"]);
        }
        command.args(arguments).output().unwrap()
    }

    /// Something done, whatever is said of it.
    pub(crate) fn done(&self, arguments: &[&str]) {
        let output = self.run(arguments);
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{said}");
    }

    /// The JSON of an answer.
    pub(crate) fn json(&self, arguments: &[&str]) -> Value {
        let output = self.run(arguments);
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        serde_json::from_slice(&output.stdout).unwrap()
    }

    /// Standard error and exit code of a refusal; nothing may be answered.
    pub(crate) fn refused(&self, arguments: &[&str]) -> (Vec<String>, i32) {
        let output = self.run(arguments);
        assert_eq!(String::from_utf8_lossy(&output.stdout), "");
        let lines = String::from_utf8_lossy(&output.stderr)
            .lines()
            .map(str::to_owned)
            .collect();
        (lines, output.status.code().unwrap())
    }
}

pub(crate) fn number(v: &Value, path: &str) -> f64 {
    v.pointer(path)
        .and_then(Value::as_f64)
        .unwrap_or_else(|| panic!("no number at {path}"))
}

pub(crate) fn keys(v: &Value) -> Vec<&str> {
    v.as_object().unwrap().keys().map(String::as_str).collect()
}

/// Keys may be added to the contracts, never taken away.
pub(crate) fn holds(v: &Value, wanted: &[&str]) {
    for key in wanted {
        assert!(keys(v).contains(key), "{key} is gone from {:?}", keys(v));
    }
}
