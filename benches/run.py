"""Timings, each beside a peer in the same run. Not a test: nothing passes or
fails here. Run it by hand on a quiet machine:

    cargo build --release && .venv/bin/python benches/run.py

It prints a table in Markdown; benches/README.md keeps the last one.
"""

import json
import os
import pathlib
import platform
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.parse
import urllib.request

# The peers work on one core, as ours does beside them.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
ROOT = pathlib.Path(__file__).resolve().parent.parent
BEDWRIGHT = ROOT / "target" / "release" / "bedwright"


def median(call, rounds):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def ours_ns():
    out = subprocess.run(
        ["cargo", "bench", "--quiet", "--locked", "-p", "app", "--bench", "solve"],
        cwd=ROOT, check=True, capture_output=True, text=True,
    ).stdout
    return json.loads(out.strip().splitlines()[-1])


def phreeqc_s():
    """One speciation, and one with CO2 and calcite, through phreeqpython."""
    from phreeqpython import PhreeqPython

    pp = PhreeqPython(database="phreeqc.dat")
    water = """SOLUTION 1
 temp 20
 units mol/kgw
 pH 7 charge
 K 0.010
 Na 0.002
 Ca 0.004
 Mg 0.001
 N(-3) 0.001
 Cl 0.003
 S(6) 0.002
"""
    gas = "EQUILIBRIUM_PHASES 1\n CO2(g) -2 10\n"
    calcite = "EQUILIBRIUM_PHASES 1\n CO2(g) -2 10\n Calcite 0 0.01\n"

    def run(text):
        pp.ip.run_string(text + "END\n")

    return {
        "water_closed_ns": median(lambda: run(water), 201),
        "water_open_ns": median(lambda: run(water + gas), 201),
        "calcite_open_ns": median(lambda: run(water + calcite), 201),
    }


class Server:
    def __init__(self, data):
        self.start = time.perf_counter()
        self.process = subprocess.Popen(
            [BEDWRIGHT, "--data", data, "serve", "--port", "0"],
            stdout=subprocess.PIPE, text=True,
        )
        self.address = None
        while self.address is None:
            line = self.process.stdout.readline()
            for word in line.split():
                if word.startswith("http://"):
                    self.address = word.rstrip("/")

    def get(self, path):
        with urllib.request.urlopen(self.address + path) as answer:
            return answer.read()

    def post(self, path, fields=None):
        body = urllib.parse.urlencode(fields or {}).encode()
        request = urllib.request.Request(self.address + path, data=body, method="POST")
        request.add_header("Origin", self.address)
        with urllib.request.urlopen(request) as answer:
            return answer.read()

    def rss_mib(self):
        status = pathlib.Path(f"/proc/{self.process.pid}/status").read_text()
        kib = next(int(l.split()[1]) for l in status.splitlines() if l.startswith("VmRSS"))
        return kib / 1024

    def stop(self):
        self.process.terminate()
        self.process.wait()


def cold_start_s(data):
    """Process start to the first page's last byte."""
    server = Server(data)
    server.get("/")
    took = time.perf_counter() - server.start
    server.stop()
    return took


