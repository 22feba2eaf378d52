"""Ask Bedwright and PHREEQC the same questions and compare the answers.

    python crosscheck/phreeqc.py --bedwright PATH --out FILE.json [--seed N] [--count N]

PHREEQC is the version inside phreeqpython, with its phreeqc.dat (Parkhurst
and Appelo 2013) and the additions of cases.DEFINITIONS. Bedwright is asked
through its `chemistry` command. Three sets: the fixed reference cases, random
solutions with and without calcite or portlandite, and whole bedding mixes
whose acid sites PHREEQC carries as a surface without electrostatics.

Exit 0: every limit held. Exit 1: a limit was broken; the worst are printed.
"""

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import cases
import reference

# Limits: pH within 0.02 for ionic strength up to 0.1 in 99 of 100 answers and
# within 0.05 in all; calcium and alkalinity 2 %; conductivity 4 %.
PH_CLOSE = 0.02
PH_CLOSE_SHARE = 0.99
PH_WORST = 0.05
RELATIVE = {"ca": 0.02, "alkalinity": 0.02, "ec": 0.04}
# Where the amount is near nothing a share of it says nothing: below these the
# difference is held against the floor instead [mmol, meq, mS/cm].
FLOOR = {"ca": 1e-4, "alkalinity": 0.02, "ec": 1e-5}


def ask_bedwright(program, problems):
    """Answers of the command for all problems, one file each, one call."""
    with tempfile.TemporaryDirectory() as folder:
        files = []
        for number, problem in enumerate(problems):
            path = Path(folder) / f"{number:04}.toml"
            path.write_text(cases.as_toml(problem), encoding="utf-8")
            files.append(str(path))
        done = subprocess.run(
            [program, "chemistry", "--json", *files],
            capture_output=True, text=True, check=False,
        )
    if done.returncode != 0:
        sys.exit(f"bedwright chemistry ended with {done.returncode}:\n{done.stderr}")
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    if len(answers) != len(problems):
        sys.exit(f"{len(problems)} questions, {len(answers)} answers")
    return answers


def errors(ours, theirs):
    """Differences in pH [pH] and in the other quantities [share]."""
    pairs = {
        "ca": (ours["totals_mmol_per_kg_water"]["Ca"], theirs["ca_mmol"]),
        "alkalinity": (ours["alkalinity_meq_per_kg"], theirs["alkalinity_meq"]),
        "ec": (ours["ec_ms_per_cm"], theirs["ec_ms_cm"]),
    }
    result = {"ph": abs(ours["ph"] - theirs["ph"])}
    for name, (mine, other) in pairs.items():
        result[name] = abs(mine - other) / max(abs(other), FLOOR[name])
    return result


def percentiles(values):
    """50, 95 and 99 of 100 and the largest."""
    ordered = sorted(values)
    if not ordered:
        return {}
    at = lambda share: ordered[min(len(ordered) - 1, int(share * len(ordered)))]
    return {"p50": at(0.50), "p95": at(0.95), "p99": at(0.99), "max": ordered[-1]}


def judge(group, rows):
    """Broken limits of one group, as lines of text."""
    broken = []
    dilute = [r for r in rows if r["theirs"]["ionic_strength"] <= 0.1]
    close = sum(r["error"]["ph"] <= PH_CLOSE for r in dilute)
    if dilute and close < PH_CLOSE_SHARE * len(dilute):
        broken.append(f"{group}: pH within {PH_CLOSE} in only {close} of {len(dilute)}")
    limits = {"ph": PH_WORST, **RELATIVE}
    for quantity, limit in limits.items():
        over = [r for r in rows if not r["error"][quantity] <= limit]
        for row in sorted(over, key=lambda r: -r["error"][quantity])[:5]:
            broken.append(
                f"{group}: {row['name']}: {quantity} off by {row['error'][quantity]:.4g}"
                f" (limit {limit}); ours {row['ours']}, PHREEQC {row['theirs']}"
            )
    return broken


def compare(program, asker, problems):
    """One row per problem that the reference program could answer."""
    rows, unanswered = [], []
    answers = ask_bedwright(program, problems)
    for problem, ours in zip(problems, answers):
        theirs = asker.ask(problem)
        if theirs is None:
            unanswered.append(problem["name"])
            continue
        short = {
            "ph": ours["ph"],
            "ca_mmol": ours["totals_mmol_per_kg_water"]["Ca"],
            "alkalinity_meq": ours["alkalinity_meq_per_kg"],
            "ec_ms_cm": ours["ec_ms_per_cm"],
            "ionic_strength": ours["ionic_strength"],
        }
        rows.append({
            "name": problem["name"], "error": errors(ours, theirs),
            "ours": short, "theirs": theirs, "printed": problem.get("printed", {}),
        })
    return rows, unanswered


def check_printed(rows):
    """The reference program must still print what it printed before."""
    broken = []
    for row in rows:
        for key, printed in row["printed"].items():
            now = row["theirs"][key]
            if abs(now - printed) > 1e-3 * max(1.0, abs(printed)):
                broken.append(f"{row['name']}: PHREEQC {key} {now}, formerly {printed}")
    return broken


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--bedwright", required=True, help="the program")
    parser.add_argument("--out", required=True, help="summary, JSON")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=400, help="random solutions")
    parser.add_argument("--mixes", type=int, default=60, help="random bedding mixes")
    arguments = parser.parse_args()
    asker = reference.Phreeqc()
    groups = {
        "reference cases": cases.fixed(),
        "random solutions": cases.random_solutions(arguments.seed, arguments.count),
        "bedding mixes": cases.random_mixes(arguments.seed, arguments.mixes),
    }
    summary = {"seed": arguments.seed, "reference": asker.version(), "groups": {}}
    broken = []
    for group, problems in groups.items():
        rows, unanswered = compare(arguments.bedwright, asker, problems)
        broken += judge(group, rows) + check_printed(rows)
        if len(unanswered) > 0.05 * len(problems):
            broken.append(f"{group}: PHREEQC answered too few: {unanswered}")
        table = {
            quantity: percentiles([r["error"][quantity] for r in rows])
            for quantity in ("ph", "ca", "alkalinity", "ec")
        }
        dilute = [r for r in rows if r["theirs"]["ionic_strength"] <= 0.1]
        summary["groups"][group] = {
            "asked": len(problems), "compared": len(rows), "unanswered": unanswered,
            "ionic_strength_to_0.1": len(dilute),
            "ph_within_0.02_there": sum(r["error"]["ph"] <= PH_CLOSE for r in dilute),
            "errors": table,
        }
        print(f"{group}: {len(rows)} compared, {len(unanswered)} PHREEQC could not solve")
        for quantity, row in table.items():
            print("  " + f"{quantity:<11}" + "  ".join(f"{k} {v:.2e}" for k, v in row.items()))
    summary["limits_broken"] = broken
    Path(arguments.out).write_text(json.dumps(summary, indent=1) + "\n", encoding="utf-8")
    for line in broken:
        print("BROKEN", line)
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
