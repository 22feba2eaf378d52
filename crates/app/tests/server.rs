//! The program as a server, asked through real sockets: who asks slowly, who
//! goes away, and how it ends.

#![cfg(target_os = "linux")]
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its own data has failed"
)]

use std::io::{BufRead, BufReader, ErrorKind, Read, Write};
use std::net::TcpStream;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

/// A server of its own on a log of its own, with one bin.
struct Server {
    child: Child,
    address: String,
    /// Kept open: the server says where it is in several lines.
    _said: BufReader<ChildStdout>,
    folder: tempfile::TempDir,
}

impl Server {
    fn start() -> Self {
        // So many files as a desk machine lets a program open by custom.
        const FILES: u32 = 256;
        let folder = tempfile::tempdir().unwrap();
        let log = folder.path().join("log.db");
        let bedwright = |arguments: &[&str]| {
            let mut command = Command::new(env!("CARGO_BIN_EXE_bedwright"));
            command.arg("--data").arg(&log).args(arguments);
            command
        };
        let sizes = ["--length", "55", "--width", "36", "--depth", "28"];
        let held = ["--filled", "30 L coir_pith", "--worms-grams", "250"];
        let when = ["--when", "30 days ago"];
        let made = bedwright(&["add-bin", "box"])
            .args(sizes)
            .args(held)
            .args(when)
            .output();
        assert!(made.unwrap().status.success());
        let mut child = Command::new("sh")
            .args(["-c", &format!("ulimit -n {FILES} && exec \"$0\" \"$@\"")])
            .args([env!("CARGO_BIN_EXE_bedwright"), "--data"])
            .arg(&log)
            .args(["serve", "--port", "0"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut first = String::new();
        let mut said = BufReader::new(child.stdout.take().unwrap());
        said.read_line(&mut first).unwrap();
        let (_, address) = first.trim().split_once("http://").unwrap();
        Self {
            child,
            address: address.trim_end_matches('/').to_owned(),
            _said: said,
            folder,
        }
    }

    fn connect(&self) -> TcpStream {
        let socket = TcpStream::connect(&self.address).unwrap();
        socket
            .set_read_timeout(Some(Duration::from_secs(60)))
            .unwrap();
        socket
    }

    /// A connection on which so much was sent.
    fn sent(&self, text: &str) -> TcpStream {
        let mut socket = self.connect();
        socket.write_all(text.as_bytes()).unwrap();
        socket
    }

    fn get(&self, path: &str, rest: &str) -> String {
        format!(
            "GET {path} HTTP/1.1\r\nHost: {}\r\n{rest}\r\n",
            self.address
        )
    }

    /// The answer to one request, whole.
    fn answer(&self, path: &str) -> String {
        all(&mut self.sent(&self.get(path, "Connection: close\r\n")))
    }

    /// Seconds the processor has worked for the server.
    fn worked(&self) -> f64 {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.id())).unwrap();
        let (_, after) = stat.rsplit_once(')').unwrap();
        let fields: Vec<&str> = after.split_whitespace().collect();
        let ticks: f64 = [11, 12]
            .map(|i: usize| fields[i].parse::<f64>().unwrap())
            .iter()
            .sum();
        ticks / 100.0
    }

