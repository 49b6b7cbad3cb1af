#!/usr/bin/env python3
"""Simulates worlds in which units tell as much since a change as before it, strikes nine in ten reports of what the change is
to cure from the books of some of them, from the cut-in on and by chance, and prints what the analysis says of both, as a
Markdown table.

Usage: tests/bench/silenced.py PROGRAM [WORLDS] [SILENCED]
    PROGRAM: a built bartack; seeds 20001 and up, 300 WORLDS by default, of which the first 89 are SILENCED too

What it printed last stands in proofs.md beside this file.
"""

import csv
import json
import pathlib
import random
import statistics
import subprocess
import sys
import tempfile

FIRST = 20001
REPORTS = 4000
AS_OF = "2026-06-30"
STRUCK = 0.9
MANY_FOUND = 10


def told(program, pack, change_no):
    """What is told of a change since its cut-in; None without inspections on both sides."""
    command = [program, "analyse", pack, "--as-of", AS_OF, "--json"]
    said = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
    change = next(change for change in said["changes"] if change["change_no"] == change_no)
    telling = (change["side_effects"] or {}).get("telling")
    return telling if telling and telling["ratio"] else None


def silence(pack, part_no, mode, since, draw):
    """Strikes reports of a mode that were found from a day on."""
    path = pack / "reports.csv"
    with path.open(newline="") as file:
        rows = csv.DictReader(file)
        names = rows.fieldnames
        concerned = lambda row: (row["part_no"], row["mode"]) == (part_no, mode) and row["found_on"] >= since
        kept = [row for row in rows if not concerned(row) or draw.random() >= STRUCK]
    with path.open("w", newline="") as file:
        out = csv.DictWriter(file, names, lineterminator="\n")
        out.writeheader()
        out.writerows(kept)


def line(what, found):
    def says(words):
        return sum(telling["says"] == words for telling in found)

    ratio = statistics.median(telling["ratio"]["estimate"] for telling in found) if found else float("nan")
    numbers = [says("less than before"), says("cannot be told"), says("more than before")]
    print(f"| {what} | {len(found)} | " + " | ".join(map(str, numbers)) + f" | {ratio:.2f} |")


def main():
    program = pathlib.Path(sys.argv[1]).resolve()
    worlds, silenced = (int(sys.argv[at]) if len(sys.argv) > at else usual for at, usual in [(2, 300), (3, 89)])
    plain, silent = [], []
    for seed in range(FIRST, FIRST + worlds):
        with tempfile.TemporaryDirectory() as folder:
            pack = pathlib.Path(folder) / "pack"
            command = [program, "simulate", pack, "--varied", "--reports", str(REPORTS), "--seed", str(seed)]
            subprocess.run(command, check=True, capture_output=True)
            truth = json.loads(pathlib.Path(f"{pack}.truth.json").read_text())["change"]
            plain.append(told(program, pack, truth["change_no"]))
            if seed < FIRST + silenced:
                with (pack / "changes.csv").open(newline="") as file:
                    rows = csv.DictReader(file)
                    since = next(r["cut_in_on"] for r in rows if r["change_no"] == truth["change_no"])
                silence(pack, truth["part_no"], truth["mode"], since, random.Random(seed))
                silent.append(told(program, pack, truth["change_no"]))
    plain, silent = ([telling for telling in both if telling] for both in (plain, silent))
    print("| worlds | with inspections on both sides | said to tell less | cannot be told | said to tell more | median of the ratio |")
    print("|---|---|---|---|---|---|")
    line(f"{worlds} in which nothing changed", plain)
    line(f"the first {silenced} of them, nine in ten fallen silent", silent)
    many = [telling for telling in silent if telling["before"]["found"] >= MANY_FOUND]
    line(f"of these, {MANY_FOUND} or more found before the cut-in", many)
    named = sum(bool(telling["stopped"]) for telling in plain)
    print(f"\n{named} of the {worlds} in which nothing changed name a unit whose reports stopped.")


if __name__ == "__main__":
    main()
