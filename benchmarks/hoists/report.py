"""What the suite came to, as Markdown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import mean

from .lines import Case
from .one import METHODS

PROVED_WITHIN, GAP, FIRST_WITHIN, SHORTER = 5.0, 0.10, 10.0, 0.10
"""Targets: seconds to a proof of 12 tanks; gap at 20 tanks; seconds to a schedule of 30 and 40
tanks, and share by which it is shorter than the best fixed zones, on average."""


@dataclass(frozen=True)
class Row:
    """One run. Times of the line in its unit, `seconds` and `first` in seconds."""

    line: str
    method: str
    limit: float
    workers: int
    status: str
    cycle: float | None
    bound: float | None
    seconds: float
    first: float | None
    load: float

    @property
    def gap(self) -> float | None:
        """Of the cycle time, by the method's own bound."""
        if self.cycle is None or self.bound is None:
            return None
        return max(0.0, 1 - self.bound / self.cycle)


def report(cases: Sequence[Case], rows: Sequence[Row], about: Mapping[str, str]) -> str:
    """The whole report."""
    facts = [f"- {name}: {value}" for name, value in about.items()]
    loads = [row.load for row in rows]
    if loads:
        facts.append(
            f"- load average of the machine after each run: {min(loads):g} to {max(loads):g}"
        )
    by = {(row.line, row.method): row for row in rows}
    parts = [
        "# Suite `hoists`",
        "\n".join(facts),
        "\n".join(f"- `{name}`: {what}" for name, what in METHODS.items()),
        "## Targets\n\n" + _targets(cases, by),
        "## Runs\n\n" + _runs(rows, by),
        NOTES,
    ]
    return "\n\n".join(parts) + "\n"


NOTES = """\
- *against zones*: how much shorter (-) or longer (+) than the best fixed zones in the same run.
- *gap*: (cycle - bound) / cycle, by the method's own bound; fixed zones have none.
- *first*: seconds from the problem to a first schedule, imports left out. The checker has accepted
  every schedule. Odd seeds have the tanks in shuffled order."""


def _table(header: Sequence[str], lines: Sequence[Sequence[str]], words: int) -> str:
    rule = ["---" if n < words else "---:" for n in range(len(header))]
    return "\n".join("| " + " | ".join(line) + " |" for line in (header, rule, *lines))


def _figure(value: float | None, digits: int = 1) -> str:
    return "-" if value is None else f"{value:.{digits}f}"


def _runs(rows: Sequence[Row], by: Mapping[tuple[str, str], Row]) -> str:
    lines = []
    for row in rows:
        zones = by.get((row.line, "zones"))
        against = "-"
        if zones is not None and zones.cycle is not None and row.cycle is not None:
            against = f"{row.cycle / zones.cycle - 1:+.1%}"
        lines.append(
            [
                row.line, row.method, f"{row.limit:g}", row.status, _figure(row.cycle),
                _figure(row.bound), "-" if row.gap is None else f"{row.gap:.1%}", against,
                _figure(row.first, 2), _figure(row.seconds),
            ]
        )  # fmt: skip
    header = ["line", "method", "limit s", "answer", "cycle", "bound", "gap", "against zones"]
    return _table([*header, "first s", "seconds"], lines, 2)


def _targets(cases: Sequence[Case], by: Mapping[tuple[str, str], Row]) -> str:
    def ours(of: Sequence[Case]) -> list[Row]:
        return [by[c.name, "hoistopt"] for c in of if (c.name, "hoistopt") in by]

    def beside(of: Sequence[Case], method: str) -> list[tuple[Row, Row]]:
        return [(row, by[row.line, method]) for row in ours(of) if (row.line, method) in by]

    small = [case for case in cases if case.tanks == 12]
    middle = [case for case in cases if case.tanks == 20]
    large = [case for case in cases if case.tanks >= 30]
    lines = []
    if found := ours(small):
        count = sum(r.status == "optimal" and r.seconds <= PROVED_WITHIN for r in found)
        what = f"12 tanks, two hoists: proved within {PROVED_WITHIN:g} s on 9 of 10"
        lines.append([what, f"{count} of {len(found)}", _met(count >= 0.9 * len(found))])
    if found := ours(middle):
        count = sum(r.gap is not None and r.gap <= GAP for r in found)
        what = f"20 tanks, two or three hoists: gap at most {GAP:.0%} after 60 s on 8 of 10"
        lines.append([what, f"{count} of {len(found)}", _met(count >= 0.8 * len(found))])
    if found := ours(large):
        count = sum(r.first is not None and r.first <= FIRST_WITHIN for r in found)
        what = f"30 and 40 tanks: a schedule within {FIRST_WITHIN:g} s"
        lines.append([what, f"{count} of {len(found)}", _met(count == len(found))])
    pairs = [(a, b) for a, b in beside(large, "zones") if b.cycle is not None]
    if pairs:
        worse = sum(a.cycle is None or a.cycle > b.cycle for a, b in pairs if b.cycle)
        what = "30 and 40 tanks: never worse than the best fixed zones"
        lines.append([what, f"worse on {worse} of {len(pairs)}", _met(not worse)])
        shares = [1 - a.cycle / b.cycle for a, b in pairs if a.cycle and b.cycle]
        if shares:
            what = f"30 and 40 tanks: {SHORTER:.0%} shorter than those on average"
            lines.append([what, f"{mean(shares):.1%}", _met(mean(shares) >= SHORTER)])
    pairs = [(a, b) for a, b in beside(cases, "stock") if b.cycle is not None]
    if pairs:
        worse = sum(a.cycle is None or a.cycle > b.cycle for a, b in pairs if b.cycle)
        lines.append(
            [
                "never worse than stock CP-SAT",
                f"worse on {worse} of {len(pairs)}",
                _met(not worse),
            ]
        )
    return _table(["target", "measured", "met"], lines, 3)


def _met(met: bool) -> str:
    return "yes" if met else "no"