    /// Most memory it ever held [MB].
    fn most_memory(&self) -> f64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap();
        let line = status.lines().find(|l| l.starts_with("VmHWM")).unwrap();
        let kb: f64 = line.split_whitespace().nth(1).unwrap().parse().unwrap();
        kb / 1024.0
    }

    /// Sends a signal and says how long the server lived on.
    fn stop(mut self, signal: &str) -> (Duration, tempfile::TempDir) {
        let begun = Instant::now();
        let id = self.child.id().to_string();
        let told = Command::new("kill").args([signal, &id]).status().unwrap();
        assert!(told.success());
        while self.child.try_wait().unwrap().is_none() {
            assert!(begun.elapsed() < Duration::from_secs(60), "it lives on");
            std::thread::sleep(Duration::from_millis(10));
        }
        let folder = std::mem::replace(&mut self.folder, tempfile::tempdir().unwrap());
        (begun.elapsed(), folder)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may have ended on its own.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// All that comes until the other side hangs up.
fn all(socket: &mut TcpStream) -> String {
    let mut bytes = Vec::new();
    match socket.read_to_end(&mut bytes) {
        Ok(_) => {}
        Err(e) if e.kind() == ErrorKind::ConnectionReset => {}
        Err(e) => panic!("not hung up on: {e}"),
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

#[test]
fn connections_that_ask_nothing_are_hung_up_on() {
    let server = Server::start();
    std::thread::scope(|at_once| {
        at_once.spawn(|| all(&mut server.connect()));
        at_once.spawn(|| all(&mut server.sent("GET / HTTP/1.1\r\nHost: loc")));
        at_once.spawn(|| {
            let kept = all(&mut server.sent(&server.get("/settings", "")));
            assert!(kept.starts_with("HTTP/1.1 200"), "{kept}");
        });
        at_once.spawn(|| {
            // A form a letter at a time.
            let head = format!(
                "POST /bins/1/log HTTP/1.1\r\nHost: {}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 1000\r\n\r\n",
                server.address
            );
            let mut socket = server.sent(&head);
            socket.write_all(b"kind=note&text=typed+slowly").unwrap();
            let begun = Instant::now();
            socket.set_read_timeout(Some(Duration::from_millis(500))).unwrap();
            let mut heard = [0; 16 * 1024];
            let n = loop {
                assert!(begun.elapsed() < Duration::from_secs(50), "it is waited for");
                // What cannot be sent any more shows when it is read.
                let _ = socket.write_all(b"a");
                match socket.read(&mut heard) {
                    Err(e) if matches!(e.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => {}
                    n => break n.unwrap(),
                }
            };
            let heard = String::from_utf8_lossy(&heard[..n]);
            assert!(heard.starts_with("HTTP/1.1 408"), "{heard}");
            assert!(heard.contains("typed slowly"), "{heard}");
        });
    });
}

#[test]
fn many_half_open_connections_do_not_stop_a_good_request() {
    let server = Server::start();
    let half: Vec<TcpStream> = (0..500)
        .map(|_| server.sent("POST /bins/1/log HTTP/1.1\r\nHost: "))
        .collect();
    let begun = Instant::now();
    for _ in 0..20 {
        assert!(server.answer("/settings").starts_with("HTTP/1.1 200"));
    }
    assert!(begun.elapsed() < Duration::from_secs(20));
    drop(half);
}

#[test]
fn many_slow_forms_do_not_stop_a_good_request() {
    let server = Server::start();
    let head = format!(
        "POST /bins/1/log HTTP/1.1\r\nHost: {}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 1000\r\n\r\nkind=note&text=slow",
        server.address
    );
    let slow: Vec<TcpStream> = (0..230).map(|_| server.sent(&head)).collect();
    let begun = Instant::now();
    for _ in 0..20 {
        assert!(server.answer("/settings").starts_with("HTTP/1.1 200"));
    }
    // Before any of them is given up for being slow.
    assert!(begun.elapsed() < Duration::from_secs(20));
    drop(slow);
}

#[test]
fn one_signal_ends_it_whatever_is_open() {
    for signal in ["-INT", "-TERM"] {
        // A busy machine is given a second go, not more time.
        let first = ended_by(signal);
        assert!(
            first.is_ok() || ended_by(signal).is_ok(),
            "{signal}: {first:?}"
        );
    }
}

/// Ends a server with all sorts of things open; an error is how much longer
/// than promised it lived. A second is promised, and what it takes to start
/// the same program and hear that it ended is not its own.
fn ended_by(signal: &str) -> Result<(), (Duration, Duration)> {
    let server = Server::start();
    let mut open = vec![server.connect(), server.sent("GET / HTT")];
    let mut kept = server.sent(&server.get("/settings", ""));
    assert!(kept.read(&mut [0; 64]).unwrap() > 0);
    open.push(kept);
    open.push(server.sent(&server.get("/bins/1/outlook?days=365", "")));
    let body = "kind=note&text=kept";
    let form = format!(
        "POST /bins/1/log HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
        server.address,
        body.len()
    );
    assert!(all(&mut server.sent(&form)).starts_with("HTTP/1.1 303"));
    let (took, folder) = server.stop(signal);
    let begun = Instant::now();
    let version = Command::new(env!("CARGO_BIN_EXE_bedwright"))
        .arg("--version")
        .output();
    assert!(version.unwrap().status.success());
    let slack = begun.elapsed();
    let bin = Command::new(env!("CARGO_BIN_EXE_bedwright"))
        .arg("--data")
        .arg(folder.path().join("log.db"))
        .args(["bin", "1"])
        .output();
    let said = String::from_utf8(bin.unwrap().stdout).unwrap();
    assert!(said.contains("kept"), "{said}");
    drop(open);
    if took < Duration::from_secs(1) + slack {
        Ok(())
    } else {
        Err((took, slack))
    }
}

#[test]
fn answers_nobody_waits_for_are_given_up() {
    let server = Server::start();
    // Once, so that what every answer begins with is known.
    assert!(server.answer("/bins/1/outlook?days=14").contains("200 OK"));
    for page in [
        "outlook?days=365",
        "outlook?days=365&feed=2",
        "away?from=2&to=30",
    ] {
        let gone: Vec<TcpStream> = (0..200)
            .map(|_| server.sent(&server.get(&format!("/bins/1/{page}"), "")))
            .collect();
        std::thread::sleep(Duration::from_millis(200));
        drop(gone);
        std::thread::sleep(Duration::from_secs(2));
        let before = server.worked();
        std::thread::sleep(Duration::from_secs(1));
        let worked = server.worked() - before;
        assert!(worked < 0.3, "{page}: worked on for {worked} s of one");
    }
    assert!(server.most_memory() < 400.0, "{} MB", server.most_memory());
    assert!(server.answer("/bins/1").starts_with("HTTP/1.1 200"));
}
