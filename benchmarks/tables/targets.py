"""What hoistopt is to reach, and whether the runs at hand show it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from ..store import Row
from ..suites import Batch
from .measured import Measured, Pair, measured

SPEEDUP, SLOWER, GAP, OF_TEN = 8.0, 1.1, 0.05, 0.9
WORSE, OF_MERGED, OF_LATER = Fraction("0.005"), Fraction("1.02"), Fraction("1.05")
MEMORY = 1024.0
OURS = ("hoistopt", "command")
"""Methods that the target of memory is for."""


@dataclass(frozen=True)
class Verdict:
    """One target; `met` None while runs are missing."""

    target: str
    measured: str
    met: bool | None


Ours = dict[str, Measured]
Pairs = dict[Pair, Measured]


def judge(batches: list[Batch], rows: Sequence[Row], known: Sequence[Row] = ()) -> list[Verdict]:
    """A verdict for every batch that aims at something, from runs with its limit; one on memory.

    Parameters
    ----------
    batches : list of Batch
    rows : sequence of Row
        Runs of these batches.
    known : sequence of Row
        Other runs, to hold those against that need some with a longer limit.
    """
    verdicts = []
    for batch in batches:
        if not batch.aim:
            continue
        target, judging = _AIMS[batch.aim]
        here, whole = _runs(batch, rows)
        if batch.against is None:
            told, met = judging(here, {}) if here else ("not run", None)
        else:
            longer = replace(batch, time_limit=batch.against)
            later, also = _runs(longer, known)
            of_rows, at_once = _runs(longer, rows)
            later, whole = later | of_rows, whole and (also or at_once)
            told, met = judging(here, later) if here and later else ("not run", None)
        verdicts.append(Verdict(target, told, met if whole else None))
    return [*verdicts, *_memory(batches, rows)]


def _runs(batch: Batch, rows: Sequence[Row]) -> tuple[Pairs, bool]:
    """The runs of a batch with its limit, and whether they are all there."""
    found = measured(row for row in rows if row.time_limit == batch.time_limit)
    wanted = [(case.name, method) for case in batch.cases for method in batch.methods]
    here = {pair: found[pair] for pair in wanted if pair in found}
    whole = len(here) == len(wanted) and all(
        len(runs.rows) >= batch.runs(method) for (_, method), runs in here.items()
    )
    return here, whole


def _memory(batches: list[Batch], rows: Sequence[Row]) -> list[Verdict]:
    """A verdict on every run of hoistopt, where the batches have any."""
    if not any(method in OURS for batch in batches for method in batch.methods):
        return []
    runs = [row for row in rows if row.method in OURS]
    over = sorted({row.case for row in runs if row.peak_mb > MEMORY})
    told = "not run"
    if runs:
        most = max(runs, key=lambda row: row.peak_mb)
        told = f"at most {most.peak_mb:.0f} MiB ({most.case}, {most.time_limit:g} s)"
    if over:
        told += "; more than 1 GiB: " + ", ".join(over)
    whole = all(_runs(batch, rows)[1] for batch in batches)
    target = "hoistopt on every line of the suite: at most 1 GiB"
    return [Verdict(target, told, False if over else True if whole else None)]


def _of(here: Pairs, method: str) -> Ours:
    return {case: runs for (case, name), runs in here.items() if name == method}


def _by(ours: Ours, key: Callable[[Measured], str]) -> dict[str, list[Measured]]:
    groups: dict[str, list[Measured]] = {}
    for runs in ours.values():
        groups.setdefault(key(runs), []).append(runs)
    return groups


def _proof(here: Pairs) -> tuple[str, bool]:
    groups = _by(_of(here, "hoistopt"), lambda runs: runs.last.family)
    parts, met = [], True
    for family, runs in groups.items():
        proven = sum(each.seconds is not None for each in runs)
        theirs = sum(
            each.seconds is not None
            for each in _of(here, "direct").values()
            if each.last.family == family
        )
        parts.append(f"{family}: {proven} of {len(runs)} (direct model {theirs})")
        met = met and proven >= OF_TEN * len(runs)
    return "; ".join(parts), met


def _gap(here: Pairs) -> tuple[str, bool]:
    gaps = [runs.gap for runs in _of(here, "hoistopt").values()]
    good = sum(gap is not None and gap <= GAP for gap in gaps)
    worst = max((gap for gap in gaps if gap is not None), default=1.0)
    return f"{good} of {len(gaps)}, largest gap {worst:.1%}", good >= OF_TEN * len(gaps)


def _in_time(here: Pairs) -> tuple[str, bool]:
    runs = list(_of(here, "hoistopt").values())
    firsts = [each.first for each in runs]
    good = sum(
        first is not None and first <= each.last.time_limit
        for first, each in zip(firsts, runs, strict=True)
    )
    slowest = max((first for first in firsts if first is not None), default=0.0)
    return f"{good} of {len(runs)}, the slowest after {slowest:.2f} s", good == len(runs)


def _published(here: Pairs) -> tuple[str, bool]:
    parts, met = [], True
    for case, runs in _of(here, "hoistopt").items():
        direct = here.get((case, "direct"))
        if runs.seconds is None or direct is None:
            parts.append(f"k{runs.last.degree}: not proved")
            met = False
            continue
        ratio = direct.counted / runs.seconds
        more = "at least " if direct.seconds is None else ""
        parts.append(f"k{runs.last.degree}: {runs.seconds:.2f} s, {more}{ratio:.1f} times faster")
        met = met and ratio >= SPEEDUP
    return "; ".join(parts), met


def _narrow(here: Pairs) -> tuple[str, bool]:
    over, worst, compared = [], 0.0, 0
    for case, runs in _of(here, "hoistopt").items():
        direct = here.get((case, "direct"))
        if direct is None or (runs.seconds is None and direct.seconds is None):
            continue
        compared += 1
        ratio = runs.counted / direct.counted
        worst = max(worst, ratio)
        if ratio > SLOWER:
            over.append(case)
    told = f"{compared - len(over)} of {compared} within 10 %, the worst at {worst:.2f}"
    return told, not over


def against_stock(ours: Measured, stock: Measured) -> list[str]:
    """In what the worst of our runs is worse than stock CP-SAT: none, or some of three words."""
    worse = []
    if stock.longest is not None and (
        ours.longest is None or ours.longest > stock.longest * (1 + WORSE)
    ):
        worse.append("cycle")
    if stock.last.bound is not None and (ours.bound or 0) < stock.last.bound * (1 - WORSE):
        worse.append("bound")
    if stock.seconds is not None and ours.seconds is None:
        worse.append("proof")
    return worse


def _stock(here: Pairs) -> tuple[str, bool]:
    stock = _of(here, "stock")
    both = {case: runs for case, runs in _of(here, "hoistopt").items() if case in stock}
    worse = [f"{c} ({', '.join(w)})" for c, r in both.items() if (w := against_stock(r, stock[c]))]
    peak = max((runs.peak for runs in both.values()), default=0.0)
    told = f"{len(both) - len(worse)} of {len(both)}, at most {peak:.0f} MiB"
    if worse:
        told += "; worse: " + ", ".join(worse)
    return told, not worse and peak <= MEMORY


def _groups(here: Pairs) -> tuple[str, bool]:
    """The time per load of a group against that of its line merged."""
    return _per_load(here, "zinc-merged", lambda runs: runs.longest, OF_MERGED)


def _less(here: Pairs) -> tuple[str, bool]:
    """The time per load of a group against that of the same line with a tank out of service."""
    told, met = _per_load(here, "zinc-less", lambda runs: runs.cycle, Fraction(1))
    return told or "no line has both runs", met


def _per_load(
    here: Pairs, family: str, cycle: Callable[[Measured], int | None], most: Fraction
) -> tuple[str, bool]:
    """The longest time per load of each line against that of its twin in another family."""
    ours = list(_of(here, "hoistopt").values())
    twins = {(runs.last.tanks, runs.last.seed): runs for runs in ours if runs.last.family == family}
    parts, met = [], True
    for runs in ours:
        twin = twins.get((runs.last.tanks, runs.last.seed))
        theirs = None if twin is None else cycle(twin)
        if runs.last.family == family or twin is None or theirs is None:
            continue
        if runs.longest is None:
            parts.append(f"{runs.last.case}: no schedule")
            met = False
            continue
        ratio = Fraction(runs.longest * twin.last.degree, runs.last.degree * theirs)
        parts.append(f"{runs.last.case}: {float(ratio):.3f}")
        # Cycle times are whole ticks: of loads that need 7,238.67 each, four take 28,955.
        met = met and runs.longest <= ceil(most * theirs * runs.last.degree / twin.last.degree)
    return "; ".join(parts), met


def _soon(here: Pairs, later: Pairs) -> tuple[str, bool]:
    """The longest cycle of the searches against the shortest with the longer limit."""
    far, compared, worst = [], 0, Fraction(1)
    for pair, runs in here.items():
        best = later[pair].cycle if pair in later else None
        if best is None:
            continue
        compared += 1
        if runs.longest is None:
            far.append(f"{runs.last.case} (no schedule)")
            continue
        ratio = Fraction(runs.longest, best)
        worst = max(worst, ratio)
        if ratio > OF_LATER:
            far.append(f"{runs.last.case} ({float(ratio):.3f})")
    told = f"{compared - len(far)} of {compared}, the worst of those with a schedule at "
    told += f"{float(worst):.3f}"
    if far:
        told += "; further: " + ", ".join(far)
    return told, not far


Judging = Callable[[Pairs, Pairs], tuple[str, bool]]


def _alone(judging: Callable[[Pairs], tuple[str, bool]]) -> Judging:
    """Of runs that are not held against others with a longer limit."""
    return lambda here, _: judging(here)


_AIMS: dict[str, tuple[str, Judging]] = {
    "proof-20": (
        "20 tanks, loose and very loose: proved within 60 s on 9 of 10 seeds",
        _alone(_proof),
    ),
    "gap-40": ("40 tanks, loose: gap at most 5 % within 60 s on 9 of 10 seeds", _alone(_gap)),
    "schedule-60": ("60 tanks, any family: a checked schedule within 10 s", _alone(_in_time)),
    "published": (
        "published line, degrees 2 to 4: proved 8 times faster than direct",
        _alone(_published),
    ),
    "narrow": ("narrow: never slower than direct by more than 10 %", _alone(_narrow)),
    "stock": (
        "real lines: the worst of three searches never worse than stock CP-SAT by more than "
        "0.5 %, proved where it proves, at most 1 GiB",
        _alone(_stock),
    ),
    "groups": (
        "g tanks at degree g within 10 s: at most 1.02 times the merged line's cycle per load",
        _alone(_groups),
    ),
    "less": (
        "g tanks at degree g within 10 s: never more time per load than the same line with a tank "
        "out of service at degree g - 1, but for rounding the cycle to a whole tick",
        _alone(_less),
    ),
    "soon": (
        "real lines after 5 s: the worst of three searches within 5 % of the best cycle of three "
        "after 60 s",
        _soon,
    ),
    "first-schedule": ("up to 30 tanks: first checked schedule within 1 s", _alone(_in_time)),
}
