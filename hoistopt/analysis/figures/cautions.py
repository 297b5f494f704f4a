"""What stands under every result."""

from __future__ import annotations

from .dwells import DwellRow

STANDING = (
    "A planning aid, not a safety function: interlocks, guarding and dwell watchdogs stay in "
    "the machine. Prove the sequence at reduced speed without load; local codes and licensed "
    "practice decide."
)


def cautions(status: str, dwells: list[DwellRow], unit: str) -> list[str]:
    """The standing caution, after what this very schedule calls for.

    Parameters
    ----------
    status : str
        The solver's status, or "verified".
    dwells : list of DwellRow
        Dwells of the schedule.
    unit : str
        Unit of the times.
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
    return [*found, STANDING]
