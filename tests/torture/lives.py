"""Lives of a log: command after command, each cut off somewhere, and after
each cut everything acknowledged must be there, whole."""

import json
import random
import shutil
import sqlite3
from datetime import datetime, timedelta
from pathlib import Path

import house as h

HOW = ("timed", "timed", "kill", "tear", "power")
OLD = Path(__file__).parents[2] / "crates/store/tests/old"
FIRST_DAY = datetime(2027, 3, 1)
BIN = ("--length", 60, "--width", 40, "--depth", 30, "--confirmed", "--json")


class Life:
    """One log, what was acknowledged in it, and a seeded source of cuts."""

    def __init__(self, house, seed):
        self.house, self.random = house, random.Random(seed)
        self.seed = seed
        self.folder = house.room("life")
        self.log = self.folder / "log.db"
        self.acks = {}
        self.days, self.turn, self.day = [], 0, 0
        house.must(self.log, "add-bin", "Home", *BIN)
        self.text_of_first = self.word()
        self.house.must(self.log, "log", 1, "note", self.text_of_first, "--json")
        self.acks[self.text_of_first] = 1

    def name(self):
        """A name that nothing else has, nor begins with."""
        self.turn += 1
        return f"s{self.seed}t{self.turn}."

    def word(self):
        """A text that no other entry has."""
        return self.name() + "é" * self.random.randrange(200)

    def cut(self, attack, sort, *words, data=None, fresh=None):
        """Run a command and cut it off somewhere. `fresh` makes a log for the
        one run that counts the calls, when it must not be this one."""
        data = data or self.log
        how = self.random.choice(HOW)
        calls, lasts = self.measured(sort, words, data, fresh)
        if how == "timed":
            after = self.random.uniform(0.2, 1.2) * min(lasts, 0.06)
            done = self.house.killed(data, *words, after=after)
        else:
            at = self.random.randint(1, calls)
            seed = self.random.randrange(1 << 40)
            done = self.house.run(data, *words, at=at, how=how, seed=seed)
        if done.code not in (0, -9):
            raise h.Wrong(f"{attack} ended by itself, {done.code}: {done.err[:200]}")
        self.house.figures.add(attack, tries=1, cut=int(done.code == -9))
        return done

    def measured(self, sort, words, data, fresh):
        """Calls and seconds of the whole run, tried once a sort on a copy."""
        known = self.house.known(sort)
        if known:
            return known
        trial = self.house.room("trial")
        try:
            target = trial / "log.db"
            if fresh:
                fresh(target)
            else:
                for end in ("", "-wal"):
                    if Path(f"{data}{end}").exists():
                        shutil.copyfile(f"{data}{end}", f"{target}{end}")
            moved = [str(w).replace(str(self.folder), str(trial)) for w in words]
            for word, new in zip(words, moved, strict=True):
                if str(word) != new and Path(str(word)).is_file():
                    shutil.copyfile(word, new)
            return self.house.calls(sort, target, *moved)
        finally:
            shutil.rmtree(trial)

    def verify(self, attack, groups=()):
        """Nothing acknowledged is missing, no group is half there, no file that
        stands under its own name is torn."""
        figures = self.house.figures
        rows = h.read(self.log)
        bodies = [body for _, body in rows.values()]
        for text, times in self.acks.items():
            found = sum(json.dumps(text, ensure_ascii=False)[1:-1] in body for body in bodies)
            if found < times:
                figures.fault(attack, "lost", f"seed {self.seed}: {text[:40]!r}")
            elif found > times:
                figures.fault(attack, "wrong", f"seed {self.seed}: {text[:40]!r} is there twice")
        for group in groups:
            there = sum(any(text in body for body in bodies) for text in group)
            if there not in (0, len(group)):
                figures.fault(attack, "torn", f"seed {self.seed}: {there} of {len(group)}")
        for path in self.folder.rglob("*"):
            if path != self.log and not h.in_progress(path.name) and h.is_log(path):
                h.read(path)
        return rows

    def agree(self, attack):
        """The program itself says the same as what was seen from outside."""
        rows = h.read(self.log)
        checked = self.house.run(self.log, "check", "--json")
        if checked.code or not checked.json()["sound"]:
            self.house.figures.fault(attack, "wrong", f"check: {checked.out}{checked.err}"[:300])
        lines = self.house.must(self.log, "export", "-").out.splitlines()
        if [json.loads(line)["id"] for line in lines] != list(rows):
            self.house.figures.fault(attack, "wrong", f"export of seed {self.seed} differs")

    def acknowledge(self, attack, done, *texts):
        if done.answered:
            self.acks.update(dict.fromkeys(texts, 1))
            self.house.figures.add(attack, acknowledged=len(texts))

    # What is cut off. Each gives the groups that must be all there or not at all.

    def note(self, attack):
        text = self.word()
        self.acknowledge(attack, self.cut(attack, "note", "log", 1, "note", text, "--json"), text)
        return [[text]]

    def correct(self, attack):
        text = self.word()
        words = ("correct", 1, 2, "note", text, "--confirmed", "--json")
        self.acknowledge(attack, self.cut(attack, "correct", *words), text)
        return [[text]]

    def shed(self, attack):
        text = self.name()
        words = ("shed", "add", "coir_pith", "--called", text, "--json")
        self.acknowledge(attack, self.cut(attack, "shed", *words), text)
        return [[text]]

    def add_bin(self, attack):
        name = self.name()
        words = ("add-bin", name, *BIN, "--filled", "20 L coir_pith", "--worms-grams", 100)
        self.acknowledge(attack, self.cut(attack, "add-bin", *words), name)
        rows = h.read(self.log)
        mine = [b for b, body in rows.values() if f'"{name}"' in body]
        count = sum(b == mine[0] for b, _ in rows.values()) if mine else 0
        if count not in (0, 3):
            self.house.figures.fault(attack, "torn", f"a bin with {count} of 3 entries")
        return []

    def take_in(self, attack):
        """Import of five lines that follow the log's last."""
        last = max(h.read(self.log))
        texts = [self.word() for _ in range(5)]
        path = self.folder / "lines.jsonl"
        with open(path, "w", encoding="utf-8") as file:
            for n, text in enumerate(texts, last + 1):
                line = {
                    "id": n, "bin": 1, "at_unix_seconds": 1_790_000_000, "zone": "UTC",
                    "written_unix_seconds": 1_790_000_000, "body": {"kind": "note", "text": text},
                }
                file.write(json.dumps(line, ensure_ascii=False) + "\n")
        done = self.cut(attack, "import", "import", path, "--json")
        self.acknowledge(attack, done, *texts)
        return [texts]

    def backup(self, attack):
        return self._over(attack, "backup", self.folder / "saved.db", h.read)

    def export(self, attack):
        def lines(path):
            text = path.read_text(encoding="utf-8")
            if not text.endswith("\n"):
                raise h.Wrong("the last line of an export is cut off")
            return {(one := json.loads(line))["id"]: one for line in text.splitlines()}

        return self._over(attack, "export", self.folder / "log.jsonl", lines)

    def _over(self, attack, command, target, look):
        """A file written over an older one: the older whole, or the new whole."""
        if not target.exists():
            self.house.must(self.log, command, target)
        before, rows = look(target), h.read(self.log)
        done = self.cut(attack, command, command, target, "--replace", "--json")
        try:
            after = look(target)
        except (h.Wrong, OSError, ValueError) as error:
            self.house.figures.fault(attack, "torn", f"{target.name}: {error}")
            target.unlink(missing_ok=True)
            return []
        new = list(after) == list(rows)
        if done.answered:
            self.house.figures.add(attack, acknowledged=1)
        if not new and (done.answered or list(after) != list(before)):
            self.house.figures.fault(attack, "lost", f"{target.name} is neither old nor new")
        return []

    def restore(self, attack):
        """Another log put in place of this one, and this one put back."""
        other, mine = self.folder / "other.db", self.folder / "mine.db"
        if not other.exists():
            self.house.must(other, "add-bin", "Other", *BIN)
        mine.unlink(missing_ok=True)
        self.house.must(self.log, "backup", mine)
        before, theirs = h.read(self.log), h.read(other)
        done = self.cut(attack, "restore", "restore", other, "--json")
        after = h.read(self.log)
        if done.answered:
            self.house.figures.add(attack, acknowledged=1)
        if after not in (before, theirs) or (done.answered and after != theirs):
            self.house.figures.fault(attack, "lost", f"seed {self.seed}: neither log is in place")
        if after != before:
            kept = [
                p for p in self.folder.iterdir()
                if p not in (self.log, mine) and not h.in_progress(p.name) and h.is_log(p)
            ]
            if not any(h.read(p) == before for p in kept):
                self.house.figures.fault(attack, "lost", "what was replaced is not kept")
            self.house.must(self.log, "restore", mine)
        # The log needs it no more, opened since or not.
        for path in self.folder.glob("log.db.replaced*"):
            path.unlink()
        return []

    def rescue(self, attack):
        """From a log with a broken page; the broken file must not change."""
        broken, target = self.folder / ".broken.db", self.folder / "rescued.db"
        if not broken.exists():
            self.house.must(self.log, "backup", broken)
            good = broken.read_bytes()
            bodies = [body.encode() for _, body in h.read(broken).values()]
            while True:
                whole = bytearray(good)
                at = self.random.randrange(8192, len(whole) - 1000)
                whole[at:at + 1000] = self.random.randbytes(1000)
                # In a young log that may be all its entries.
                if 2 * sum(b in whole for b in bodies) >= len(bodies):
                    break
            broken.write_bytes(whole)
        for one in self.folder.glob("rescued.db*"):
            one.unlink()
        before = broken.read_bytes()
        self.cut(attack, "rescue", "rescue", broken, target, "--json")
        if broken.read_bytes() != before:
            self.house.figures.fault(attack, "wrong", "the broken file was changed")
        h.read(target)
        return []

    def demo(self, attack):
        path = self.folder / "demo.db"
        for one in h.ends(path):
            one.unlink(missing_ok=True)
        self.cut(attack, "demo", "demo", "--json", data=path, fresh=lambda _: None)
        rows = h.read(path)
        if not hasattr(Life, "demo_size"):
            whole = self.folder / "whole-demo.db"
            self.house.must(whole, "demo")
            Life.demo_size = len(h.read(whole))
            whole.unlink()
        if len(rows) not in (0, Life.demo_size):
            self.house.figures.fault(attack, "torn", f"{len(rows)} of {Life.demo_size} entries")
        return []

    def upgrade(self, attack):
        """A log of the first schema, opened by this version."""
        path = self.folder / "old.db"
        old_log(path)
        before = {n: body for n, (_, body) in h.read(path).items()}
        words = ("log", 1, "note", "after the upgrade", "--confirmed", "--json")
        done = self.cut(attack, "upgrade", *words, data=path, fresh=old_log)
        after = {n: body for n, (_, body) in h.read(path).items()}
        if any(after.get(n) != body for n, body in before.items()):
            self.house.figures.fault(attack, "lost", "an old entry is missing or changed")
        if done.answered:
            self.house.figures.add(attack, acknowledged=1)
        self.house.must(path, "check")
        for one in self.folder.glob("old.db*"):
            shutil.rmtree(one) if one.is_dir() else one.unlink()
        return []

    def automatic(self, attack):
        """An entry on another day in a log of its own, which makes an automatic
        backup; now and then the clock has been set back."""
        path = self.folder / "days.db"
        if not path.exists():
            self.house.must(path, *self.at_noon(), "add-bin", "Days", *BIN)
        self.day += self.random.choice((1, 1, 2, 9, -5))
        text = self.name()
        words = (*self.at_noon(), "log", 1, "note", text, "--confirmed", "--json")
        done = self.cut(attack, "automatic", *words, data=path)
        if done.answered:
            self.days.append(text)
            self.house.figures.add(attack, acknowledged=1)
        rows = h.read(path)
        bodies = " ".join(body for _, body in rows.values())
        lost = [text for text in self.days if text not in bodies]
        if lost:
            self.house.figures.fault(attack, "lost", f"seed {self.seed}: {lost}")
        for saved in (self.folder / "days.db.backups").glob("automatic-*.db"):
            if any(rows.get(n) != row for n, row in h.read(saved).items()):
                self.house.figures.fault(attack, "wrong", f"{saved.name} says otherwise")
        return []

    def at_noon(self):
        return "--now", (FIRST_DAY + timedelta(days=self.day)).strftime("%Y-%m-%dT12:00Z")


