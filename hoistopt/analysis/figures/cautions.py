"""What stands under every result."""

from __future__ import annotations

from fractions import Fraction

from ...base.decimals import told
from .dwells import DwellRow

STANDING = (
    "A planning aid, not a safety function: interlocks, guarding and dwell watchdogs stay in "
    "the machine. Prove the sequence at reduced speed without load; local codes and licensed "
    "practice decide."
)


def cautions(status: str, dwells: list[DwellRow], unit: str, tick: Fraction) -> list[str]:
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
    """
    found = []
    if status == "feasible":
        found.append("Not proved to be the least cycle time: a better schedule may exist.")
    limited = [row for row in dwells if row.margin_max is not None]
    if limited:
        row = min(limited, key=lambda row: row.margin_max or 0)
        if not row.margin_max:
            found.append(
                f"No time to spare: load {row.load} stays in {row.label} for all of its maximum "
                f"of {row.most:f} {unit}, to within a tick; it overstays if the hoist is late."
            )
    late = max(dwells, key=lambda row: row.late, default=None)
    if late is not None and late.late:
        found.append(
            f"Fixed times are kept to within a tick of {told(tick)} {unit}, as the hoist starts "
            f"at whole ticks: load {late.load} stays in {late.label} {told(late.late)} {unit} "
            f"longer than its maximum of {late.most:f} {unit}, the most of all. No dwell falls "
            "short of its minimum; a finer tick in the problem file keeps them closer."
        )
    return [*found, STANDING]
