#!/usr/bin/env python3
"""Attacks on a keeper's log: nothing acknowledged may be lost, nothing torn,
and what was there stays. Drives the program that keepers run.

    torture.py BINARY [--kills N] [--thorough N] [--seed N] [--out FILE.md]

Ends with exit code 1 when anything was lost, torn or otherwise wrong."""

import argparse
import subprocess
import sys
import time
import traceback
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path

import files
import house as h
import lives
import server

LIFE = 50  # cuts in the life of one log


def jobs(seed, kills, thorough):
    """The attacks, each with what it takes; the longest waits begin first."""
    yield server.half_open, seed
    yield files.small_disk,
    yield server.interrupted, seed, 4 * thorough
    step = max(1, 240 // (6 * thorough))
    for words in files.ON_A_FULL_DISK:
        yield files.every_call_full, seed, 1 + 5 // thorough, words
    for words in files.HELD:
        yield files.held_open, max(1, 12 // thorough), words
    for before, more in files.STRAY:
        yield files.stray_journal, before, more
    for target in files.TARGETS:
        yield files.targets, target
    yield files.damaged_over_good,
    yield files.lies,
    yield files.limited,
    for n in range(thorough):
        yield files.flips, seed + n * 37, 10 * step
        yield server.full, seed + n, 6
    for n, how in enumerate(server.SWAPS * 2 * thorough):
        yield server.swap, seed + n // len(server.SWAPS), how
    # Of all kills, so many meet a server that is written to, or that restores.
    for n in range(kills // 250):
        yield server.kills, seed + n, 40
        yield server.restores, seed + n, 10
    for n in range(kills * 4 // 5 // LIFE):
        yield lives.live, seed * 100_000 + n, LIFE


def guarded(house, job):
    """An attack that breaks off counts as wrong."""
    attack, *given = job
    try:
        attack(house, *given)
    except Exception as error:  # noqa: BLE001
        where = traceback.extract_tb(error.__traceback__)
        at = " < ".join(f"{step.name}:{step.lineno}" for step in reversed(where[-3:]))
        house.figures.fault(attack.__name__, "wrong", f"broke off at {at}: {str(error)[:300]}")


def report(figures, said):
    """The figures as they are kept, with what was attacked and when."""
    git = ["git", "-C", str(Path(__file__).parent), "log", "-1", "--format=%h of %cs"]
    commit = subprocess.run(git, capture_output=True, text=True, check=False).stdout.strip()
    head = f"# Figures of the long run\n\nCommit {commit}; run on {date.today()}; {said}.\n"
    how = "Made by `./check long`; what each row does is in the files beside this one.\n"
    return "\n".join([head, how, figures.table(), ""])


def main():
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("binary")
    ask.add_argument("--kills", type=int, default=500)
    ask.add_argument("--seed", type=int, default=20261128)
    ask.add_argument("--dir", help="where to work, by custom the system's folder for such")
    ask.add_argument("--thorough", type=int, default=1, help="so many times all but the kills")
    ask.add_argument("--only", help="only attacks whose name in the code has this in it")
    ask.add_argument("--out", help="write the figures as Markdown")
    args = ask.parse_args()
    figures = h.Figures()
    house = h.House(args.binary, figures, args.dir)
    begun = time.monotonic()
    try:
        with ThreadPoolExecutor(2) as pool:
            chosen = [
                job for job in jobs(args.seed, args.kills, args.thorough)
                if not args.only or args.only in job[0].__name__
            ]
            list(pool.map(lambda job: guarded(house, job), chosen))
    finally:
        house.close()
    lasted = time.monotonic() - begun
    said = f"seed {args.seed}, {lasted:.0f} s, {figures.total('cut'):,} kills"
    print(figures.table(), said, sep="\n\n")
    shown = [line for _, lines in sorted(figures.faults.items()) for line in lines[:8]]
    print("\n".join(shown))
    if args.out:
        with open(args.out, "w", encoding="utf-8") as file:
            file.write(report(figures, said))
    return 1 if figures.faults else 0


if __name__ == "__main__":
    sys.exit(main())
