//! A folder of its own with a log in it, the program run on it, and a server
//! asked over its socket.

use serde_json::Value;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;

/// The build tried: this one, or the one named by `BEDWRIGHT`.
pub(crate) fn program() -> PathBuf {
    std::env::var_os("BEDWRIGHT")
        .map_or_else(|| env!("CARGO_BIN_EXE_bedwright").into(), PathBuf::from)
}

/// What the program answered.
pub(crate) struct Said {
    pub(crate) out: String,
    pub(crate) err: String,
    pub(crate) code: i32,
}

impl Said {
    /// The JSON printed.
    pub(crate) fn json(&self) -> Value {
        assert_eq!(self.code, 0, "{}", self.err);
        serde_json::from_str(&self.out).unwrap()
    }

    /// A refusal: exit code 1 or 2, and words that a keeper can read on one
    /// line each.
    pub(crate) fn refused(&self) -> &str {
        assert!([1, 2].contains(&self.code), "{} {}", self.out, self.err);
        assert_eq!(self.out, "");
        for line in self.err.lines() {
            assert!(line.chars().count() <= 300, "{line}");
        }
        assert!(!self.err.contains("panicked"), "{}", self.err);
        &self.err
    }
}

/// A folder of its own.
pub(crate) struct Home {
    pub(crate) folder: tempfile::TempDir,
}

impl Home {
    pub(crate) fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    /// With a log of one bin and two notes: four entries.
    pub(crate) fn with_log() -> Self {
        let home = Self::new();
        let made = [
            "add-bin",
            "Porch",
            "--length",
            "40",
            "--width",
            "30",
            "--depth",
            "25",
            "--filled",
            "20 L coir_pith",
            "--when",
            "2026-11-01",
        ];
        assert_eq!(home.run(&made).code, 0);
        home.note("the first note");
        home.note("the second note");
        home
    }

    /// With a log of many pages: the same, and 3000 notes more.
    pub(crate) fn with_long_log() -> Self {
        let home = Self::with_log();
        let lines: String = (5..3005)
            .map(|id| {
                format!(
                    r#"{{"id":{id},"bin":1,"at_unix_seconds":1795000000,"zone":"UTC","written_unix_seconds":1795000000,"body":{{"kind":"note","text":"note number {id}"}},"engine_version":"0.1.0"}}{}"#,
                    "\n"
                )
            })
            .collect();
        fs::write(home.path("many.jsonl"), lines).unwrap();
        assert_eq!(home.run(&["import", "many.jsonl"]).code, 0);
        home
    }

    pub(crate) fn note(&self, text: &str) {
        let said = self.run(&["log", "1", "note", text]);
        assert_eq!(said.code, 0, "{}", said.err);
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Names in the folder, without SQLite's own journals, the automatic backups
    /// and what was worked out.
    pub(crate) fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.folder.path())
            .unwrap()
            .map(|f| f.unwrap().file_name().into_string().unwrap())
            .filter(|n| {
                !["-wal", "-shm", ".backups", ".settled"]
                    .iter()
                    .any(|end| n.ends_with(end))
            })
            .collect();
        names.sort();
        names
    }

    /// Runs the program on `log.db`.
    pub(crate) fn run(&self, arguments: &[&str]) -> Said {
        self.run_on("log.db", arguments)
    }

    pub(crate) fn run_on(&self, log: &str, arguments: &[&str]) -> Said {
        self.run_at(log, "2026-11-24T18:05", arguments)
    }

    pub(crate) fn run_at(&self, log: &str, now: &str, arguments: &[&str]) -> Said {
        let output = Command::new(program())
            .current_dir(self.folder.path())
            .env("TZ", "Europe/Paris")
            .args(["--data", log, "--now", now])
            .args(arguments)
            .output()
            .unwrap();
        Said {
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
            code: output.status.code().unwrap(),
        }
    }

    /// Entries of a log, as exported.
    pub(crate) fn entries(&self, log: &str) -> Vec<Value> {
        let said = self.run_on(log, &["export", "-"]);
        assert_eq!(said.code, 0, "{}", said.err);
        let lines = said.out.lines();
        lines.map(|l| serde_json::from_str(l).unwrap()).collect()
    }

    /// Whether a log holds an entry that says `text`.
    pub(crate) fn holds(&self, log: &str, text: &str) -> bool {
        self.entries(log)
            .iter()
            .any(|e| e["body"].to_string().contains(text))
    }

    /// SQL done to a file by another program.
    pub(crate) fn hostile(&self, log: &str, sql: &str) {
        let db = rusqlite::Connection::open(self.path(log)).unwrap();
        db.execute_batch(sql).unwrap();
        db.close().unwrap();
    }

    /// Changes text in a file behind the log's back; as many bytes as before.
    pub(crate) fn flip(&self, log: &str, text: &str, other: &str) {
        assert_eq!(text.len(), other.len());
        let mut bytes = fs::read(self.path(log)).unwrap();
        let found = bytes.windows(text.len()).position(|w| w == text.as_bytes());
        let at = found.unwrap();
        bytes[at..at + text.len()].copy_from_slice(other.as_bytes());
        fs::write(self.path(log), bytes).unwrap();
    }

    /// Overwrites a page in the middle of a file.
    pub(crate) fn tear(&self, log: &str) {
        let mut bytes = fs::read(self.path(log)).unwrap();
        assert!(bytes.len() > 100_000, "{}", bytes.len());
        let middle = bytes.len() / 2 / 4096 * 4096;
        bytes[middle..middle + 4096].fill(0xA7);
        fs::write(self.path(log), bytes).unwrap();
    }

    pub(crate) fn serve(&self) -> Server {
        self.serve_on("log.db")
    }

    pub(crate) fn serve_on(&self, log: &str) -> Server {
        self.serve_by(self.program(log))
    }

    /// The program, here and on this log.
    pub(crate) fn program(&self, log: &str) -> Command {
        let mut command = Command::new(program());
        command
            .current_dir(self.folder.path())
            .env("TZ", "Europe/Paris")
            .args(["--data", log, "--now", "2026-11-24T18:05"]);
        command
    }

    pub(crate) fn serve_by(&self, mut command: Command) -> Server {
        let mut child = command
            .args(["serve", "--port", "0"])
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        let mut announced = BufReader::new(child.stdout.take().unwrap());
        announced.read_line(&mut line).unwrap();
        let address = line
            .split("http://")
            .nth(1)
            .map(|a| a.trim().trim_end_matches('/'));
        let Some(address) = address.map(str::to_owned) else {
            let mut told = String::new();
            child
                .stderr
                .take()
                .unwrap()
                .read_to_string(&mut told)
                .unwrap();
            panic!("the server did not start: {line} {told}");
        };
        Server {
            child,
            address,
            _announced: announced,
        }
    }
}

