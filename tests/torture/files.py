"""Attacks through files: targets that are the log itself, links, devices and
folders; a full disk; a backup whose triggers lie; bytes that have flipped."""

import json
import os
import random
import resource
import shutil
import signal
import sqlite3
import stat
import subprocess
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import house as h
from lives import BIN


def shelf(house, name, notes=12):
    """A log with some notes, with no journal beside it."""
    folder = house.room(name)
    log = folder / "log.db"
    house.must(log, "add-bin", "Home", *BIN)
    for n in range(notes):
        house.must(log, "log", 1, "note", f"note {n} " + "words " * (n % 7))
    return folder, log


def exported(house, log):
    """The log's lines as exported, by number."""
    done = house.run(log, "export", "-")
    lines = {}
    for line in done.out.splitlines():
        try:
            lines[json.loads(line)["id"]] = line
        except (ValueError, KeyError, TypeError):
            lines[f"unreadable {len(lines)}"] = line
    return done.code, lines


# Targets that are not a place for a file.


def hard_link(folder, log):
    os.link(log, folder / "hard.db")
    return folder / "hard.db"


def soft_link(folder, log):
    (folder / "soft.db").symlink_to(log)
    return folder / "soft.db"


def link_to_link(folder, log):
    (folder / "a").symlink_to(log.name)
    (folder / "b").symlink_to("a")
    return folder / "b"


def by_another_way(folder, log):
    (folder / "there").symlink_to(folder)
    return folder / "there" / ".." / folder.name / log.name


def the_journal(folder, log):
    db = sqlite3.connect(log)
    db.execute("PRAGMA journal_mode = wal")
    db.close()
    return folder / "log.db-wal"


def pipe(folder, log):
    os.mkfifo(folder / "pipe")
    return folder / "pipe"


def a_folder(folder, log):
    (folder / "kept").mkdir()
    (folder / "kept" / "file").write_text("kept")
    return folder / "kept"


def link_to_device(folder, log):
    (folder / "null").symlink_to("/dev/null")
    return folder / "null"


def link_to_nothing(folder, log):
    (folder / "loose").symlink_to(folder / "not-there" / "file")
    return folder / "loose"


def itself(folder, log):
    return log


def nothing_there(folder, log):
    return folder / "no" / "such" / "folder" / "file"


TARGETS = (
    itself, hard_link, soft_link, link_to_link, by_another_way, the_journal, pipe, a_folder,
    link_to_device, link_to_nothing, nothing_there,
)


def look(path):
    """What stands at a path, without going through links."""
    try:
        there = path.lstat()
    except OSError:
        return None
    link = os.readlink(path) if stat.S_ISLNK(there.st_mode) else ""
    return stat.S_IFMT(there.st_mode), there.st_ino, link


def targets(house, target):
    """Every file the program writes, sent to a place that is no place for it."""
    attack = "a file written where it must not be"
    commands = [["backup"], ["export"], ["export", "--csv"]]
    commands += [[*words, "--replace"] for words in commands]
    commands += [["rescue"]] * house.knows("rescue")
    for words in commands:
        folder, log = shelf(house, "target", 3)
        said = f"{' '.join(words)} to {target.__name__}"
        _, before = exported(house, log)
        path = target(folder, log)
        stood = look(path)
        source = [str(log)] if words == ["rescue"] else []
        house.figures.add(attack, tries=1)
        try:
            done = house.run(log, words[0], *source, path, *words[1:], wait=20)
            told(house, attack, said, done, path)
        except h.Wrong as wrong:
            house.figures.fault(attack, "wrong", f"{said}: {wrong}")
        if exported(house, log) != (0, before):
            house.figures.fault(attack, "lost", f"{said}: entries of the log")
        if look(path) != stood:
            house.figures.fault(attack, "lost", f"{said}: what stood there")
        shutil.rmtree(folder)


