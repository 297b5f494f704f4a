"""What is shown where the checker refuses a schedule: every violation, in one table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .codes import NO
from .outputs import STDOUT, Target
from .streams import say, tell

if TYPE_CHECKING:
    from ..checker import Refused


def refuse(refused: Refused, output: Target | None = None) -> int:
    """Show every violation; the answer is no.

    Parameters
    ----------
    refused : Refused
    output : Target, optional
        Where they are written as JSON, too.
    """
    from ..analysis.figures.cautions import STANDING
    from ..analysis.figures.steps import tick_of
    from ..show.schedule.violations import violation_data, violation_table
    from ..show.tables.jsonfile import json_text

    seen = refused.replay
    found = (seen.violations, seen.cycle_time, tick_of(seen.schedule))
    if refused.made_here:
        tell("error: internal error: the checker refused the schedule")
        tell(violation_table(seen.problem, *found))
        return NO
    if output is not None:
        output.write(json_text(violation_data(seen.problem, *found)))
    shown = tell if output is not None and output.path == STDOUT else say
    if shown is say:
        shown(violation_table(seen.problem, *found))
    count = len(seen.violations)
    shown(f"Refused: {count} violation{'s' * (count > 1)} found.", "", STANDING)
    return NO