def living():
    """One bin of 90 days beside SciPy, the ensemble, and how cost grows:
    rows of the table, and lines below it."""
    import living as peer

    build = ["cargo", "build", "--release", "--quiet", "--locked", "-p", "app", "--example", "living_bench"]
    subprocess.run(build, cwd=ROOT, check=True)
    out = subprocess.run([peer.PROGRAM, "times"], check=True, capture_output=True, text=True).stdout
    ours, told = json.loads(out), peer.told_by_ours()
    tried, best = peer.fastest(told["poor"])
    by_cut = dict(ours["one_bin_s_by_cut"])
    rows = [
        (
            f"one bin of 90 days, one core, steps of {12 / cut:g} h", f"{took * 1e3:.2f} ms",
            f"SciPy {best['method']}, rtol {best['rtol']:g}", f"{best['seconds']:.2f} s",
            f"{best['seconds'] / took:.0f} times faster",
        )
        for cut, took in by_cut.items()
    ]
    rows += [
        (
            "1,000 members by 90 days, 60 entries, two threads", f"{ours['ensemble_all_cores_s'] * 1e3:.0f} ms",
            "ours, one thread's processor time", f"{ours['ensemble_s'] * 1e3:.0f} ms",
            f"{ours['ensemble_s'] / ours['ensemble_all_cores_s']:.1f} times faster",
        ),
        ("memory per member", f"{ours['member_bytes'] / 1024:.1f} KiB", "-", "-", "-"),
    ]
    lines = ["Cost of an ensemble, one thread's processor time, best of three:", ""]
    lines += ["| along | each more | at none | furthest off a straight line | times |", "|---|---|---|---|---|"]
    for along, of in [("members", "90 days, 60 entries"), ("days", "1,000 members, no entries"), ("entries", "1,000 members, 90 days")]:
        g = ours[along]
        times = ", ".join(f"{n:.0f}: {s * 1e3:.0f} ms" for n, s in g["points"])
        lines.append(
            f"| {along} ({of}) | {g['seconds_per_one'] * 1e3:.2f} ms | {g['seconds_at_none'] * 1e3:.0f} ms"
            f" | {100 * g['furthest_off_line']:.0f} % | {times} |"
        )
    lines += ["", "SciPy, processor time of one bin, best of three, and how far from its finest:", ""]
    lines += ["| method | rtol | time | evaluations | worst figure | of what is allowed |", "|---|---|---|---|---|---|"]
    for row in tried:
        lines.append(
            f"| {row['method']} | {row['rtol']:g} | {row['seconds']:.1f} s | {row['evaluations']}"
            f" | {row['worst']} | {row['worst_over_allowed']:.2f} |"
        )
    lines += ["", "Our daily course against the equations, largest gap in 90 days (plain for pH and °C):"]
    for bin, of in told.items():
        lines += ["", f"{peer.NAMES[bin]}:", "", peer.table(peer.compare(of))]
    return rows, lines


def main():
    rows = []
    ours, theirs = ours_ns(), phreeqc_s()
    for key, name in [
        ("water_closed_ns", "one solve, closed water"),
        ("water_open_ns", "one solve, open to 1 % CO2"),
        ("calcite_open_ns", "one solve, open, calcite present"),
    ]:
        a, b = ours[key] * 1e-9, theirs[key]
        rows.append((name, f"{a * 1e6:.1f} µs", "PHREEQC through phreeqpython", f"{b * 1e6:.0f} µs", f"{b / a:.0f} times faster"))
    rows.append(("one solve, bed with sites", f"{ours['bed_open_ns'] / 1e3:.1f} µs", "-", "-", "-"))
    with tempfile.TemporaryDirectory() as folder:
        data = os.path.join(folder, "bench.db")
        starts = sorted(cold_start_s(os.path.join(folder, f"cold{i}.db")) for i in range(9))
        python = median(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True), 9)
        rows.append(("cold start to first page", f"{starts[4] * 1e3:.0f} ms", "an empty Python start", f"{python * 1e3:.0f} ms", f"{python / starts[4]:.1f} times"))
        server = Server(data)
        try:
            server.post("/demo")
            static = median(lambda: server.get("/settings"), 41)
            shelf = median(lambda: server.get("/"), 21)
            server.get("/bins/1/dose")
            moves = iter(range(10_000))
            what_if = median(
                lambda: server.get(f"/bins/1/dose/what-if?material=limestone_calcitic&amount={5 + next(moves) % 90}"),
                61,
            )
            bin_page = median(lambda: server.get("/bins/1"), 21)
            for name, t in [("what-if, slider to new curve", what_if), ("shelf of four bins", shelf), ("bin page", bin_page)]:
                rows.append((name, f"{t * 1e3:.1f} ms", "the settings page, same server", f"{static * 1e3:.1f} ms", f"{t / static:.1f} times as long"))
            rows.append(("memory after these", f"{server.rss_mib():.0f} MiB", "-", "-", "-"))
        finally:
            server.stop()
    more, lines = living()
    rows.extend(more)
    rows.append(("release binary", f"{BEDWRIGHT.stat().st_size / 2**20:.1f} MiB", "-", "-", "-"))
    print(f"Machine: {os.cpu_count()} cores, {platform.machine()}, {platform.system()}.\n")
    print("| what | ours | peer | peer's | ratio |\n|---|---|---|---|---|")
    for row in rows:
        print("| " + " | ".join(row) + " |")
    print("\n" + "\n".join(lines))


if __name__ == "__main__":
    main()
