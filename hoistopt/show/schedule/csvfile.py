"""The step table as CSV, for spreadsheets and for `hoistopt verify` to read back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from ...analysis.figures.cautions import STANDING
from ...analysis.figures.dwells import DwellRow
from ...analysis.figures.steps import StepRow
from ...schedule.csv_moves import TRAVEL
from ..tables.csvfile import csv_text


def steps_csv(
    steps: list[StepRow],
    dwells: list[DwellRow],
    cycle_time: Decimal,
    unit: str,
    cautions: Sequence[str] = (STANDING,),
    notes: Sequence[str] = (),
    travels: Sequence[Mapping[str, object]] = (),
) -> str:
    """One row per move; times in `unit`, which the names of the added columns repeat.

    `loaded_move` runs from the start of lifting to the end of lowering, drip included. The
    dwell columns tell what the load had stood in the station it leaves. Above it all stand
    notes, such as what the problem file notes of its line, and the cautions. Where there are
    several hoists each row names its hoist, and their travels to give way are rows with a
    position to travel to.
    """
    several = any(row.hoist is not None for row in steps)
    window = {(row.load, row.stage): row for row in dwells}
    rows: list[list[object]] = []
    for row in steps:
        dwell = window.get((row.load, row.stage))
        rows.append(
            [row.step, row.start, row.source, row.target, row.recipe, row.load, row.stage]
            + [row.boundaries, cycle_time, row.loaded, row.wait, row.drip, row.empty]
            + [row.came_from, row.label, row.dwell]
            + ([None] * 4 if dwell is None else _window(dwell))
            + ([row.hoist, None] if several else [])
        )
    for travel in travels:
        cells = [None, travel["start"], *[None] * 6, cycle_time, *[None] * 11]
        rows.append([*cells, travel["hoist"], travel["to"]])
    plain = ["step", "start", "from", "to", "recipe", "load", "stage", "boundaries", "cycle_time"]
    timed = ["loaded_move", "wait", "drip", "empty_travel"]
    standing = ["dwell", "min_dwell", "max_dwell", "margin_to_min", "margin_to_max"]
    times = f"All times are in {unit}, start and cycle_time too."
    header = [*plain, *(f"{name}_{unit}" for name in timed), "empty_travel_from", "stage_name"]
    header += [f"{name}_{unit}" for name in standing]
    if several:
        header += ["hoist", TRAVEL]
    return csv_text(header, rows, cautions, [*notes, times])


def _window(row: DwellRow) -> list[object]:
    return [row.least, row.most, row.margin_min, row.margin_max]
