#!/usr/bin/env python3
"""Attacks on a keeper's log: nothing acknowledged may be lost, nothing torn,
and what was there stays. Drives the program that keepers run.

    torture.py BINARY [--kills N] [--seed N] [--out FILE.json]

Ends with exit code 1 when anything was lost, torn or otherwise wrong."""

import argparse
import json
import sys
import time
import traceback
from concurrent.futures import ThreadPoolExecutor

import house as h
import lives

LIFE = 50  # cuts in the life of one log


def jobs(house, args):
    """The attacks as (name, function) in the order they are begun."""
    for n in range(args.kills // LIFE):
        yield lambda seed=args.seed * 100_000 + n: lives.live(house, seed, LIFE)


def guarded(house, job):
    """An attack that breaks off counts as wrong."""
    try:
        job()
    except Exception as error:  # noqa: BLE001
        where = traceback.extract_tb(error.__traceback__)[-1]
        house.figures.fault("torture", "wrong", f"{where.name}:{where.lineno}: {error}")


def main():
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("binary")
    ask.add_argument("--kills", type=int, default=500)
    ask.add_argument("--seed", type=int, default=20261128)
    ask.add_argument("--dir", help="where to work, by custom the system's folder for such")
    ask.add_argument("--out", help="write figures as JSON")
    args = ask.parse_args()
    figures = h.Figures()
    house = h.House(args.binary, figures, args.dir)
    begun = time.monotonic()
    try:
        with ThreadPoolExecutor(2) as pool:
            list(pool.map(lambda job: guarded(house, job), jobs(house, args)))
    finally:
        house.close()
    lasted = time.monotonic() - begun
    print(figures.table())
    print(f"seed {args.seed}, {lasted:.0f} s")
    for line in figures.faults[:50]:
        print(line)
    if args.out:
        with open(args.out, "w", encoding="utf-8") as file:
            json.dump({"seed": args.seed, "seconds": round(lasted), "attacks": figures.rows,
                       "faults": figures.faults}, file, indent=1)
    return 1 if figures.faults else 0


if __name__ == "__main__":
    sys.exit(main())
