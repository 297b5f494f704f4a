"""What hoistopt is to reach, and whether the runs at hand show it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from .measured import Measured, Pair, measured
from .store import Row
from .suites import Batch

SPEEDUP, SLOWER, GAP, OF_TEN = 8.0, 1.1, 0.05, 0.9
WORSE, OF_MERGED, MEMORY = Fraction("0.005"), Fraction("1.02"), 1024.0


@dataclass(frozen=True)
class Verdict:
    """One target; `met` None while runs are missing."""

    target: str
    measured: str
    met: bool | None


Ours = dict[str, Measured]


def judge(batches: list[Batch], rows: Sequence[Row]) -> list[Verdict]:
    """A verdict for every batch that aims at something, from runs with its limit."""
    verdicts = []
    for batch in batches:
        if not batch.aim:
            continue
        target, judging = _AIMS[batch.aim]
        found = measured(row for row in rows if row.time_limit == batch.time_limit)
        wanted = [(case.name, method) for case in batch.cases for method in batch.methods]
        here = {pair: found[pair] for pair in wanted if pair in found}
        whole = len(here) == len(wanted) and all(
            len(runs.rows) >= batch.runs(method) for (_, method), runs in here.items()
        )
        told, met = judging(here) if here else ("not run", None)
        verdicts.append(Verdict(target, told, met if whole else None))
    return verdicts


def _of(here: dict[Pair, Measured], method: str) -> Ours:
    return {case: runs for (case, name), runs in here.items() if name == method}


def _by(ours: Ours, key: Callable[[Measured], str]) -> dict[str, list[Measured]]:
    groups: dict[str, list[Measured]] = {}
    for runs in ours.values():
        groups.setdefault(key(runs), []).append(runs)
    return groups


def _proof(here: dict[Pair, Measured]) -> tuple[str, bool]:
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


def _gap(here: dict[Pair, Measured]) -> tuple[str, bool]:
    gaps = [runs.gap for runs in _of(here, "hoistopt").values()]
    good = sum(gap is not None and gap <= GAP for gap in gaps)
    worst = max((gap for gap in gaps if gap is not None), default=1.0)
    return f"{good} of {len(gaps)}, largest gap {worst:.1%}", good >= OF_TEN * len(gaps)


def _in_time(here: dict[Pair, Measured]) -> tuple[str, bool]:
    runs = list(_of(here, "hoistopt").values())
    firsts = [each.first for each in runs]
    good = sum(
        first is not None and first <= each.last.time_limit
        for first, each in zip(firsts, runs, strict=True)
    )
    slowest = max((first for first in firsts if first is not None), default=0.0)
    return f"{good} of {len(runs)}, the slowest after {slowest:.2f} s", good == len(runs)


def _published(here: dict[Pair, Measured]) -> tuple[str, bool]:
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


def _narrow(here: dict[Pair, Measured]) -> tuple[str, bool]:
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


def _stock(here: dict[Pair, Measured]) -> tuple[str, bool]:
    stock = _of(here, "stock")
    both = {case: runs for case, runs in _of(here, "hoistopt").items() if case in stock}
    worse = [f"{c} ({', '.join(w)})" for c, r in both.items() if (w := against_stock(r, stock[c]))]
    peak = max((runs.peak for runs in both.values()), default=0.0)
    told = f"{len(both) - len(worse)} of {len(both)}, at most {peak:.0f} MiB"
    if worse:
        told += "; worse: " + ", ".join(worse)
    return told, not worse and peak <= MEMORY


def _groups(here: dict[Pair, Measured]) -> tuple[str, bool]:
    ours = list(_of(here, "hoistopt").values())
    merged = {
        (runs.last.tanks, runs.last.seed): runs
        for runs in ours
        if runs.last.family == "zinc-merged"
    }
    parts, met = [], True
    for runs in ours:
        other = merged.get((runs.last.tanks, runs.last.seed))
        if runs.last.family == "zinc-merged" or other is None or other.longest is None:
            continue
        if runs.longest is None:
            parts.append(f"{runs.last.case}: no schedule")
            met = False
            continue
        ratio = Fraction(runs.longest, runs.last.degree * other.longest)
        parts.append(f"{runs.last.case}: {float(ratio):.3f}")
        met = met and ratio <= OF_MERGED
    return "; ".join(parts), met


_AIMS: dict[str, tuple[str, Callable[[dict[Pair, Measured]], tuple[str, bool]]]] = {
    "proof-20": ("20 tanks, loose and very loose: proved within 60 s on 9 of 10 seeds", _proof),
    "gap-40": ("40 tanks, loose: gap at most 5 % within 60 s on 9 of 10 seeds", _gap),
    "schedule-60": ("60 tanks, any family: a checked schedule within 10 s", _in_time),
    "published": ("published line, degrees 2 to 4: proved 8 times faster than direct", _published),
    "narrow": ("narrow: never slower than direct by more than 10 %", _narrow),
    "stock": (
        "real lines: the worst of three searches never worse than stock CP-SAT by more than "
        "0.5 %, proved where it proves, at most 1 GiB",
        _stock,
    ),
    "groups": (
        "g tanks at degree g within 10 s: at most 1.02 times the merged line's cycle per load",
        _groups,
    ),
    "first-schedule": ("up to 30 tanks: first checked schedule within 1 s", _in_time),
}