def told(house, attack, said, done, path):
    """It was refused, in one line of at most 300 characters beside the path."""
    line = done.err.strip()
    if done.code == 0:
        house.figures.fault(attack, "wrong", f"{said} was done: {done.out[:80]}")
    elif "\n" in line or not 0 < len(line) <= 300 + len(str(path)):
        house.figures.fault(attack, "wrong", f"{said} says: {line[:400]}")


def damaged_over_good(house):
    """A backup, an export and a restore from a damaged log leave what was there."""
    attack = "a damaged log over a good file"
    for words in (["backup"], ["export"], ["export", "--csv"]):
        folder, log = shelf(house, "damaged", 60)
        target = folder / "kept"
        house.must(log, *words, target)
        kept = target.read_bytes()
        whole = bytearray(log.read_bytes())
        middle = len(whole) // 2
        whole[middle:middle + 3000] = b"\x5a" * 3000
        log.write_bytes(whole)
        done = house.run(log, *words, target, "--replace")
        house.figures.add(attack, tries=1)
        if done.code == 0:
            house.figures.fault(attack, "wrong", f"{words[0]} of a damaged log: {done.out[:80]}")
        if target.read_bytes() != kept:
            house.figures.fault(attack, "lost", f"a good {words[0]}")
        good, own = folder / "good.db", folder / "own.db"
        house.must(good, "add-bin", "Good", *BIN)
        before = good.read_bytes()
        shutil.copyfile(log, own)
        done = house.run(good, "restore", own)
        if done.code == 0 or good.read_bytes() != before:
            house.figures.fault(attack, "lost", "a good log, by restoring a damaged one")
        shutil.rmtree(folder)


LIES = (
    "CREATE TRIGGER swallow BEFORE INSERT ON entry BEGIN SELECT raise(IGNORE); END",
    "CREATE TRIGGER twist AFTER INSERT ON entry BEGIN "
    "INSERT INTO aside VALUES (new.id); END",
    "CREATE VIEW aside_view AS SELECT * FROM entry",
    "CREATE INDEX odd ON entry (zone)",
    "DROP TRIGGER entry_no_update",
    "ALTER TABLE entry ADD COLUMN extra TEXT",
)


def lies(house):
    """A log whose schema was changed by another hand is not taken."""
    attack = "a backup with a changed schema"
    for sql in LIES:
        folder, log = shelf(house, "lies", 3)
        saved = folder / "saved.db"
        house.must(log, "backup", saved)
        db = sqlite3.connect(saved)
        if "aside VALUES" in sql:
            db.execute("CREATE TABLE aside (id)")
        if "entry_no_update" in sql:
            names = db.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall()
            sql = f'DROP TRIGGER "{names[0][0]}"'
        db.execute(sql)
        db.commit()
        db.close()
        before = h.read(log)
        done = house.run(log, "restore", saved)
        house.figures.add(attack, tries=1)
        if done.code == 0:
            house.figures.fault(attack, "wrong", f"restored: {sql[:60]}")
        if h.read(log) != before:
            house.figures.fault(attack, "lost", f"the log, by a restore: {sql[:60]}")
        done = house.run(saved, "log", 1, "note", "to a changed log", "--json")
        if done.code == 0 and not any("to a changed log" in b for _, b in h.read(saved).values()):
            house.figures.fault(attack, "lost", f"acknowledged: {sql[:60]}")
        shutil.rmtree(folder)


# A full disk.


ON_A_FULL_DISK = (
    ("log", "1", "note", "on a full disk", "--json"),
    ("backup", "kept.db", "--replace"),
    ("export", "kept.jsonl", "--replace"),
    ("restore", "kept.db"),
    ("import", "lines.jsonl"),
)