def old_log(path):
    """A log as the first version wrote it."""
    for one in h.ends(path):
        one.unlink(missing_ok=True)
    db = sqlite3.connect(path)
    db.executescript((OLD / "schema-1.sql").read_text(encoding="utf-8"))
    db.close()


ATTACKS = {
    "log, by command": (Life.note, 8),
    "correct, by command": (Life.correct, 2),
    "shed add, by command": (Life.shed, 2),
    "add-bin with bedding and worms": (Life.add_bin, 2),
    "import": (Life.take_in, 2),
    "backup over an older one": (Life.backup, 2),
    "export over an older one": (Life.export, 2),
    "restore, by command": (Life.restore, 1),
    "rescue": (Life.rescue, 1),
    "demo": (Life.demo, 1),
    "upgrade of an old log": (Life.upgrade, 1),
    "log, with an automatic backup": (Life.automatic, 2),
}


def live(house, seed, cuts):
    """One life of so many cuts."""
    life = Life(house, seed)
    known = {
        name: how for name, how in ATTACKS.items()
        if name != "rescue" or house.knows("rescue")
    }
    names, weights = list(known), [weight for _, weight in known.values()]
    for turn in range(cuts):
        attack = life.random.choices(names, weights)[0]
        try:
            groups = known[attack][0](life, attack)
            life.verify(attack, groups)
            if turn % 25 == 24:
                life.agree(attack)
        except h.Wrong as wrong:
            house.figures.fault(attack, "wrong", f"seed {seed}, turn {turn}: {wrong}")
    shutil.rmtree(life.folder)
