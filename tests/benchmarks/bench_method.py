"""Measure the method on simulated plants whose causes are known, beside plain orders.

Run: python -m tests.benchmarks.bench_method [--worlds 100] [--scenario NAME ...] [--tuning]
With --watch, the scenarios are watched month after month as one of eight groups of complaints.

Odd seeds are held out and reported; even seeds are for tuning. Limits are exact 95 %
binomial limits.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable, Iterable

from scipy.stats import binomtest, chi2, kstest

from tests.benchmarks.worlds.scenarios import SCENARIOS
from tests.benchmarks.worlds.verdicts import Verdict, judge_world
from tests.benchmarks.worlds.watching import GROUPS, Watched, watch

CAUSELESS = (
    "nothing",
    "trend",
    "models",
    "pulse",
    "short pulse",
    "nothing, many levels",
    "harsh nothing",
    "harsh pulse",
)
PLAIN = ("raw share", "lift", "lift, 3 cases", "Fisher", "landmark Fisher", "gamma-Poisson")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--worlds", type=int, default=100, help="of each scenario")
    parser.add_argument("--scenario", nargs="*", default=list(SCENARIOS))
    parser.add_argument("--resamples", type=int, default=199)
    parser.add_argument("--tuning", action="store_true", help="use the even seeds")
    parser.add_argument("--first", type=int, default=0, help="number of the first world")
    parser.add_argument("--watch", action="store_true", help="month after month")
    given = parser.parse_args()
    for name in given.scenario:
        begin = time.perf_counter()
        seeds = [
            2 * number + (0 if given.tuning else 1)
            for number in range(given.first, given.first + given.worlds)
        ]
        if given.watch:
            print_watch(name, [watch(name, seed) for seed in seeds])
            print(f"    {time.perf_counter() - begin:.0f} s", flush=True)
            continue
        worlds = [judge_world(name, seed, resamples=given.resamples) for seed in seeds]
        print_scenario(name, worlds)
        print(f"    {time.perf_counter() - begin:.0f} s", flush=True)


def print_scenario(name: str, worlds: list[Verdict]) -> None:
    """Print all that is known about one scenario."""
    cases = statistics.fmean(v.cases for v in worlds)
    seconds = statistics.median(v.seconds for v in worlds)
    print(
        f"\n{name}: {len(worlds)} worlds, {cases:.0f} cases, method {seconds:.2f} s in the median"
    )
    if name in CAUSELESS:
        print_causeless(worlds)
        return
    for order in (*PLAIN, "ours", "told the ratio"):
        line(f"{order}: first", worlds, lambda v, o=order: v.ranks.get(o, 999) == 1)
        line(f"{order}: first five", worlds, lambda v, o=order: v.ranks.get(o, 999) <= 5)
    able = [v for v in worlds if v.true_cases >= 4 and v.p_true < 0.05]
    line("ours, detectable: first", able, lambda v: v.ranks["ours"] == 1)
    line("ours, detectable: first five", able, lambda v: v.ranks["ours"] <= 5)
    four = [v for v in worlds if v.true_cases == 4]
    line("ours, four true cases: first five", four, lambda v: v.ranks["ours"] <= 5)
    line("at least one true case", worlds, lambda v: v.true_cases > 0)
    estimated = [v for v in worlds if v.covered is not None]
    line("95 % limits of the true level hold", estimated, lambda v: bool(v.covered))
    if estimated:
        ratio = statistics.median(v.ratio for v in estimated)
        print(f"    estimated over true ratio, median      {ratio:5.2f}")
    line("shortlist holds the true level", worlds, lambda v: bool(v.on_shortlist))
    print(f"    levels on the shortlist, median        {statistics.median(lengths(worlds)):5.0f}")
    line("level 2: cause", worlds, lambda v: any(c.startswith("cause") for c in v.calls))
    line("level 2: overlaps the cause", worlds, lambda v: any(c.startswith("rel") for c in v.calls))
    line("level 2: unrelated", worlds, lambda v: "wrong" in v.calls)
    line("unrelated leader, p <= .05", worlds, lambda v: v.misled)
    right = [v for v in worlds if v.beyond_days is not None]
    line("beyond its building days when it leads", right, lambda v: bool(v.beyond_days))
    print_special(name, worlds)


def print_watch(name: str, watched: list[Watched]) -> None:
    """Print how often and how soon the watch raises an alarm."""
    years = sum(one.years for one in watched)
    alarms = sum(one.false_alarms for one in watched)
    high = chi2.ppf(0.975, 2 * alarms + 2) / 2.0
    low = chi2.ppf(0.025, 2 * alarms) / 2.0 if alarms else 0.0
    print(f"\nwatched {name}: {len(watched)} worlds, {years:.0f} years of one group")
    print(
        f"    false alarms a year, {GROUPS} groups          {GROUPS * alarms / years:5.2f}"
        f" ({GROUPS * low / years:.2f} to {GROUPS * high / years:.2f})"
    )
    could = [one for one in watched if one.third == one.third]
    if could:
        found = [one for one in could if one.found == one.found]
        hits = binomtest(len(found), len(could)).proportion_ci(method="exact")
        print(
            f"    found, of those with three cases       {100 * len(found) / len(could):5.1f} %"
            f" ({100 * hits.low:.1f} to {100 * hits.high:.1f})"
        )
        if found:
            delay = statistics.median(one.found - one.third for one in found)
            cases = statistics.median(one.cases_at_alarm for one in found)
            print(f"    days after the third case, median      {delay:5.0f}")
            print(f"    cases with the cause at the alarm      {cases:5.0f}")


def lengths(worlds: list[Verdict]) -> list[int]:
    """Lengths of the shortlists."""
    return [v.shortlist for v in worlds]


def print_causeless(worlds: list[Verdict]) -> None:
    """Print how often something is named where nothing is the cause."""
    for limit in (0.05, 0.20):
        line(f"family-wise p <= {limit}", worlds, lambda v, p=limit: v.p_family <= p)
    far = kstest([v.p_family for v in worlds], "uniform")
    print(f"    family-wise p against uniform          D {far.statistic:.3f}, p {far.pvalue:.2f}")
    for test in ("Fisher", "landmark Fisher"):
        line(f"{test}, Bonferroni .05", worlds, lambda v, t=test: v.called[t])
    line("any row at level 2", worlds, lambda v: bool(v.calls))


def print_special(name: str, worlds: list[Verdict]) -> None:
    """Print what is asked of some scenarios only."""
    if name.endswith("two causes"):
        both = [v for v in worlds if min(v.cases_of) >= 4]
        line("both in the first five by round 3", worlds, lambda v: v.shown == {1, 2})
        line("the same, four cases of each", both, lambda v: v.shown == {1, 2})
        line("both led a round", worlds, lambda v: v.led == {1, 2})
    if name == "aliased":
        line("lot and mold in one row", worlds, lambda v: v.same_row is True)
    if name.endswith("nearly aliased"):
        line("true one before the other", worlds, lambda v: v.true_first is True)
        line("discriminating hulls listed", worlds, lambda v: v.apart > 0)
    if name == "pair":
        line("pair in the first five", worlds, lambda v: (v.pair_rank or 999) <= 5)
        line("a half of the pair at level 2", worlds, lambda v: bool(v.calls))
    if name.endswith("supplier"):
        for verdict in sorted({v.nesting or "" for v in worlds}):
            line(f"parent or child: {verdict}", worlds, lambda v, w=verdict: v.nesting == w)


def line(what: str, worlds: Iterable[Verdict], test: Callable[[Verdict], bool]) -> None:
    """Print one share with its limits."""
    hits = [bool(test(verdict)) for verdict in worlds]
    if not hits:
        return
    limits = binomtest(sum(hits), len(hits)).proportion_ci(method="exact")
    share = 100 * sum(hits) / len(hits)
    print(f"    {what:38s} {share:5.1f} % ({100 * limits.low:4.1f} to {100 * limits.high:5.1f})")


if __name__ == "__main__":
    main()
