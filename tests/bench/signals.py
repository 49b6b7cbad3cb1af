#!/usr/bin/env python3
"""Simulates worlds with and without bad component lots, analyses each, and prints how often the bad lot is found, how
often a good one is flagged, and how often and how early the watch signals, as Markdown tables.

Usage: tests/bench/signals.py PROGRAM [WORLDS] [REPORTS]
    PROGRAM: a built bartack; WORLDS of each kind, 100 by default; about so many REPORTS in each, 5000 by default

`cargo run --release -p web --example weigh_worlds` measures the same and more without leaving the process; what it said
last stands in worlds.md beside this file.
"""

import datetime
import json
import pathlib
import subprocess
import sys
import tempfile

BANDS = [(0, 5), (5, 10), (10, 20), (20, float("inf"))]


def analysed(program, folder, seed, reports, bad_lots):
    """The truth of a world and what the analysis of it says."""
    pack = folder / f"{seed}-{bad_lots}"
    command = [program, "simulate", pack, "--seed", seed, "--varied"]
    command += ["--items", 2 * reports, "--reports", reports, "--bad-lots", bad_lots]
    subprocess.run([str(word) for word in command], check=True, capture_output=True)
    truth = json.loads(pathlib.Path(f"{pack}.truth.json").read_text())
    said = subprocess.run(
        [program, "analyse", str(pack), "--as-of", truth["end"], "--json"], check=True, capture_output=True
    )
    return truth, json.loads(said.stdout)


def years(truth):
    days = datetime.date.fromisoformat(truth["end"]) - datetime.date.fromisoformat(truth["start"])
    return days.days / 365.25


def flags(found, unexplained):
    """Flagged upstream lots as (part, mode, lot); of those, only the ones that nothing else explains."""
    return [
        (r["part_no"], r["mode"], c["level"])
        for r in found["recurrences"]
        for c in r["concentrations"] or []
        if c["flagged"] and c["factor"] == "used_lot" and not (unexplained and c["explained_by"])
    ]


def all_flags(found):
    return [c for r in found["recurrences"] for c in r["concentrations"] or [] if c["flagged"]]


def signals(found):
    return [(r["part_no"], r["mode"], r["first_signal_on"]) for r in found["recurrences"] if r["first_signal_on"]]


def with_bad_lots(program, folder, worlds, reports):
    bands = {band: [0, 0, 0, 0] for band in BANDS}
    named = {True: [0, 0], False: [0, 0]}
    for seed in range(1, worlds + 1):
        truth, found = analysed(program, folder, seed, reports, 1 + seed % 2)
        guilty = {(b["failed_part_no"], b["mode"], b["lot_no"]) for b in truth["bad_lots"]}
        for unexplained in named:
            for key in flags(found, unexplained):
                named[unexplained][0] += 1
                named[unexplained][1] += key not in guilty
        for bad in truth["bad_lots"]:
            excess = bad["expected_excess_reports"]
            band = next(b for b in BANDS if b[0] <= excess < b[1])
            tally = bands[band]
            key = (bad["failed_part_no"], bad["mode"])
            rows = next((r["concentrations"] or [] for r in found["recurrences"] if (r["part_no"], r["mode"]) == key), [])
            upstream = [c["level"] for c in rows if c["factor"] == "used_lot"]
            tally[0] += 1
            tally[1] += (*key, bad["lot_no"]) in flags(found, False)
            tally[2] += bad["lot_no"] in upstream[:3]
            day = next((s[2] for s in signals(found) if s[:2] == key), None)
            tally[3] += day is not None
    print("| expected excess reports | bad lots | flagged | among the first three | watch signalled |")
    print("|---|---|---|---|---|")
    for (low, high), (all_of_them, flagged, first, signalled) in bands.items():
        print(f"| {low} to {high} | {all_of_them} | {flagged} | {first} | {signalled} |")
    for unexplained, (called, wrong) in named.items():
        what = "flagged upstream lots that nothing else explains" if unexplained else "flagged upstream lots"
        print(f"\n{what}: {called}, not the bad lot: {wrong} ({wrong / max(called, 1):.1%})")


def without_bad_lots(program, folder, worlds, reports):
    false_flags, worlds_flagged, looked = 0, 0, 0
    false_signals, watched = 0, 0.0
    kinds = {}
    for seed in range(10_001, 10_001 + worlds):
        truth, found = analysed(program, folder, seed, reports, 0)
        wrong = flags(found, False)
        for c in all_flags(found):
            kinds[c["factor"]] = kinds.get(c["factor"], 0) + 1
        false_flags += len(wrong)
        worlds_flagged += bool(wrong)
        looked += len(found["recurrences"])
        false_signals += len(signals(found))
        watched += years(truth)
    print(f"\nworlds without a bad lot: {worlds}, recurrences {looked}")
    print(f"upstream lots flagged: {false_flags}, in {worlds_flagged} worlds ({worlds_flagged / worlds:.1%})")
    print(f"flags by factor: {kinds}")
    print(f"watch: {false_signals} recurrences signalled in {watched:.0f} years: {false_signals / watched:.2f} a year (asked: 0.50)")


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    worlds = int(sys.argv[2]) if len(sys.argv) > 2 else 100
    reports = int(sys.argv[3]) if len(sys.argv) > 3 else 5000
    with tempfile.TemporaryDirectory() as folder:
        with_bad_lots(program, pathlib.Path(folder), worlds, reports)
        without_bad_lots(program, pathlib.Path(folder), worlds, reports)


if __name__ == "__main__":
    main()
