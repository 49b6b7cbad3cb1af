"""Suggestions against scikit-learn's TF-IDF with logistic regression: 5 folds, 5 repeats, catalogue plus training folds only.

usage: compare.py SUGGESTION_FOLDS [REPEATS]

Both learn from the same texts (kind and name, mechanism, how it is found, and each phrase of units, for each mode, and the
narratives outside the fold) and foretell the same narratives. scikit-learn is run as it comes and as its users would set it
for short texts: words and pairs with letter groups, weaker penalty. Folds are dealt within each mode, by the repeat's number.
"""

import csv
import io
import math
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.linear_model import LogisticRegression
from sklearn.pipeline import make_union

DATA = Path("crates/domain/data")
FOLDS = 5
BINS = 10


def read(name):
    with open(DATA / name, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


CATALOGUE, EXAMPLES = read("failure-modes.csv"), read("narratives-example.csv")
MODES = [row["mode"] for row in CATALOGUE]
TRUTH = np.array([MODES.index(row["mode"]) for row in EXAMPLES])
DIFFICULTY = np.array([row["difficulty"] for row in EXAMPLES])
TOLD = [row["narrative"] for row in EXAMPLES]


def catalogue_texts():
    for number, row in enumerate(CATALOGUE):
        said = [f"{row['kind_name']} {row['mode_name']}", row["mechanism"], row["how_found"]]
        for text in said + row["field_words"].split(";"):
            if text.strip():
                yield text.strip(), number


def deal(repeat):
    """The fold of each narrative: shuffled within its mode, dealt on from mode to mode."""
    order = np.random.RandomState(repeat).permutation(len(TRUTH))
    folds, dealt = np.empty(len(TRUTH), int), repeat
    for mode in range(len(MODES)):
        for row in order[TRUTH[order] == mode]:
            folds[row] = dealt % FOLDS
            dealt += 1
    return folds


def ours(program, folds):
    table = io.StringIO()
    writer = csv.writer(table)
    writer.writerow(["narrative", "mode", *(f"repeat {n}" for n in range(len(folds)))])
    for row, told in enumerate(TOLD):
        writer.writerow([told, MODES[TRUTH[row]], *(fold[row] for fold in folds)])
    ended = subprocess.run([program], input=table.getvalue(), capture_output=True, text=True, check=True)
    foretold = np.zeros((len(folds), len(TOLD), len(MODES)))
    for line in ended.stdout.splitlines():
        repeat, row, *chances = line.split(",")
        foretold[int(repeat), int(row)] = [float(chance) for chance in chances]
    return foretold


def theirs(vectorizer, strength, folds):
    texts, labels = zip(*catalogue_texts())
    foretold = np.zeros((len(folds), len(TOLD), len(MODES)))
    for repeat, fold in enumerate(folds):
        for left_out in range(FOLDS):
            kept, out = np.flatnonzero(fold != left_out), np.flatnonzero(fold == left_out)
            vectors = vectorizer()
            known = vectors.fit_transform([TOLD[row] for row in kept] + list(texts))
            model = LogisticRegression(C=strength, max_iter=1000)
            model.fit(known, np.concatenate([TRUTH[kept], labels]))
            foretold[repeat][out] = model.predict_proba(vectors.transform([TOLD[row] for row in out]))
    return foretold


def measure(foretold):
    ranked = np.argsort(-foretold, axis=2, kind="stable")
    right = ranked == TRUTH[None, :, None]
    for name in ("all", "easy", "medium", "hard"):
        of = np.ones(len(TRUTH), bool) if name == "all" else DIFFICULTY == name
        tops = [100 * right[:, of, :most].any(axis=2).mean() for most in (1, 3, 5)]
        own = foretold[:, of][:, np.arange(of.sum()), TRUTH[of]]
        loss = -np.log(np.maximum(own, 1e-12)).mean()
        sure, hit = foretold[:, of].max(axis=2).ravel(), right[:, of, 0].ravel()
        bins = np.minimum((sure * BINS).astype(int), BINS - 1)
        error = sum(
            abs(hit[bins == n].mean() - sure[bins == n].mean()) * (bins == n).mean() for n in range(BINS) if (bins == n).any()
        )
        print(f"  {name:<7}{of.sum():>5}" + "".join(f"{top:>9.1f}" for top in tops) + f"{error:>12.3f}{loss:>10.3f}")


def main():
    program, repeats = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 5
    folds = [deal(repeat) for repeat in range(repeats)]
    print(f"{len(TOLD)} invented narratives, {len(MODES)} modes, {FOLDS} folds, {repeats} repeats")
    print("  narratives    top 1 %  top 3 %  top 5 %  calibration  log loss")
    pairs = lambda: make_union(  # noqa: E731
        TfidfVectorizer(ngram_range=(1, 2), sublinear_tf=True),
        TfidfVectorizer(analyzer="char_wb", ngram_range=(3, 5), sublinear_tf=True),
    )
    runs = [
        ("Bartack", lambda: ours(program, folds)),
        ("scikit-learn, TfidfVectorizer() and LogisticRegression()", lambda: theirs(TfidfVectorizer, 1.0, folds)),
        ("scikit-learn, words, sublinear, C=30", lambda: theirs(lambda: TfidfVectorizer(sublinear_tf=True), 30.0, folds)),
        ("scikit-learn, words, pairs and letters, sublinear, C=10", lambda: theirs(pairs, 10.0, folds)),
    ]
    for name, run in runs:
        began = time.time()
        foretold = run()
        assert math.isclose(foretold.sum(), foretold.shape[0] * len(TOLD), rel_tol=1e-3), "each row is a distribution"
        print(f"{name} ({time.time() - began:.0f} s)")
        measure(foretold)


if __name__ == "__main__":
    main()
