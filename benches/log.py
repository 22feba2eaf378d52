"""What an entry costs, and what is read of a bin in which nothing is new, at a
year's log and at longer ones, each beside a peer in the same run: a fresh Python
that adds a row to a SQLite file and waits for the disk. Not a test: nothing passes
or fails here. Run it by hand on a quiet machine:

    cargo build --release && python3 benches/log.py [YEARS ...]

Without years it is one. A log of years is worked out from nothing first, which
grows faster than its length: a minute or so for one year.
"""

import json
import os
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
BEDWRIGHT = ROOT / "target" / "release" / "bedwright"
DAY = 86_400
ROUNDS = 15
# What the keeper says, week by week.
WORDS = [
    ["squeeze_drops", "worms_spread", "smell_earthy"],
    ["squeeze_weak", "worms_plump", "food_gone"],
    ["squeeze_drops", "food_gone"],
    ["squeeze_several", "worms_spread", "food_half"],
]
INSERT = """
import sqlite3, sys
log = sqlite3.connect(sys.argv[1])
log.execute('pragma synchronous = full')
log.execute('create table if not exists entries (id integer primary key, body text)')
log.execute('insert into entries (body) values (?)', ('a look',))
log.commit()
"""


def entries(end, days):
    """Two bins: the first with a log of so many days, the second of a month."""
    for bin, since in [(1, days), (2, 30)]:
        at = end - since * DAY
        yield bin, at, {
            "kind": "bin", "name": f"Tub {bin}", "length_cm": 60.0, "width_cm": 40.0, "depth_cm": 35.0,
            "walls": "plastic", "lid": "vented", "drains": True, "place": "", "retired": False,
        }
        yield bin, at, {"kind": "filled", "parts": [
            {"material": "coir_pith", "amount": "20 L"},
            {"material": "cardboard_corrugated", "amount": "15 L"},
            {"material": "water", "amount": "4 L"},
        ]}
        yield bin, at + DAY, {"kind": "worms_in", "grams": 400.0, "count": None}
        for week in range((since - 5) // 7):
            day = at + (4 + 7 * week) * DAY
            yield bin, day, {"kind": "feeding", "parts": [{"material": "kitchen_scraps_veg", "amount": "3 cups"}]}
            words = WORDS[week % len(WORDS)]
            yield bin, day + 2 * DAY, {"kind": "observation", "words": words, "text": ""}
            if week % 4 == 3:
                yield bin, day + 2 * DAY, {
                    "kind": "reading", "what": "ph", "spots": [6.8, 6.9], "instrument": "cheap_pen",
                    "place": "spread", "text": "", "confirmed": False,
                }


def write_log(path, end, days):
    with open(path, "w") as file:
        for number, (bin, at, body) in enumerate(sorted(entries(end, days), key=lambda e: e[1]), 1):
            entry = {
                "id": number, "bin": bin, "at_unix_seconds": at, "zone": "Etc/UTC",
                "written_unix_seconds": at, "body": body,
            }
            file.write(json.dumps(entry) + "\n")
    return number


class Log:
    def __init__(self, folder, years):
        self.data = os.path.join(folder, f"{years}.db")
        days = round(365.25 * years)
        self.end = 1_790_000_000
        lines = os.path.join(folder, f"{years}.jsonl")
        self.entries = write_log(lines, self.end, days)
        self.minute = 60
        self.run("import", lines)

    def command(self, *words):
        now = time.strftime("%Y-%m-%dT%H:%M", time.gmtime(self.end + self.minute))
        return [BEDWRIGHT, "--data", self.data, "--now", now, *words]

    def run(self, *words):
        began = time.perf_counter()
        done = subprocess.run(self.command(*words), capture_output=True, text=True)
        if done.returncode:
            sys.exit(done.stderr)
        return time.perf_counter() - began

    def log(self, *words):
        """Seconds to the first line, which says that it is written, and to the end."""
        self.minute += 60
        began = time.perf_counter()
        process = subprocess.Popen(self.command("log", *words), stdout=subprocess.PIPE)
        process.stdout.readline()
        said = time.perf_counter() - began
        process.stdout.read()
        if process.wait():
            sys.exit("log failed")
        return said, time.perf_counter() - began

    def kept_mib(self):
        files = pathlib.Path(self.data + ".settled").iterdir()
        return sum(f.stat().st_size for f in files) / 2**20


def median(call, rounds=ROUNDS):
    return statistics.median(call() for _ in range(rounds))


def measured(folder, years):
    log = Log(folder, years)
    rows = [("first answer, nothing kept", log.run("now", "1"))]
    rows.append(("settled answer, nothing kept but that", log.run("--settled", "now", "1")))
    rows.append(("`now`, nothing new", median(lambda: log.run("now", "1"))))
    notes = [log.log("2", "note", f"note {i}") for i in range(ROUNDS)]
    rows.append(("`log` of a note in another bin, said to be written", statistics.median(n[0] for n in notes)))
    rows.append(("the same, to the end of what it says", statistics.median(n[1] for n in notes)))
    rows.append(("`now` of the first bin after those", median(lambda: log.run("now", "1"))))
    notes = [log.log("1", "note", f"note {i}") for i in range(ROUNDS)]
    rows.append(("`log` of a note in it, said to be written", statistics.median(n[0] for n in notes)))
    rows.append(("the same, to the end of what it says", statistics.median(n[1] for n in notes)))
    said, whole = log.log("1", "look", "squeeze_weak", "worms_spread")
    rows.append(("`log` of a look in it, said to be written", said))
    rows.append(("the same, to the end of what it says", whole))
    rows.append(("settled answer after that look", log.run("--settled", "now", "1")))
    peer = os.path.join(folder, "peer.db")
    insert = [sys.executable, "-c", INSERT, peer]
    peer_s = median(lambda: timed(insert))
    print(f"\n{years:g} years, {log.entries} entries; kept beside it: {log.kept_mib():.1f} MiB\n")
    print("| what | ours | peer: Python adds a row | ratio |\n|---|---|---|---|")
    for what, ours in rows:
        print(f"| {what} | {1e3 * ours:.0f} ms | {1e3 * peer_s:.0f} ms | {ours / peer_s:.1f} |", flush=True)


def timed(command):
    began = time.perf_counter()
    subprocess.run(command, check=True)
    return time.perf_counter() - began


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        for years in [float(word) for word in sys.argv[1:]] or [1.0]:
            measured(folder, years)
