#!/usr/bin/env python3
"""Plays: an invented log, the questions a keeper asks of it month by month,
and what the program answered, kept as a table that a reviewer reads.

    play.py PROGRAM            compares the answers with the tables, prints what differs
    play.py PROGRAM --write    records them anew
    --only NAME                one play
    --seeds N COMMIT           each play under N seeds: how far they agree, into seeds.md

A play is NAME.play, its table NAME.md. Lines of a play, each with a moment
(2026-03-01T09:00, in UTC) before it:

    MOMENT COMMAND...          as typed after `bedwright`; `fed`, `look` and the
                               other entries stand for `log 1 fed` and so on
    MOMENT ask NAME...         now, today, plan, ration, outlook, or one with what
                               follows it in brackets: weather[--day "2 -6"]
    MOMENT dose as planned     the first step of the plan, as the plan says
    every N days MOMENT to DATE: ENTRY

A line that starts with `#` is the heading; other lines without a moment are prose.
The usual entries go in by `import`, in one piece before the next question: by
`log` each would be answered, which takes most of a minute a play.
"""
import argparse
import datetime
import difflib
import json
import os
import pathlib
import re
import shlex
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor

HERE = pathlib.Path(__file__).parent
MOMENT = re.compile(r"(\d{4}-\d\d-\d\dT\d\d:\d\d) (.+)")
EVERY = re.compile(r"every (\d+) days (\S+) to (\S+): (.+)")
HEAD = ["date", "asked", "pH", "moisture %", "worms g", "worms", "urge to leave",
        "what to do, and warnings"]
FIGURES = ["ph", "moisture_percent", "worms_kg", "worms", "urge_to_leave"]
SHOWN = 0.10  # chances from here on are warnings


class Play:
    """One play against one program, in a data file of its own."""

    def __init__(self, program, folder, seed=None):
        self.program, self.data = program, str(pathlib.Path(folder) / "log.db")
        self.waiting, self.rows, self.entries = [], [], 0
        self.figures = []  # of each row
        self.seeded = [] if seed is None else ["--seed", str(seed)]

    def run(self, at, *words):
        command = [self.program, "--data", self.data, "--now", at, "--settled",
                   *self.seeded, *words]
        return subprocess.run(command, capture_output=True, text=True, timeout=900,
                              env={**os.environ, "TZ": "UTC"})

    def must(self, at, *words):
        done = self.run(at, *words)
        if done.returncode:
            raise SystemExit(f"play: {at} {' '.join(words)}: {done.stderr.strip()}")
        return done.stdout

    def answer(self, at, words):
        done = self.run(at, *words, "--json")
        if done.returncode:
            return None, "refused: " + " ".join(done.stderr.split())
        return json.loads(done.stdout), ""

    def hand_in(self, at):
        """The entries that wait, into the log."""
        if self.waiting:
            path = pathlib.Path(self.data).with_suffix(".jsonl")
            path.write_text("".join(json.dumps(e) + "\n" for e in self.waiting))
            self.must(at, "import", str(path))
            self.waiting = []

    def line(self, at, text):
        words = shlex.split(text)
        body = entry(words)
        if body:
            moment = datetime.datetime.fromisoformat(at + "+00:00")
            seconds = int(moment.timestamp())
            self.entries += 1
            self.waiting.append({"id": 10 * self.entries, "bin": 1, "at_unix_seconds": seconds,
                                 "zone": "UTC", "written_unix_seconds": seconds, "body": body})
            return
        self.hand_in(at)
        if text == "dose as planned":
            self.dose(at)
        elif words[0] == "ask":
            for name in re.findall(r"\w+(?:\[[^]]*\])?", text[4:]):
                self.ask(at, name)
        else:
            self.must(at, *words)

    def dose(self, at):
        plan = (self.answer(at, ["plan", "1"])[0] or {}).get("plan")
        if not plan:
            self.row(at, "dose as planned", todo="nothing was given: there is no plan")
            return
        step = plan["steps"][0]
        amount = f"{step['grams']:.0f} g {plan['material']}"
        self.must(at, "log", "1", "dose", amount, "--how", "mixed-in", "--confirmed")
        self.row(at, "dose as planned", todo=f"given: {amount}")

    def row(self, at, asked, figures=None, todo=""):
        f = figures or {}
        kg = f.get("worms_kg")
        grams = kg and {k: 1000 * v for k, v in kg.items()}
        cells = [band(f.get("ph"), 1), band(f.get("moisture_percent"), 0), band(grams),
                 band(f.get("worms")), band(f.get("urge_to_leave"), 2)]
        self.figures.append({k: f[k] for k in FIGURES if f.get(k)})
        self.rows.append([at[:10], asked, *cells, todo.replace("|", "/")])

    def ask(self, at, name):
        name, _, more = name.rstrip("]").partition("[")
        words = [name] + ([] if name == "today" else ["1"]) + shlex.split(more)
        said, refused = self.answer(at, words)
        if said is None:
            self.row(at, name, todo=refused)
        elif name == "outlook":
            self.outlook(at, said)
        else:
            figures = said["now"] if name == "now" else {"ph": said.get("ph")}
            self.row(at, name, figures, SAYS[name](said))

    def outlook(self, at, said):
        last = len(said["days"]) - 1
        for day in (7, 28, last):
            todo = ""
            if day == last:
                risks = [f"{a['title']} {a['chance_in_all']:.0%}" for a in said["alarms"]
                         if a["chance_in_all"] >= SHOWN]
                lost = said["chance_of_losing_a_tenth_of_the_worms"]
                todo = "; ".join(said["plan"] + risks + [f"a tenth of the worms lost: {lost:.0%}"])
            self.row(at, f"outlook, in {day} days", said["days"][day], todo)


