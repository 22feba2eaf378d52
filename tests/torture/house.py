"""What every attack works with: the program under attack, a log seen from
outside, and the figures that come of it.

A log is read here with Python's own SQLite, from a copy, so that the program
under attack is never its own witness and looking changes nothing."""

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import tempfile
import threading
import time
from pathlib import Path

SQLITE = b"SQLite format 3\0"


class Wrong(Exception):
    """Something that must hold did not."""


class Figures:
    """One row a kind of attack: tries, acknowledged, lost, torn, otherwise wrong."""

    KEYS = ("tries", "cut", "acknowledged", "lost", "torn", "wrong")

    def __init__(self):
        self.rows = {}
        self.faults = {}
        self._turn = threading.Lock()

    def add(self, attack, **counts):
        with self._turn:
            row = self.rows.setdefault(attack, dict.fromkeys(self.KEYS, 0))
            for key, count in counts.items():
                row[key] += count

    def fault(self, attack, sort, text):
        self.add(attack, **{sort: 1})
        with self._turn:
            self.faults.setdefault(attack, []).append(f"{attack}: {sort}: {text.strip()}")

    def total(self, key):
        return sum(row[key] for row in self.rows.values())

    def table(self):
        lines = [
            "| attack | " + " | ".join(self.KEYS) + " |",
            "|---|" + "--:|" * len(self.KEYS),
        ]
        for attack, row in self.rows.items():
            cells = " | ".join(f"{row[key]:,}" for key in self.KEYS)
            lines.append(f"| {attack} | {cells} |")
        cells = " | ".join(f"{self.total(key):,}" for key in self.KEYS)
        lines.append(f"| all | {cells} |")
        return "\n".join(lines)


class Done:
    """How a run of the program ended."""

    def __init__(self, code, out, err):
        self.code, self.out, self.err = code, out, err

    @property
    def answered(self):
        """The whole reply came out: what it says is acknowledged."""
        return self.code in (0, -signal.SIGKILL) and self.out.endswith("\n")

    def json(self):
        return json.loads(self.out)


class House:
    """The program under attack, and where it is attacked."""

    def __init__(self, binary, figures, folder=None):
        self.binary = str(Path(binary).resolve())
        self.figures = figures
        self.folder = Path(tempfile.mkdtemp(prefix="torture-", dir=folder))
        self.cutter = self._build_cutter()
        self._known = {}
        self._turn = threading.Lock()

    def _build_cutter(self):
        made = self.folder / "cut.so"
        source = Path(__file__).with_name("cut.c")
        flags = ["-O1", "-shared", "-fPIC"]
        built = subprocess.run(
            ["cc", *flags, "-o", str(made), str(source), "-ldl", "-lpthread"],
            capture_output=True, text=True, check=False,
        )
        if built.returncode:
            raise SystemExit(f"torture: cut.c could not be built: {built.stderr}")
        return str(made)

    def close(self):
        shutil.rmtree(self.folder, ignore_errors=True)

    def room(self, name):
        """A new empty folder."""
        return Path(tempfile.mkdtemp(prefix=f"{name}-", dir=self.folder))

    def command(self, data, *words):
        return [self.binary, "--data", str(data), *map(str, words)]

    def env(self, **cut):
        env = {k: v for k, v in os.environ.items() if not k.startswith("CUT_")}
        if cut:
            env.update({f"CUT_{k.upper()}": str(v) for k, v in cut.items()})
            env["LD_PRELOAD"] = self.cutter
        return env

    def run(self, data, *words, wait=60, before=None, stdin=None, **cut):
        """Run to the end, or to where the cutter ends it."""
        try:
            done = subprocess.run(
                self.command(data, *words), env=self.env(**cut), timeout=wait,
                capture_output=True, preexec_fn=before, check=False,
                stdin=subprocess.DEVNULL if stdin is None else stdin,
            )
        except subprocess.TimeoutExpired as slow:
            raise Wrong(f"no answer within {wait} s: {words[:3]}") from slow
        text = [stream.decode("utf-8", "replace") for stream in (done.stdout, done.stderr)]
        return Done(done.returncode, *text)

    def killed(self, data, *words, after):
        """Run, and kill -9 after so many seconds."""
        child = subprocess.Popen(
            self.command(data, *words), env=self.env(), stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )
        time.sleep(after)
        child.kill()
        out, err = child.communicate(timeout=60)
        return Done(child.returncode, out.decode(), err.decode("utf-8", "replace"))

    def must(self, data, *words, **more):
        done = self.run(data, *words, **more)
        if done.code:
            raise Wrong(f"{' '.join(map(str, words))[:80]}: {done.code} {done.err[:300]}")
        return done

    def knows(self, command):
        """Whether the program has this command."""
        with self._turn:
            if "help" not in self._known:
                self._known["help"] = self.run("none", "--help").out
        return f"\n  {command} " in self._known["help"]

    def known(self, sort):
        """What `calls` found for this sort of run; None before."""
        with self._turn:
            return self._known.get(sort)

    def calls(self, sort, data, *words):
        """How many calls that change files a run takes, and how long it lasts;
        kept under `sort`. The log is spoiled by it."""
        count = Path(data).parent / "count"
        begun = time.monotonic()
        self.must(data, *words, count=count)
        lasted = time.monotonic() - begun
        found = (int(count.read_text()), lasted)
        count.unlink()
        with self._turn:
            return self._known.setdefault(sort, found)


def ends(path):
    """A log and what SQLite keeps beside it."""
    return [Path(f"{path}{end}") for end in ("", "-wal", "-shm", "-journal")]


def read(path):
    """Every row of the log at `path` as {id: (bin, body text)}. An absent or
    still empty file has none."""
    path = Path(path)
    with tempfile.TemporaryDirectory(prefix="look-") as folder:
        copy = Path(folder) / "log.db"
        for end in ("", "-wal", "-journal"):
            try:
                shutil.copyfile(f"{path}{end}", f"{copy}{end}")
            except FileNotFoundError:
                pass
        if not copy.exists():
            return {}
        db = sqlite3.connect(copy)
        try:
            verdict = db.execute("PRAGMA integrity_check").fetchone()[0]
            if verdict != "ok":
                raise Wrong(f"{path.name} is torn: {verdict[:120]}")
            tables = db.execute("SELECT count(*) FROM sqlite_schema WHERE name = 'entry'")
            if tables.fetchone()[0] == 0:
                return {}
            rows = db.execute("SELECT id, bin, body FROM entry ORDER BY id").fetchall()
            return {row[0]: (row[1], row[2]) for row in rows}
        except sqlite3.Error as error:
            raise Wrong(f"{path.name} cannot be read: {error}") from error
        finally:
            db.close()


def is_log(path):
    try:
        with open(path, "rb") as file:
            return file.read(16) == SQLITE
    except OSError:
        return False


def in_progress(name):
    """Whether a file by its name is one not yet in its place."""
    ends_so = (".reading", "-wal", "-shm", "-journal")
    return name.startswith(".") or "part" in name or name.endswith(ends_so)


def note(text):
    """A note's body as the log holds it."""
    return json.dumps({"kind": "note", "text": text}, separators=(",", ":"), ensure_ascii=False)
