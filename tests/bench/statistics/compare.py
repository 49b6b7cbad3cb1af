"""Times the `stats` crate against general Python libraries: same inputs, same run, one thread, best of as many rounds.

The libraries are charged the processor time they took, the crate the time that passed, so that other work on the
machine can only make the crate look slower. Arrays for the libraries are made beforehand.

A method's results are held equal before its times mean anything; a disagreement ends the run with status 1. Prints a
Markdown table of ratios and writes nothing. `run` beside this file sets it up.
"""

import json
import math
import statistics
import subprocess
import sys
import time
import warnings

import lifelines
import lifelines.statistics
import numpy as np
import scipy
import scipy.special
import scipy.stats
import sklearn
import sklearn.metrics
import statsmodels
import statsmodels.stats.multitest
import statsmodels.stats.proportion
import statsmodels.stats.rates

warnings.filterwarnings("ignore")
draw = np.random.default_rng(20261126)
FAILED, SURVIVED, BETWEEN = 0, 1, 2


def counts(most, n=400):
    return [[int(draw.integers(0, most)), float(draw.uniform(10, 5000))] for _ in range(n)]


def lifetimes(n, law):
    age, stop = law(n), draw.uniform(0.2, 3.0, n)
    kept = np.minimum(age, stop)
    return [[FAILED if a <= s else SURVIVED, float(k), 0.0, 1.0] for a, s, k in zip(age, stop, kept)]


def between_looks(n):
    """Lives found failed at one of the looks, each unit looked at on days of its own, so that no two rows are alike."""
    rows = []
    for age, first in zip(draw.weibull(1.7, n), draw.uniform(0.0, 0.05, n)):
        looks = math.floor((age - first) * 20)
        low = max(first + looks / 20, 0.0)
        rows.append([BETWEEN, low, first + (looks + 1) / 20, 1.0] if age < 2 else [SURVIVED, 2.0 + first, 0.0, 1.0])
    return rows


weibull = lifetimes(10_000, lambda n: draw.weibull(1.7, n))
lognormal = lifetimes(10_000, lambda n: draw.lognormal(0, 0.6, n))
grouped = between_looks(10_000)
pairs = [[*counts(60, 1)[0], *counts(60, 1)[0]] for _ in range(200)]
trials = [[int(k), int(n)] for n in draw.integers(5, 4000, 400) for k in [draw.integers(0, n + 1)]]
samples = [[list(draw.normal(10, 2, 12)), list(draw.normal(11, 3, 9))] for _ in range(200)]
judged = [list(map(int, draw.integers(0, 12, 10_000))) for _ in range(2)]
half = len(weibull) // 2
expected = draw.gamma(0.5, 2.0, 100_000) + 0.01
true_ratio = np.where(draw.random(100_000) < 0.05, draw.gamma(4, 1, 100_000), draw.gamma(20, 1 / 20, 100_000))
cells = [[int(k), float(e)] for k, e in zip(draw.poisson(expected * true_ratio), expected)]

INPUTS = {
    "poisson_interval": counts(300),
    "poisson_interval_million": 1_000_000,
    "binomial_interval": trials,
    "rate_ratio_test": pairs,
    "rate_ratio_interval": pairs,
    "gamma_inverse": [[float(a), float(p)] for a, p in zip(10 ** draw.uniform(-1, 4, 1000), draw.uniform(0.001, 0.999, 1000))],
    "beta_inverse": [
        [float(a), float(b), float(p)]
        for a, b, p in zip(10 ** draw.uniform(-0.3, 3, 1000), 10 ** draw.uniform(-0.3, 3, 1000), draw.uniform(0.001, 0.999, 1000))
    ],
    "weibull_fit": weibull,
    "weibull_fit_intervals": grouped,
    "weibull_profile": grouped,
    "lognormal_fit": lognormal,
    "exponential_fit": weibull,
    "survival_curve": weibull,
    "log_rank": [weibull[:half], weibull[half:]],
    "false_discovery": list(draw.random(10_000)),
    "kappa": judged,
    "adjusted_rand": judged,
    "welch": samples,
    "two_gammas": cells,
}


def columns(rows):
    table = np.array(rows)
    return table[:, 1], table[:, 0] == FAILED