def short(x):
    """Two digits that count."""
    if not x or abs(x) < 1e-3:
        return "0"
    digits = f"{x:.1e}"
    return f"{float(digits):g}" if abs(x) < 1e5 else digits


def band(b, decimals=None):
    if not b:
        return ""
    text = short if decimals is None else (lambda x: f"{x:.{decimals}f}")
    return f"{text(b['median'])} ({text(b['low'])} to {text(b['high'])})"


def says_now(said):
    bad = [f"{t['title']} {t['chance']:.0%}" for t in said["troubles"] if t["chance"] >= SHOWN]
    look = [f"look: {said['look']['what']}"] if said["look"] else []
    return "; ".join(filter(None, [said["wetness"], *bad, *look]))


def says_today(said):
    first = [f"{i['what']}" for i in said["now"]]
    later = [f"by {i['by_date']}: {i['what']}" for i in said["later"]]
    return "; ".join(first + later) or "nothing"


def says_plan(said):
    words = [said["why"]]
    if said["plan"]:
        step = said["plan"]["steps"][0]
        words.append(f"step 1 of {len(said['plan']['steps'])}: {step['grams']:.0f} g "
                     f"{said['plan']['material']}, in all {short(said['plan']['total_grams'])} g")
    if said["direction"] == "raise":
        words.append(f"base wanted {band(said['needed_base_meq'])} meq")
    return " ".join(words + said["also"])


def says_ration(said):
    words = [f"feed {band(said['grams'])} g", f"could take {band(said['could_take_grams_per_day'])} g/d"]
    if said["bedding"]["grams"]:
        words.append(f"with {short(said['bedding']['grams'])} g {said['bedding']['material']}")
    if said["water_grams"]:
        words.append(f"water {short(said['water_grams'] / 1000)} kg")
    held = ", ".join(said["held_by"])
    return "; ".join(words + ([f"held by {held}"] if held else []))


def says_weather(said):
    alone = min(said["alone"], key=lambda a: a["chance_of_harm"], default=None)
    words = [a["what"] for a in said["advice"]]
    if alone:
        names = " and ".join(m["title"] for m in alone["measures"])
        words.append(f"least chance of harm {alone['chance_of_harm']:.0%} with {names}")
    return "; ".join(words) or "nothing"


SAYS = {"now": says_now, "today": says_today, "plan": says_plan, "ration": says_ration,
        "weather": says_weather}


def parts(words):
    return [{"amount": " ".join(w.split()[:2]), "material": w.split()[2]} for w in words]


def entry(words):
    """The usual entries as the log keeps them; nothing for another command."""
    kind, rest = words[0], [w for w in words[1:] if not w.startswith("--")]
    options = dict(zip(words, words[1:]))
    if kind == "fed":
        return {"kind": "feeding", "parts": parts(rest)}
    if kind == "bedding":
        return {"kind": "bedding_added", "parts": parts(rest)}
    if kind in ("water", "drain", "harvest"):
        return {"kind": kind, "amount": rest[0], **({"soft": False} if kind == "water" else {})}
    if kind == "look":
        return {"kind": "observation", "words": [w.replace("-", "_") for w in rest], "text": ""}
    if kind == "worm-count":
        return {"kind": "worm_count", "found": float(rest[0]),
                "litres_searched": float(options["--litres"])}
    if kind == "reading":
        spots = [float(w) for w in rest if re.fullmatch(r"-?[\d.]+", w)]
        return {"kind": "reading", "what": options.get("--of", "ph").replace("-", "_"), "spots": spots,
                "instrument": options.get("--instrument", "own"), "place": options.get("--at", "spread"),
                "text": "", "confirmed": False}
    if kind == "turned":
        return {"kind": kind}
    return None


def lines(text):
    """The moments of a play in order, and its prose."""
    found, prose = [], []
    for line in text.splitlines():
        every, moment = EVERY.fullmatch(line), MOMENT.fullmatch(line)
        if every:
            days, first, last, what = every.groups()
            at, end = datetime.datetime.fromisoformat(first), datetime.datetime.fromisoformat(last)
            while at <= end:
                found.append((at.strftime("%Y-%m-%dT%H:%M"), what))
                at += datetime.timedelta(days=int(days))
        elif moment:
            found.append(moment.groups())
        else:
            prose.append(line)
    return sorted(found, key=lambda f: f[0]), "\n".join(prose).strip()


