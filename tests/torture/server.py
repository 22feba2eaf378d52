"""The server attacked while keepers write: killed, its file taken from under
it, its disk full, its connections held half open, stopped by Ctrl-C."""

import http.client
import os
import random
import re
import shutil
import signal
import socket
import subprocess
import threading
import time
from pathlib import Path
from urllib.parse import urlencode

import house as h
from lives import BIN


class Server:
    """A running server and a client of it."""

    def __init__(self, house, log, **cut):
        self.child = subprocess.Popen(
            house.command(log, "serve", "--port", 0), env=house.env(**cut),
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )
        head = self.child.stdout.readline().decode()
        found = re.search(r"http://127\.0\.0\.1:(\d+)", head)
        if not found:
            self.child.kill()
            raise h.Wrong(f"no server: {head}{self.child.stderr.read().decode()[:200]}")
        self.port = int(found[1])

    def ask(self, way, path, body=None, kind=None, wait=30):
        """Status, place to go next, and page; None when the line went dead."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=wait)
        head = {"Origin": f"http://127.0.0.1:{self.port}"}
        if kind:
            head["Content-Type"] = kind
        try:
            line.request(way, path, body, head)
            answer = line.getresponse()
            page = answer.read().decode("utf-8", "replace")
            return answer.status, answer.headers.get("Location", ""), page
        except (OSError, http.client.HTTPException):
            return None
        finally:
            line.close()

    def get(self, path, wait=30):
        return self.ask("GET", path, wait=wait)

    def post(self, path, **fields):
        kind = "application/x-www-form-urlencoded"
        return self.ask("POST", path, urlencode(fields), kind)

    def note(self, text, bin_number=1):
        """Write a note; whether it was acknowledged."""
        got = self.post(f"/bins/{bin_number}/log", kind="note", text=text)
        return got is not None and got[0] == 303

    def send_file(self, path, content):
        edge = "------------------------edge"
        body = (
            f'--{edge}\r\nContent-Disposition: form-data; name="file"; filename="a.db"\r\n'
            f"Content-Type: application/octet-stream\r\n\r\n"
        ).encode() + content + f"\r\n--{edge}--\r\n".encode()
        return self.ask("POST", path, body, f"multipart/form-data; boundary={edge}")

    def stop(self, how=signal.SIGINT, wait=20):
        """Stop it; seconds until it was gone."""
        begun = time.monotonic()
        if self.child.poll() is None:
            self.child.send_signal(how)
        try:
            self.child.wait(wait)
        except subprocess.TimeoutExpired:
            self.child.kill()
            self.child.wait()
        self.child.stdout.close()
        self.child.stderr.close()
        return time.monotonic() - begun


class Writers:
    """Some keepers writing notes until told to stop."""

    def __init__(self, server, tag, count=3):
        self.server, self.tag = server, tag
        self.acks, self.asked = [], []
        self.going = True
        self.threads = [threading.Thread(target=self._write, args=(n,)) for n in range(count)]
        for thread in self.threads:
            thread.start()

    def _write(self, who):
        turn = 0
        while self.going:
            text = f"{self.tag}.{who}.{turn} by page"
            turn += 1
            self.asked.append(text)
            if self.server.note(text):
                self.acks.append(text)
            elif self.server.child.poll() is not None:
                return

    def stop(self):
        self.going = False
        for thread in self.threads:
            thread.join()


def shelf(house, name):
    """A folder with a log of one bin."""
    folder = house.room(name)
    log = folder / "house" / "log.db"
    log.parent.mkdir()
    house.must(log, "add-bin", "Home", *BIN)
    return folder, log


def there(house, attack, log, acks):
    """Every acknowledged note is in the log, once."""
    bodies = [body for _, body in h.read(log).values()]
    for text in acks:
        found = sum(f'"{text}"' in body for body in bodies)
        if found != 1:
            sort = "wrong" if found else "lost"
            house.figures.fault(attack, sort, f"{text!r} is there {found} times")


def kills(house, seed, rounds):
    """Kill -9 at random while three keepers post; sometimes with a second
    server on the same log."""
    attack = "server killed, three writers"
    chance = random.Random(seed)
    folder, log = shelf(house, "kill")
    acks = []
    for turn in range(rounds):
        servers = [Server(house, log) for _ in range(1 + (chance.random() < 0.3))]
        writers = [Writers(one, f"s{seed}r{turn}v{n}", 3) for n, one in enumerate(servers)]
        time.sleep(chance.uniform(0.005, 0.12))
        for one in servers:
            one.stop(signal.SIGKILL)
        for one in writers:
            one.stop()
            acks += one.acks
        house.figures.add(attack, tries=1, cut=len(servers),
                          acknowledged=sum(len(w.acks) for w in writers))
        there(house, attack, log, acks)
    house.must(log, "check")
    shutil.rmtree(folder)


def restores(house, seed, rounds):
    """Kill -9 while a backup is put in place by page: one log or the other."""
    attack = "server killed in a restore"
    chance = random.Random(seed)
    folder, log = shelf(house, "restore")
    saved = folder / "saved.db"
    house.must(log, "log", 1, "note", "in the backup")
    house.must(log, "backup", saved)
    theirs, content = h.read(saved), saved.read_bytes()
    for turn in range(rounds):
        server = Server(house, log)
        text = f"s{seed}r{turn} before"
        if not server.note(text):
            raise h.Wrong("a note was refused before the restore")
        before = h.read(log)
        sent = threading.Thread(target=server.send_file, args=("/settings/restore", content))
        sent.start()
        time.sleep(chance.uniform(0.0, 0.06))
        server.stop(signal.SIGKILL)
        sent.join()
        house.figures.add(attack, tries=1, cut=1, acknowledged=1)
        after = h.read(log)
        said = {n: row[1] for n, row in after.items()}
        if said not in ({n: r[1] for n, r in before.items()}, {n: r[1] for n, r in theirs.items()}):
            house.figures.fault(attack, "lost", "neither log is in place")
        beside = [p for p in log.parent.iterdir() if h.is_log(p) and not h.in_progress(p.name)]
        if not any(f'"{text}"' in body for p in beside for _, body in h.read(p).values()):
            house.figures.fault(attack, "lost", "what was replaced is not kept")
        # The log needs it no more, opened since or not.
        for path in log.parent.glob("log.db.replaced*"):
            path.unlink()
    house.must(log, "check")
    shutil.rmtree(folder)


def interrupted(house, seed, rounds):
    """Ctrl-C in the middle of posts, with idle and half-open connections."""
    attack = "Ctrl-C while posting"
    chance = random.Random(seed)
    folder, log = shelf(house, "stop")
    acks = []
    for turn in range(rounds):
        server = Server(house, log)
        idle = [socket.create_connection(("127.0.0.1", server.port)) for _ in range(5)]
        for n, line in enumerate(idle):
            line.sendall(b"GET / HTTP/1.1\r\nHost: 127"[: 26 * (n % 2)])
        writers = Writers(server, f"s{seed}r{turn}")
        time.sleep(chance.uniform(0.02, 0.2))
        how = signal.SIGTERM if turn % 3 == 2 else signal.SIGINT
        took = server.stop(how)
        writers.stop()
        acks += writers.acks
        for line in idle:
            line.close()
        house.figures.add(attack, tries=1, acknowledged=len(writers.acks))
        if took > 3:
            house.figures.fault(attack, "wrong", f"{took:.1f} s until the server was gone")
        there(house, attack, log, acks)
    house.must(log, "check")
    shutil.rmtree(folder)


def half_open(house, seed):
    """Five hundred connections that never say what they want."""
    attack = "half-open connections"
    folder, log = shelf(house, "half")
    server = Server(house, log)
    held = []
    for n in range(500):
        line = socket.create_connection(("127.0.0.1", server.port))
        line.sendall(b"POST /bins/1/log HTTP/1.1\r\nHost: 127.0.0.1\r\n"[: 8 + n % 30])
        held.append(line)
    begun = time.monotonic()
    ok = server.note(f"s{seed} past them")
    took = time.monotonic() - begun
    house.figures.add(attack, tries=500, acknowledged=int(ok))
    if not ok or took > 5:
        house.figures.fault(attack, "wrong", f"a good request: {ok} after {took:.1f} s")
    until = time.monotonic() + 40
    still = held
    while still and time.monotonic() < until:
        still = [line for line in still if not closed(line)]
        time.sleep(0.5)
    if still:
        house.figures.fault(attack, "wrong", f"{len(still)} of 500 are held for over 40 s")
    for line in held:
        line.close()
    server.stop()
    shutil.rmtree(folder)


def closed(line):
    """Whether the other side has hung up."""
    line.setblocking(False)
    try:
        while data := line.recv(4096):
            del data
        return True
    except BlockingIOError:
        return False
    except OSError:
        return True


# The file taken from under the server. Each returns the log the keeper would
# look at afterwards.


def removed(log, other):
    log.unlink()
    return log


def removed_whole(log, other):
    for one in h.ends(log):
        one.unlink(missing_ok=True)
    return log


def renamed(log, other):
    log.rename(log.with_name("moved.db"))
    return log


def folder_renamed(log, other):
    log.parent.rename(log.parent.with_name("elsewhere"))
    return log


def folder_replaced(log, other):
    log.parent.rename(log.parent.with_name("elsewhere"))
    log.parent.mkdir()
    shutil.copyfile(other, log)
    return log


def replaced(log, other):
    beside = log.with_name("new.db")
    shutil.copyfile(other, beside)
    os.replace(beside, log)
    return log


def written_over(log, other):
    with open(other, "rb") as source, open(log, "r+b") as target:
        target.write(source.read())
        target.truncate()
    return log


def emptied(log, other):
    os.truncate(log, 0)
    return log


def journal_removed(log, other):
    Path(f"{log}-wal").unlink(missing_ok=True)
    return log


def both_removed(log, other):
    for end in ("-wal", "-shm"):
        Path(f"{log}{end}").unlink(missing_ok=True)
    return log


def journal_emptied(log, other):
    if Path(f"{log}-wal").exists():
        os.truncate(f"{log}-wal", 0)
    return log


def linked_elsewhere(log, other):
    log.rename(log.with_name("moved.db"))
    log.symlink_to(other)
    return log


def read_only(log, other):
    log.chmod(0o400)
    log.parent.chmod(0o500)
    return log


SWAPS = (
    removed, removed_whole, renamed, folder_renamed, folder_replaced, replaced, written_over,
    emptied, journal_removed, both_removed, journal_emptied, linked_elsewhere, read_only,
)


def swap(house, seed, how):
    """Notes acknowledged before; the file goes; then every note is refused, or
    is in the file at that path."""
    attack = f"log {how.__name__.replace('_', ' ')} under the server"
    folder, log = shelf(house, "swap")
    other = folder / "other.db"
    house.must(other, "add-bin", "Other", *BIN)
    server = Server(house, log)
    before = [f"s{seed} before {n}" for n in range(3)]
    for text in before:
        if not server.note(text):
            raise h.Wrong("refused before the attack")
    how(log, other)
    after = [text for n in range(4) if server.note(text := f"s{seed} after {n}")]
    page = server.get("/")
    house.figures.add(attack, tries=1, acknowledged=len(before) + len(after))
    present = [body for _, body in _seen(house, attack, log).values()]
    for text in after:
        if not any(f'"{text}"' in body for body in present):
            house.figures.fault(attack, "lost", f"{text!r} was acknowledged")
    if page is None:
        house.figures.fault(attack, "wrong", "no page any more")
    server.stop(signal.SIGINT if seed % 2 else signal.SIGKILL)
    for path in (log.parent, log.parent.with_name("elsewhere")):
        if path.exists():
            path.chmod(0o700)
    present = [body for _, body in _seen(house, attack, log).values()]
    for text in after:
        if not any(f'"{text}"' in body for body in present):
            house.figures.fault(attack, "lost", f"{text!r} was acknowledged, and gone at the end")
    kept_before(house, attack, how, folder, log, before)
    shutil.rmtree(folder)


# After these the notes from before are gone by the keeper's own hand.
GONE = (removed, removed_whole, replaced, written_over, emptied)
# A journal that holds acknowledged notes and is taken away takes them along.
WITH_JOURNAL = (journal_removed, both_removed, journal_emptied)


def kept_before(house, attack, how, folder, log, before):
    """The notes from before are in the file where it went."""
    if how in GONE:
        return
    logs = [p for p in folder.rglob("*") if h.is_log(p) and not h.in_progress(p.name)]
    bodies = [body for p in logs for _, body in _seen(house, attack, p).values()]
    for text in before:
        if not any(f'"{text}"' in body for body in bodies):
            house.figures.fault(attack, "lost", f"{text!r} went with the file")


def _seen(house, attack, log):
    try:
        return h.read(log)
    except h.Wrong as wrong:
        house.figures.fault(attack, "torn", str(wrong))
        return {}


def full(house, seed, rounds):
    """No space left from some call on, while keepers post."""
    attack = "server on a full disk"
    chance = random.Random(seed)
    for turn in range(rounds):
        folder, log = shelf(house, "full")
        server = Server(house, log, at=chance.randint(40, 300), how="full")
        acks, texts = [], [f"s{seed}r{turn} note {n} " + "x" * 200 for n in range(25)]
        for text in texts:
            if server.note(text):
                acks.append(text)
        server.stop(chance.choice((signal.SIGINT, signal.SIGKILL)))
        house.figures.add(attack, tries=1, acknowledged=len(acks))
        there(house, attack, log, acks)
        house.must(log, "check")
        house.must(log, "log", 1, "note", "there is room again")
        shutil.rmtree(folder)