def poisson_limits(k, exposure):
    low = scipy.stats.chi2.ppf(0.025, 2 * k) / 2 if k else 0.0
    return [low / exposure, scipy.stats.chi2.ppf(0.975, 2 * k + 2) / 2 / exposure]


def poisson_limits_at_once(last):
    k = np.arange(last)
    low = scipy.stats.chi2.ppf(0.025, 2 * k) / 2
    low[0] = 0.0
    return np.column_stack([low, scipy.stats.chi2.ppf(0.975, 2 * k + 2) / 2]).ravel()


def ratio_limits(k1, t1, k2, t2):
    if k1 + k2 == 0:
        return [0.0, math.inf]
    share = scipy.stats.binomtest(k1, k1 + k2, 0.5).proportion_ci(0.95, "exact")
    odds = [share.low / (1 - share.low), share.high / (1 - share.high) if share.high < 1 else math.inf]
    return [o * t2 / t1 for o in odds]


def looks(rows):
    return np.array([r[1] for r in rows]), np.array([r[2] if r[0] == BETWEEN else np.inf for r in rows])


def intervals_fit(looks):
    low, high = looks
    found = lifelines.WeibullFitter().fit_interval_censoring(low, high)
    return [found.lambda_, found.rho_]


def fitted(fitter, names, lives):
    age, failed = lives
    found = fitter().fit(age, failed)
    return [getattr(found, name) for name in names]


def survival(lives):
    age, failed = lives
    curve = lifelines.KaplanMeierFitter().fit(age, failed).survival_function_.iloc[:, 0]
    return curve[np.unique(age[failed])].to_numpy()


def log_rank(one, two):
    (a, fa), (b, fb) = one, two
    return [lifelines.statistics.logrank_test(a, b, fa, fb).test_statistic]


def welch(old, new):
    test = scipy.stats.ttest_ind(new, old, equal_var=False)
    limits = test.confidence_interval(0.95)
    return [test.pvalue, limits.low, limits.high]


def flat(lists):
    return [value for values in lists for value in values]


# What a library gets in place of the rows, where it wants arrays.
ARRAYS = {
    "weibull_fit": columns,
    "weibull_fit_intervals": looks,
    "lognormal_fit": columns,
    "exponential_fit": columns,
    "survival_curve": columns,
    "log_rank": lambda x: [columns(x[0]), columns(x[1])],
    "false_discovery": np.array,
    "kappa": np.array,
    "adjusted_rand": np.array,
    "welch": lambda x: [[np.array(old), np.array(new)] for old, new in x],
}

# Methods for which a library's single call answers many cases at once.
AT_ONCE = ["poisson_interval_million", "false_discovery"]

# Methods whose calls rest on a function that would also take arrays of cases, and are made one by one here.
COULD_BE_AT_ONCE = ["poisson_interval", "binomial_interval", "gamma_inverse", "beta_inverse"]

# As many as the crate gets, unless they take longer than this many seconds together.
ROUNDS, ENOUGH = 20, 6

