//! More than one process, and processes that die. The writers are this test
//! program run again with `WRITER` set: see [`writer`].

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use engine::log::{BinDescription, BinId, Body, Entry, EntryId, Lid, Walls};
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use store::{New, Store};

const NOW: i64 = 1_760_000_000;

/// Rounds of writing, each ended by killing the writer.
const ROUNDS: u64 = 200;
/// Latest moment of the kill [microseconds] after start, or after the log is open.
const LATEST_KILL: u64 = 40_000;

/// A small seeded generator (Marsaglia 2003, xorshift): same kills each run,
/// as far as the machine's own timing allows.
struct Seeded(u64);

impl Seeded {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % limit
    }
}

/// FNV-1a over everything an entry says.
fn checksum(entry: &Entry) -> u64 {
    let text = serde_json::to_string(entry).unwrap();
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |sum, byte| {
        (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

fn new(bin: BinId, text: String) -> New {
    New::at(NOW, "UTC", Body::Note { text: text.into() }).about(bin)
}

fn bin(name: String) -> BinDescription {
    BinDescription {
        name,
        length_cm: 60.0,
        width_cm: 40.0,
        depth_cm: 30.0,
        bedding_depth_cm: None,
        walls: Walls::default(),
        lid: Lid::default(),
        drains: false,
        place: String::new(),
        retired: false,
    }
}

/// Tell the parent that an entry is acknowledged: what was asked for, under the
/// number that came back.
fn acknowledge(id: EntryId, asked: New) {
    let entry = Entry {
        id,
        bin: asked.bin,
        at_unix_seconds: asked.at_unix_seconds,
        zone: asked.zone,
        written_unix_seconds: asked.written_unix_seconds,
        body: asked.body,
    };
    let line = format!("ack {} {}\n", id.0, checksum(&entry));
    std::io::stdout().write_all(line.as_bytes()).unwrap();
    std::io::stdout().flush().unwrap();
}

/// Not a test of its own: the body of the writing processes. Run as part of the
/// suite, without `WRITER`, it has nothing to do.
#[test]
fn writer() {
    let Ok(path) = std::env::var("WRITER") else {
        return;
    };
    let tag = std::env::var("WRITER_TAG").unwrap();
    let most: u64 = std::env::var("WRITER_MOST").unwrap().parse().unwrap();
    let mut random = Seeded(tag.bytes().fold(88_172_645_463_325_252, |s, b| {
        s.rotate_left(8) ^ u64::from(b)
    }));
    let mut store = Store::open(Path::new(&path)).unwrap();
    println!("\nready");
    let home = match store.bins().unwrap().first() {
        Some(bin) => bin.id,
        None => {
            store
                .create_bin(bin("Home".into()), NOW, "UTC", NOW)
                .unwrap()
                .0
        }
    };
    for turn in 0..most {
        let size = [1, 1, 2, 7, 16][random.below(5) as usize];
        let long = random.below(300) as usize;
        let text = |part| format!("{tag}.{turn} {part}/{size} {}", "é".repeat(long));
        let group: Vec<New> = (1..=size).map(|part| new(home, text(part))).collect();
        if size == 1 {
            let id = store.append(group[0].clone()).unwrap();
            acknowledge(id, group[0].clone());
        } else {
            let ids = store.append_all(group.clone()).unwrap();
            ids.into_iter()
                .zip(group)
                .for_each(|(id, asked)| acknowledge(id, asked));
        }
        if random.below(16) == 0 {
            make_bin(&mut store, format!("{tag}.{turn}"));
        }
    }
}

/// A bin with two first entries: a group of another sort.
fn make_bin(store: &mut Store, name: String) {
    let note = |part| Body::Note {
        text: format!("{name} bin {part}/2 ").into(),
    };
    let first = vec![note(1), note(2)];
    let (id, ids) = store
        .create_bin_with(bin(name.clone()), NOW, "UTC", NOW, first.clone())
        .unwrap();
    for (entry, body) in ids
        .into_iter()
        .zip(std::iter::once(Body::Bin(bin(name))).chain(first))
    {
        let mut asked = new(id, String::new());
        asked.body = body;
        acknowledge(entry, asked);
    }
}

fn start(path: &Path, tag: &str, most: u64) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "writer", "--nocapture", "--test-threads=1"])
        .env("WRITER", path)
        .env("WRITER_TAG", tag)
        .env("WRITER_MOST", most.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

/// The acknowledgements in what a writer printed. A line cut off by the kill
/// does not count.
fn acknowledged(printed: &str) -> Vec<(EntryId, u64)> {
    let whole = printed
        .split_inclusive('\n')
        .filter(|line| line.ends_with('\n'));
    let words = whole.filter_map(|line| line.trim_end().strip_prefix("ack ")?.split_once(' '));
    words
        .map(|(id, sum)| (EntryId(id.parse().unwrap()), sum.parse().unwrap()))
        .collect()
}

/// Every acknowledged entry is there as asked for, and every group is whole.
fn verify(store: &Store, acks: &BTreeMap<EntryId, u64>) -> usize {
    store.check().unwrap();
    let all = store.all_entries().unwrap();
    let sums: BTreeMap<EntryId, u64> = all.iter().map(|e| (e.id, checksum(e))).collect();
    for (id, sum) in acks {
        assert_eq!(sums.get(id), Some(sum), "entry {} was acknowledged", id.0);
    }
    let mut groups: BTreeMap<String, (usize, Vec<usize>)> = BTreeMap::new();
    for entry in &all {
        let Body::Note { text } = &entry.body else {
            continue;
        };
        let (group, rest) = text.rsplit_once('/').unwrap();
        let (tag, part) = group.rsplit_once(' ').unwrap();
        let size = rest.split(' ').next().unwrap().parse().unwrap();
        let found = groups.entry(tag.to_owned()).or_insert((size, Vec::new()));
        found.1.push(part.parse().unwrap());
    }
    for (tag, (size, parts)) in groups {
        assert_eq!(
            parts,
            (1..=size).collect::<Vec<_>>(),
            "group {tag} is half there"
        );
    }
    all.len()
}

/// Start a writer, kill it after a while (counted from its start, or from when
/// it has opened the log), and give what it printed.
fn one_round(path: &Path, tag: &str, wait: Duration, from_ready: bool) -> String {
    let mut child = start(path, tag, u64::MAX);
    let mut output = BufReader::new(child.stdout.take().unwrap());
    let mut printed = String::new();
    while from_ready && !printed.ends_with("ready\n") {
        let got = output.read_line(&mut printed).unwrap();
        assert!(
            got > 0,
            "the writer ended by itself: {printed}{}",
            complaint(&mut child)
        );
    }
    std::thread::sleep(wait);
    child.kill().unwrap();
    let ended = child.wait().unwrap();
    assert_eq!(
        ended.code(),
        None,
        "the writer ended by itself: {}",
        complaint(&mut child)
    );
    output.read_to_string(&mut printed).unwrap();
    printed
}

fn complaint(child: &mut Child) -> String {
    let mut text = String::new();
    child
        .stderr
        .take()
        .unwrap()
        .read_to_string(&mut text)
        .unwrap();
    text
}

#[test]
fn two_hundred_kills_lose_nothing_acknowledged() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut random = Seeded(0x5eed_0001);
    let mut acks = BTreeMap::new();
    let mut rounds_that_wrote = 0;
    let mut unacknowledged = 0;
    for round in 0..ROUNDS {
        let wait = Duration::from_micros(random.below(LATEST_KILL));
        let printed = one_round(&path, &format!("r{round}"), wait, round % 2 == 0);
        let got = acknowledged(&printed);
        rounds_that_wrote += u64::from(!got.is_empty());
        acks.extend(got);
        let store = Store::open(&path).unwrap();
        let there = verify(&store, &acks);
        unacknowledged = there - acks.len();
    }
    println!(
        "{ROUNDS} kills, {rounds_that_wrote} rounds with acknowledged entries, {} acknowledged, {unacknowledged} there unacknowledged",
        acks.len()
    );
    // The kills must have fallen among writes, or nothing was tried.
    assert!(
        rounds_that_wrote >= ROUNDS / 10,
        "only {rounds_that_wrote} rounds wrote"
    );
}

#[test]
fn a_kill_while_the_file_is_made_leaves_a_file_that_opens() {
    let dir = tempfile::tempdir().unwrap();
    let mut random = Seeded(0x5eed_0002);
    for round in 0..40 {
        let path = dir.path().join(format!("{round}/log.db"));
        let wait = Duration::from_micros(random.below(12_000));
        let printed = one_round(&path, &format!("m{round}"), wait, false);
        let acks = acknowledged(&printed).into_iter().collect();
        verify(&Store::open(&path).unwrap(), &acks);
    }
}

#[test]
fn processes_writing_at_once_all_succeed() {
    const TURNS: u64 = 60;
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    // Both make the file, too; a third connection is held open meanwhile.
    let children = ["one", "two"].map(|tag| start(&path, tag, TURNS));
    let open = Store::open(&path).unwrap();
    let mut acks = BTreeMap::new();
    let mut count = 0;
    for child in children {
        let output = child.wait_with_output().unwrap();
        let printed = String::from_utf8(output.stdout).unwrap();
        assert!(
            output.status.success(),
            "{printed}{}",
            String::from_utf8_lossy(&output.stderr)
        );
        let got = acknowledged(&printed);
        assert!(got.len() as u64 >= TURNS);
        count += got.len();
        acks.extend(got);
    }
    assert_eq!(acks.len(), count, "no number was given twice");
    // Beyond what was acknowledged there are only the writers' home bins.
    let homes = open
        .bins()
        .unwrap()
        .iter()
        .filter(|b| b.description.name == "Home")
        .count();
    assert!((1..=2).contains(&homes));
    assert_eq!(verify(&open, &acks), count + homes);
}