def live(program, path, seed=None):
    script, prose = lines(path.read_text())
    with tempfile.TemporaryDirectory() as folder:
        play = Play(program, folder, seed)
        for at, text in script:
            play.line(at, text)
    return play, prose


def played(program, path):
    began = time.monotonic()
    play, prose = live(program, path)
    table = [HEAD, ["---"] * len(HEAD), *play.rows]
    rows = "".join("| " + " | ".join(r) + " |\n" for r in table)
    note = (f"Recorded by `tests/plays/play.py` from `{path.name}`. Figures are the median and, in brackets, "
            "four chances in five; nothing here was measured.")
    return f"{prose}\n\n{note}\n\n{rows}", time.monotonic() - began


def apart(bands):
    """The furthest two medians, in mean widths of the ranges; whether one lies outside another's range."""
    medians = [b["median"] for b in bands]
    width = sum(b["high"] - b["low"] for b in bands) / len(bands)
    outside = any(not b["low"] <= m <= b["high"] for b in bands for m in medians)
    return (max(medians) - min(medians)) / width if width else 0.0, outside


def agreement(plays):
    """Rows of the table on one play under several seeds, and what it says otherwise."""
    rows, first = [], plays[0]
    for name in FIGURES:
        found = [(*apart([p.figures[i][name] for p in plays]), first.rows[i])
                 for i in range(len(first.rows)) if all(name in p.figures[i] for p in plays)]
        if found:
            worst = max(found, key=lambda f: f[0])
            mean = sum(f[0] for f in found) / len(found)
            rows.append([name, str(len(found)), f"{mean:.2f}", f"{worst[0]:.2f}",
                         f"{worst[2][0]}, {worst[2][1]}", str(sum(f[1] for f in found))])
    plain = [[re.sub(r"[-+]?\d[\d.,]*(e[-+]\d+)?", "N", r[-1]) for r in p.rows] for p in plays]
    differ = [i for i, words in enumerate(zip(*plain)) if len(set(words)) > 1]
    told = [[f"{first.rows[i][0]}, {first.rows[i][1]}", *(p.rows[i][-1] for p in plays)] for i in differ]
    return rows, told, len(first.rows)


def compare_seeds(program, paths, count, commit):
    seeds = list(range(21, 21 + count))
    jobs = [(p, s) for p in sorted(paths, key=lambda p: not p.stem.startswith("year")) for s in seeds]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        lived = dict(zip(jobs, pool.map(lambda j: live(program, *j)[0], jobs)))
    text = (f"# Plays under {count} seeds\n\nWritten by `tests/plays/play.py --seeds`, commit {commit}, "
            f"{datetime.date.today()}, seeds {', '.join(map(str, seeds))}. *Apart* is the distance of the "
            "furthest two medians in mean widths of their ranges.\n")
    for path in paths:
        rows, told, of = agreement([lived[path, s] for s in seeds])
        table = [["figure", "answers", "apart, mean", "apart, at most", "where", "a median outside another's range"],
                 ["---"] * 6, *rows]
        text += f"\n## {path.stem.replace('_', ' ')}\n\n" + "".join("| " + " | ".join(r) + " |\n" for r in table)
        text += f"\nSaid in other words by another seed, amounts aside: {len(told)} of {of} answers.\n"
        if told:
            table = [["asked", *(f"seed {s}" for s in seeds)], ["---"] * (1 + count), *told]
            text += "\n" + "".join("| " + " | ".join(r) + " |\n" for r in table)
    (HERE / "seeds.md").write_text(text)


def main():
    ask = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    ask.add_argument("program")
    ask.add_argument("--write", action="store_true")
    ask.add_argument("--only")
    ask.add_argument("--seeds", nargs=2, metavar=("N", "COMMIT"))
    a = ask.parse_args()
    paths = [p for p in sorted(HERE.glob("*.play")) if a.only in (None, p.stem)]
    program, differ = str(pathlib.Path(a.program).resolve()), 0
    if a.seeds:
        compare_seeds(program, paths, int(a.seeds[0]), a.seeds[1])
        return
    # The longest first, as many at a time as there are cores: a play only waits.
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        longest = sorted(paths, key=lambda p: p.stem.startswith("year"), reverse=True)
        tasks = [(p, pool.submit(played, program, p)) for p in longest]
        for path, task in tasks:
            ours, seconds = task.result()
            kept = path.with_suffix(".md")
            there = kept.read_text() if kept.exists() else ""
            print(f"{path.stem}: {seconds:.0f} s" + ("" if ours == there else ", differs"))
            if a.write:
                kept.write_text(ours)
            elif ours != there:
                differ += 1
                changed = difflib.unified_diff(there.splitlines(), ours.splitlines(), "kept", "now", "", "", 0, "")
                print("\n".join(changed))
    if differ:
        sys.exit(f"play: {differ} of {len(paths)} differ; read what changed, then record it with --write")


if __name__ == "__main__":
    main()