# Method: the words of the table, the library, how closely results must agree, and the library's way.
# Fits agree as far as a search that stops early lets them.
LIBRARIES = {
    "poisson_interval": ("exact Poisson limits, one by one", "scipy", 1e-9, lambda x: flat(poisson_limits(*c) for c in x)),
    "poisson_interval_million": ("exact Poisson limits, k = 0 to 999,999", "scipy, vectorised", 1e-9, poisson_limits_at_once),
    "binomial_interval": (
        "Clopper-Pearson limits, one by one", "statsmodels", 1e-9,
        lambda x: flat(statsmodels.stats.proportion.proportion_confint(k, n, 0.05, "beta") for k, n in x),
    ),
    "rate_ratio_test": (
        "exact test of two rates", "statsmodels", 1e-9,
        lambda x: [
            statsmodels.stats.rates.test_poisson_2indep(k1, t1, k2, t2, method="exact-cond").pvalue for k1, t1, k2, t2 in x
        ],
    ),
    "rate_ratio_interval": ("exact limits of a ratio", "scipy", 1e-6, lambda x: flat(ratio_limits(*c) for c in x)),
    "gamma_inverse": ("inverse incomplete gamma, one by one", "scipy", 1e-8, lambda x: [scipy.special.gammaincinv(*c) for c in x]),
    "beta_inverse": ("inverse incomplete beta, one by one", "scipy", 1e-8, lambda x: [scipy.special.betaincinv(*c) for c in x]),
    "weibull_fit": (
        "Weibull fit, 10,000 lives with survivors", "lifelines", 1e-4,
        lambda x: fitted(lifelines.WeibullFitter, ["lambda_", "rho_"], x),
    ),
    "weibull_fit_intervals": ("Weibull fit, 10,000 lives between looks", "lifelines", 1e-4, intervals_fit),
    "lognormal_fit": (
        "lognormal fit, 10,000 lives with survivors", "lifelines", 1e-4,
        lambda x: (lambda mu, sigma: [math.exp(mu), sigma])(*fitted(lifelines.LogNormalFitter, ["mu_", "sigma_"], x)),
    ),
    "exponential_fit": (
        "exponential fit, 10,000 lives", "lifelines", 1e-6, lambda x: fitted(lifelines.ExponentialFitter, ["lambda_"], x),
    ),
    "survival_curve": ("Kaplan-Meier curve, 10,000 lives", "lifelines", 1e-9, survival),
    "log_rank": ("log-rank test, two times 5,000 lives", "lifelines", 1e-9, lambda x: log_rank(*x)),
    "false_discovery": (
        "false discovery rate, 10,000 tests", "statsmodels", 1e-9,
        lambda x: statsmodels.stats.multitest.multipletests(x, method="fdr_bh")[1],
    ),
    "kappa": ("Cohen's kappa, 10,000 items", "scikit-learn", 1e-9, lambda x: [sklearn.metrics.cohen_kappa_score(*x)]),
    "adjusted_rand": ("adjusted Rand index, 10,000 items", "scikit-learn", 1e-9, lambda x: [sklearn.metrics.adjusted_rand_score(*x)]),
    "welch": ("Welch's test with limits", "scipy", 1e-9, lambda x: flat(welch(*c) for c in x)),
}
ALONE = {
    "weibull_profile": "Weibull fit to 10,000 grouped rows with profile limits",
    "two_gammas": "two gammas fitted to 100,000 cells",
}


def best_of(way):
    best, spent, results = math.inf, 0.0, None
    for _ in range(ROUNDS):
        began = time.process_time()
        results = way()
        took = time.process_time() - began
        best, spent = min(best, took), spent + took
        if spent > ENOUGH:
            break
    return best, [float(r) for r in results]


def worst_difference(ours, theirs):
    if len(ours) != len(theirs):
        return math.inf
    worst = 0.0
    for a, b in zip(ours, theirs):
        if a is None:
            a = math.inf
        if a != b:
            worst = max(worst, abs(a - b) / max(abs(a), abs(b), 1e-12))
    return worst


def main():
    program = sys.argv[1]
    done = subprocess.run([program], input=json.dumps(INPUTS), capture_output=True, text=True, check=True)
    ours = json.loads(done.stdout)
    print(f"scipy {scipy.__version__}, statsmodels {statsmodels.__version__}, lifelines {lifelines.__version__}, scikit-learn {sklearn.__version__}\n")
    print("| method | against | times faster | results differ by at most |\n|---|---|---|---|")
    ratios, agree = {}, True
    for method, (words, library, tolerance, way) in LIBRARIES.items():
        given = ARRAYS.get(method, lambda x: x)(INPUTS[method])
        seconds, theirs = best_of(lambda: way(given))
        differ = worst_difference(ours[method]["results"], theirs)
        agree &= differ <= tolerance
        ratio = seconds / ours[method]["seconds"]
        if method not in AT_ONCE:
            ratios[method] = ratio
        told = f"{differ:.1e}" + ("" if differ <= tolerance else " TOO MUCH")
        print(f"| {words} | {library} | {ratio:,.{0 if ratio >= 10 else 1}f} | {told} |", flush=True)
    print(f"\nmedian where a library's call answers one case: {statistics.median(ratios.values()):,.0f} times faster")
    without = [ratio for method, ratio in ratios.items() if method not in COULD_BE_AT_ONCE]
    print(f"the same without calls that could be made for many cases at once: {statistics.median(without):,.0f}")
    for method, words in ALONE.items():
        print(f"{words}: {1000 * ours[method]['seconds']:.1f} ms")
    sys.exit(0 if agree else 1)


if __name__ == "__main__":
    main()
