"""What stands under every result."""

from __future__ import annotations

from fractions import Fraction

from ...base.numbers.decimals import told
from ...base.text import STANDING, listed
from ...problem import Problem
from .dwells import DwellRow, tightest

__all__ = ["STANDING", "cautions", "standing"]

SEVERAL = (
    "Several hoists share the track: this schedule is no anti-collision system. Distance control "
    "and collision protection stay in the machine, at all times and in every mode."
)

AT_THE_LEAST = (
    "The bound on the cycle time counts what two hoists need at the least to give way to one "
    "another, the gaining of speed included; all ways together may take longer, so the least cycle "
    "time may lie above the bound."
)
IN_FULL = (
    "The bound on the cycle time counts the gaining of top speed in full whenever a hoist gives "
    "way to another; over short ways less time is needed, so a slightly shorter cycle may exist."
)
IN_FULL_ONCE = (
    "The bound on the finish counts the gaining of top speed in full whenever a hoist gives way "
    "to another; over short ways less time is needed, so a slightly earlier finish may exist."
)
IN_FULL_JOINING = (
    "The bound on the joining counts the gaining of top speed in full whenever a hoist gives way "
    "to another; over short ways less time is needed, so a slightly earlier joining may exist."
)
IN_FULL_LOST = (
    "So does the bound on the time above maxima; that no programme loses less holds however hoists "
    "give way."
)


def gain_speed(problem: Problem) -> bool:
    """Whether a line has several hoists that take time to gain speed."""
    hoists = problem.hoists
    gaining = any(h.empty and h.empty.acceleration is not None for h in hoists)
    return len(hoists) > 1 and gaining


def standing(several: bool) -> list[str]:
    """What stands under everything that is told of a line, with several hoists or with one."""
    return [*([SEVERAL] if several else []), STANDING]


def cautions(
    status: str,
    dwells: list[DwellRow],
    unit: str,
    tick: Fraction,
    *,
    several: bool = False,
    at_the_least: bool = False,
) -> list[str]:
    """The standing caution, after what this very schedule calls for.

    Parameters
    ----------
    status : str
        The solver's status, or "verified".
    dwells : list of DwellRow
        Dwells of the schedule.
    unit : str
        Unit of the times.
    tick : Fraction
        Grid on which the problem is planned, in that unit.
    several : bool
        Whether the line has several hoists.
    at_the_least : bool
        As :func:`gain_speed` says of the line; see `AT_THE_LEAST`.
    """
    found = []
    if status == "feasible":
        found.append("Not proved to be the least cycle time: a better schedule may exist.")
    if status == "feasible" and at_the_least:
        found.append(AT_THE_LEAST)
    found += _no_margin([row for row in tightest(dwells) if not row.margin_max], unit)
    late = max(dwells, key=lambda row: row.late, default=None)
    if late is not None and late.late:
        found.append(
            f"Fixed times are kept to within a tick of {told(tick)} {unit}, as the hoist starts "
            f"at whole ticks: load {late.load} stays in {late.label} {told(late.late)} {unit} "
            f"longer than its maximum of {late.most:f} {unit}, the most of all. No dwell falls "
            "short of its minimum; a finer tick in the problem file keeps them closer."
        )
    return [*found, *standing(several)]


def _no_margin(rows: list[DwellRow], unit: str) -> list[str]:
    """What is said of dwells that are as long as their maximum: all of them, by stage."""
    if not rows:
        return []
    loads: dict[tuple[str, str, object], list[int]] = {}
    for row in rows:
        loads.setdefault((row.recipe, row.label, row.most), []).append(row.load)
    dwells = [
        f"{_stay(numbers)} in {label} for all of its maximum of {most:f} {unit}"
        for (_, label, most), numbers in loads.items()
    ]
    one = len(rows) == 1
    head = "No margin" if one else f"No margin in {len(rows)} dwells"
    end = "it overstays" if one else "each overstays"
    return [f"{head}: {listed(dwells)}, to within a tick; {end} if the hoist is late."]


def _stay(loads: list[int]) -> str:
    if len(loads) == 1:
        return f"load {loads[0]} stays"
    return f"loads {listed([str(load) for load in loads])} stay"