def every_call_full(house, seed, step, words):
    """The disk is full from the Nth call of a command on, for every `step`th N."""
    attack = "disk full from some call on"
    folder, log = shelf(house, "full", 4)
    house.must(log, "backup", folder / "kept.db")
    house.must(log, "export", folder / "kept.jsonl")
    more = folder / "more.db"
    house.must(log, "backup", more)
    house.must(more, "log", 1, "note", "one more")
    house.must(more, "export", folder / "lines.jsonl")
    place = [str(folder / w) if "kept" in w or "lines" in w else w for w in words]
    whole = house.folder / f"whole-{words[0]}"
    shutil.copytree(folder, whole)
    calls, _ = house.calls(f"full {words[0]}", whole / "log.db",
                           *[w.replace(str(folder), str(whole)) for w in place])
    shutil.rmtree(whole)
    for at in range(1 + seed % step, calls + 1, step):
        one_full(house, attack, folder, log, place, at)
    shutil.rmtree(folder)


def one_full(house, attack, folder, log, words, at):
    names = {p.name for p in folder.iterdir()}
    kept = {name: (folder / name).read_bytes() for name in ("kept.db", "kept.jsonl")}
    before = h.read(log)
    done = house.run(log, *words, at=at, how="full")
    house.figures.add(attack, tries=1, acknowledged=int(done.code == 0))
    after = h.read(log)
    # A restore that fails at its very end has put the new log in place; then
    # the old one stands whole beside it.
    beside = [p for p in folder.glob("log.db.replaced*") if h.read(p) == before]
    missing = [n for n, row in before.items() if after.get(n, ("", ""))[1] != row[1]]
    if missing and not (words[0] == "restore" and beside):
        house.figures.fault(attack, "lost", f"{words[0]} at call {at}: entries {missing}")
    if words[0] == "log" and done.code == 0 and len(after) != len(before) + 1:
        house.figures.fault(attack, "lost", f"the note acknowledged at call {at}")
    for name, content in kept.items():
        new = (folder / name).read_bytes()
        if done.code and new != content:
            house.figures.fault(attack, "lost", f"{name} after {words[0]} failed at call {at}")
    litter = {p.name for p in folder.iterdir()} - names - {p.name for p in h.ends(log)}
    litter -= {p.name for p in beside}
    if done.code and litter:
        house.figures.fault(attack, "wrong", f"{words[0]} at call {at} leaves {sorted(litter)}")
    if done.code and not done.err.strip():
        house.figures.fault(attack, "wrong", f"{words[0]} at call {at} fails without a word")
    house.must(log, "check")
    for path in [folder / name for name in litter] + beside:
        path.unlink(missing_ok=True)


def small(limit):
    """Files may grow to so many bytes."""
    def before():
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    return before


def limited(house):
    """No file may grow over a limit, the limit rising."""
    attack = "files limited in size"
    folder, log = shelf(house, "limit", 4)
    for limit in range(1024, 72 * 1024, 4096):
        before = h.read(log)
        text = f"under {limit}"
        done = house.run(log, "log", 1, "note", text, before=small(limit))
        house.figures.add(attack, tries=1, acknowledged=int(done.code == 0))
        after = h.read(log)
        kept = all(after.get(n) == row for n, row in before.items())
        if not kept or (done.code == 0 and not any(text in b for _, b in after.values())):
            house.figures.fault(attack, "lost", f"with a limit of {limit}")
        house.must(log, "check")
    shutil.rmtree(folder)