/// A running server; ended when dropped.
pub(crate) struct Server {
    child: Child,
    address: String,
    /// Held open, or the server could not print.
    _announced: BufReader<ChildStdout>,
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A page as it came.
pub(crate) struct Got {
    pub(crate) status: u16,
    pub(crate) to: String,
    pub(crate) body: Vec<u8>,
}

impl Got {
    /// Text without tags.
    pub(crate) fn words(&self) -> String {
        let text = String::from_utf8_lossy(&self.body);
        let parts = text
            .split('<')
            .map(|p| p.split_once('>').map_or(p, |x| x.1));
        let joined = parts.collect::<Vec<_>>().join(" ");
        let plain = joined.replace("&#38;", "&").replace("&#39;", "'");
        plain.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

impl Server {
    fn ask(&self, head: &str, body: &[u8]) -> Got {
        let mut line = TcpStream::connect(&self.address).unwrap();
        line.set_read_timeout(Some(Duration::from_secs(60)))
            .unwrap();
        let address = &self.address;
        let head = format!(
            "{head}\r\nHost: {address}\r\nOrigin: http://{address}\r\nConnection: close\r\nContent-Length: {}\r\n\r\n",
            body.len()
        );
        line.write_all(head.as_bytes()).unwrap();
        line.write_all(body).unwrap();
        let mut all = Vec::new();
        line.read_to_end(&mut all).unwrap();
        let cut = all.windows(4).position(|w| w == b"\r\n\r\n").unwrap();
        let head = String::from_utf8_lossy(&all[..cut]).into_owned();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        let to = head
            .lines()
            .find_map(|l| l.strip_prefix("location: "))
            .unwrap_or_default()
            .to_owned();
        Got {
            status,
            to,
            body: all[cut + 4..].to_vec(),
        }
    }

    pub(crate) fn get(&self, path: &str) -> Got {
        self.ask(&format!("GET {path} HTTP/1.1"), b"")
    }

    pub(crate) fn post(&self, path: &str, form: &str) -> Got {
        let head =
            format!("POST {path} HTTP/1.1\r\nContent-Type: application/x-www-form-urlencoded");
        self.ask(&head, form.as_bytes())
    }

    /// Writes a note in bin 1.
    pub(crate) fn note(&self, text: &str) -> Got {
        let text = text.replace(' ', "+");
        self.post(
            "/bins/1/log",
            &format!("kind=note&text={text}&when=2026-11-24T18:00"),
        )
    }

    pub(crate) fn upload(&self, path: &str, content: &[u8]) -> Got {
        self.upload_as(path, "f", "", content)
    }

    /// As a form with this one-time key sends a file of this name.
    pub(crate) fn upload_as(&self, path: &str, name: &str, once: &str, content: &[u8]) -> Got {
        let head =
            format!("POST {path} HTTP/1.1\r\nContent-Type: multipart/form-data; boundary=cut");
        let key = match once {
            "" => String::new(),
            key => {
                format!("--cut\r\nContent-Disposition: form-data; name=\"once\"\r\n\r\n{key}\r\n")
            }
        };
        let start = format!(
            "{key}--cut\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\r\n"
        );
        let body = [start.as_bytes(), content, b"\r\n--cut--\r\n"].concat();
        self.ask(&head, &body)
    }
}
