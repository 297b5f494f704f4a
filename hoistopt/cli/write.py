"""Write the files asked for, once the checker has accepted what goes into them."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from ..analysis.figures.report import Report
from ..checker.record import Replay
from ..problem import Problem
from .outputs import Target

if TYPE_CHECKING:
    from ..planning.result import Result


def write_answer(
    problem: Problem,
    results: list[Result],
    outputs: dict[str, Target],
    best: Result | None = None,
    told: Report | None = None,
    seen: Replay | None = None,
) -> None:
    """Write JSON in any case; CSV and the diagram where there is a schedule.

    Without a best result the JSON speaks of the last degree that was tried.
    """
    from ..planning.cycle import gains_over_last
    from ..show.schedule.csvfile import steps_csv
    from ..show.schedule.data import result_data
    from ..show.tables.jsonfile import json_text

    result = results[-1] if best is None else best
    if "json" in outputs:
        data = result_data(problem, result, told)
        if len(results) > 1:
            gains = gains_over_last(results)
            data["degrees"] = [_degree(r, gain) for r, gain in zip(results, gains, strict=True)]
        outputs["json"].write(json_text(data))
    if told is None or seen is None:
        return
    if "csv" in outputs:
        text = steps_csv(told.steps, told.dwells, told.cycle_time, problem.unit)
        outputs["csv"].write(text)
    if "diagram" in outputs:
        from ..show.timeway import save_timeway

        save_timeway(problem, told.schedule, seen, outputs["diagram"].path)


def _degree(result: Result, gain: Fraction | None) -> dict[str, object]:
    return {
        "degree": result.degree,
        "loads_per_cycle": result.loads_per_cycle,
        "status": result.status,
        "cycle_time": result.cycle_time,
        "lower_bound": result.lower_bound,
        "time_per_load": result.time_per_load,
        "gain_over_last": None if gain is None else round(float(gain), 6),
        "runtime": round(result.runtime, 3),
    }