def small_disk(house):
    """A real small disk, where one can be mounted; filled to the brim."""
    attack = "a disk of 400 kB, filled"
    folder = house.room("disk")
    mount = ["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", str(folder)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        print("torture: no small disk can be mounted here; full disks are tried by failing calls")
        return
    try:
        log, acks = folder / "log.db", []
        house.must(log, "add-bin", "Home", *BIN)
        house.must(log, "backup", folder / "saved.db")
        refused = 0
        for n in range(400):
            text = f"note {n} " + "x" * 1500
            done = house.run(log, "log", 1, "note", text)
            if done.code == 0:
                acks.append(text)
            refused += done.code != 0
            if done.code and "no room" not in done.err:
                house.figures.fault(attack, "wrong", f"refused with: {done.err[:150]}")
            if refused > 5:
                break
        saved = (folder / "saved.db").read_bytes()
        for words in (["backup", folder / "saved.db", "--replace"], ["export", folder / "log.csv"]):
            if house.run(log, *words).code == 0:
                house.figures.fault(attack, "wrong", f"{words[0]} on a full disk was done")
        if (folder / "saved.db").read_bytes() != saved:
            house.figures.fault(attack, "lost", "the backup that was there")
        bodies = " ".join(body for _, body in h.read(log).values())
        lost = sum(f'"{text}"' not in bodies for text in acks)
        house.figures.add(attack, tries=400, acknowledged=len(acks), lost=lost)
        house.must(log, "check")
    finally:
        subprocess.run(["umount", str(folder)], check=False)


# Flipped bytes.


def held_open(house, step, words):
    """A restore or a backup over a log, held open before each call that changes
    files, and an entry written to that log meanwhile: one that is acknowledged
    is in the log, or in what was kept of it."""
    attack = f"{words[0]}, held open while others write"
    whole, log = shelf(house, "held")
    saved = whole / "saved.db"
    house.must(log, "backup", saved)
    calls, _ = house.calls(f"held {words[0]}", log, *(w or saved for w in words))
    for at in range(1, calls + 1, step):
        folder, log = shelf(house, "held", 2)
        saved = folder / "saved.db"
        house.must(log, "backup", saved)
        with ThreadPoolExecutor(1) as other:
            going = other.submit(house.run, log, *(w or saved for w in words),
                                 at=at, how="hold")
            time.sleep(0.25)
            done = house.run(log, "log", 1, "note", "between")
            end = going.result()
        house.figures.add(attack, tries=1, acknowledged=int(not done.code))
        if end.code not in (0, 1, 2):
            house.figures.fault(attack, "wrong", f"call {at}: {end.code} {end.err[:200]}")
        logs = [log, *(p for p in folder.glob("*.replaced*") if h.is_log(p))]
        kept = any(h.note("between") == body for p in logs for _, body in h.read(p).values())
        if not done.code and not kept:
            house.figures.fault(attack, "lost", f"call {at}: acknowledged, in no file")
        shutil.rmtree(folder)


HELD = (("restore", None),)


def stray_journal(house, before, more):
    """An older copy put in the place of a log whose last entries stand in its
    journal only, or a log in the place of a copy half written to: neither is read
    with the journal, and neither is changed."""
    folder, log = shelf(house, "stray", before)
    older = folder / "older.db"
    house.must(log, "backup", older)
    text = "".join(f"more {n} " for n in range(40))
    for n in range(more):
        house.must(log, "log", 1, "note", f"{n} {text}")
    house.must(log, "backup", folder / "newer.db")
    reader = sqlite3.connect(log)
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM entry").fetchone()
    for n in range(3):
        house.must(log, "log", 1, "note", f"last {n}")
    journal = Path(f"{log}-wal").read_bytes()
    reader.close()
    copy = older.read_bytes()
    writer = sqlite3.connect(older, isolation_level=None)
    writer.executescript("PRAGMA cache_size = 1; BEGIN; CREATE TABLE more (text);"
                         "INSERT INTO more VALUES (hex(zeroblob(50000)))")
    takes_back = Path(f"{older}-journal").read_bytes()
    writer.close()
    newer = (folder / "newer.db").read_bytes()
    for file, end, beside in ((copy, "-wal", journal), (newer, "-journal", takes_back)):
        attack = f"a {end} beside another log"
        for name in h.ends(log):
            name.unlink(missing_ok=True)
        log.write_bytes(file)
        Path(f"{log}{end}").write_bytes(beside)
        house.figures.add(attack, tries=1)
        for words in (["check"], ["log", 1, "note", "on"], ["bins"]):
            done = house.run(log, *words)
            if not done.code:
                house.figures.fault(attack, "wrong", f"{before}+{more}: {words[0]} went on")
        if log.read_bytes() != file or Path(f"{log}{end}").read_bytes() != beside:
            house.figures.fault(attack, "torn", f"{before}+{more}: one was changed")
    shutil.rmtree(folder)


STRAY = ((20, 100), (60, 40), (60, 5))


def flips(house, seed, step):
    """Every `step`th byte of a log changed, one at a time, and some in groups:
    what is shown is right, `check` names the rest, rescue gets it."""
    attack = "a flipped byte"
    chance = random.Random(seed)
    folder, log = shelf(house, "flip", 30)
    whole = log.read_bytes()
    _, good = exported(house, log)
    for at in range(seed % step, len(whole), step):
        changed = bytearray(whole)
        changed[at] ^= 1 << chance.randrange(8)
        one_flip(house, attack, folder / "flipped.db", bytes(changed), good, f"byte {at}")
    attack = "a page of noise"
    for _ in range(max(4, 200 // step)):
        changed = bytearray(whole)
        at, size = chance.randrange(len(whole)), chance.choice((64, 512, 4096))
        changed[at:at + size] = chance.randbytes(len(changed[at:at + size]))
        one_flip(house, attack, folder / "flipped.db", bytes(changed), good, f"{size} at {at}")
    attack = "a log cut short"
    for _ in range(max(4, 100 // step)):
        size = chance.randrange(len(whole))
        one_flip(house, attack, folder / "flipped.db", whole[:size], good, f"at {size}")
    shutil.rmtree(folder)


def one_flip(house, attack, path, content, good, said):
    for one in path.parent.glob(f"{path.name}*"):
        one.unlink()
    path.write_bytes(content)
    code, lines = exported(house, path)
    checked = house.run(path, "check", "--json")
    house.figures.add(attack, tries=1)
    wrong = [n for n, line in lines.items() if good.get(n) != line]
    missing = [n for n in good if n not in lines]
    if wrong:
        house.figures.fault(attack, "wrong", f"{said}: shown as right: {lines[wrong[0]][:120]}")
    if missing and checked.code == 0 and checked.json().get("sound", True):
        house.figures.fault(attack, "lost", f"{said}: check says sound, {len(missing)} missing")
    for words in (["bins", "--json"], ["bin", 1, "--json"], ["today"]):
        done = house.run(path, *words)
        if done.code not in (0, 1, 2):
            house.figures.fault(attack, "wrong", f"{said}: {words[0]} ends with {done.code}")
        if done.code and not done.err.strip():
            house.figures.fault(attack, "wrong", f"{said}: {words[0]} fails without a word")
    if (missing or code or checked.code) and house.knows("rescue"):
        rescued(house, attack, path, content, good, said)


def rescued(house, attack, path, content, good, said):
    """What can be read is saved; the damaged file stays as it is."""
    target = path.with_name(path.name + ".rescued")
    done = house.run(path, "rescue", path, target, "--json")
    if path.read_bytes() != content:
        house.figures.fault(attack, "wrong", f"{said}: rescue changed the damaged file")
    if done.code:
        if len(content) > 8192 and "noise" not in attack and "short" not in attack:
            house.figures.fault(attack, "lost", f"{said}: rescue got nothing: {done.err[:160]}")
        return
    _, lines = exported(house, target)
    # The note at the end takes the next number, perhaps that of a lost entry.
    told = '"text":"Saved from a damaged log'
    wrong = [n for n, line in lines.items() if good.get(n, line) != line and told not in line]
    if wrong:
        house.figures.fault(attack, "wrong", f"{said}: rescued wrong: {lines[wrong[0]][:120]}")
    got = sum(good.get(n) == line for n, line in lines.items())
    if attack == "a flipped byte" and got < len(good) // 2:
        house.figures.fault(attack, "lost", f"{said}: rescue got {got} of {len(good)}")
    house.must(target, "check")
