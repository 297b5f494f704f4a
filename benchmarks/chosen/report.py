"""What the suite of chosen degrees came to, as Markdown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

WITHIN = 0.03
"""By how much longer per load the chosen degree may be than the best given one."""


@dataclass(frozen=True)
class Row:
    """One run; `degree` is 0 where the best was asked for, times are in the unit of the line."""

    line: str
    degree: int
    time_limit: float
    workers: int
    status: str
    at: int | None
    per_load: float | None
    bound: float | None
    seconds: float


@dataclass(frozen=True)
class Compared:
    """A line: the degree chosen and the best of those given.

    Attributes
    ----------
    longer : float or None
        By how much more time a load takes at the degree chosen; None where a side has none.
    """

    line: str
    chosen: Row
    best: Row | None
    given: tuple[Row, ...]

    @property
    def longer(self) -> float | None:
        mine, theirs = self.chosen.per_load, None if self.best is None else self.best.per_load
        return None if mine is None or theirs is None else mine / theirs - 1

    @property
    def met(self) -> bool:
        """Whether the target is met on it; also where no degree given has a schedule."""
        return self.best is None or (self.longer is not None and self.longer <= WITHIN)


def compared(rows: Sequence[Row]) -> list[Compared]:
    """The lines of some runs, in the order in which they come."""
    found = []
    for line in dict.fromkeys(row.line for row in rows):
        mine = [row for row in rows if row.line == line]
        given = tuple(row for row in mine if row.degree)
        with_one = [row for row in given if row.per_load is not None]
        best = min(with_one, key=lambda row: row.per_load or 0.0, default=None)
        found += [Compared(line, row, best, given) for row in mine if not row.degree]
    return found


def report(rows: Sequence[Row], about: Mapping[str, str]) -> str:
    """The tables, with machine and versions."""
    lines = compared(rows)
    met = sum(each.met for each in lines)
    worst = max((each.longer for each in lines if each.longer is not None), default=0.0)
    verdict = "yes" if lines and met == len(lines) else "no"
    head = ["# The degree chosen", *(f"- {key}: {value}" for key, value in about.items())]
    text = [
        "\n".join([head[0], "", *head[1:]]),
        "| target | measured | met |\n| --- | --- | --- |\n| on every line with a group the degree "
        "chosen is within 3 % per load of the best that any given degree finds in the same time "
        f"| {met} of {len(lines)}, the worst {100 * worst:.1f} % longer | {verdict} |",
        "| line | seconds | chosen | per load | best given | per load | longer | every degree "
        "given |\n| --- | --: | --: | --: | --: | --: | --: | --- |\n"
        + "\n".join(_line(each) for each in lines),
        "*proved* says that none of the degrees compared, or no cycle of the degree given, takes "
        "less time per load.",
    ]
    return "\n\n".join(text) + "\n"


def _line(each: Compared) -> str:
    best = each.best
    cells = [
        each.line,
        f"{each.chosen.time_limit:g}",
        "-" if each.chosen.at is None else str(each.chosen.at),
        _told(each.chosen),
        "-" if best is None else str(best.degree),
        "-" if best is None else _told(best),
        "-" if each.longer is None else f"{100 * each.longer:.1f} %",
        ", ".join(f"{row.degree}: {_told(row)}" for row in each.given),
    ]
    return f"| {' | '.join(cells)} |"


def _told(row: Row) -> str:
    if row.per_load is None:
        return row.status
    return f"{row.per_load:.1f}" + (" proved" if row.status == "optimal" else "")
