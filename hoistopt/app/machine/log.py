"""A controller's log judged against the recipes of a line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from ...base.errors import InputError
from ...plant.events import read_log
from ...plant.judging.judge import judge_log
from ...plant.judging.stays import SECOND
from ...plant.judging.trends import SHIFTS
from ...plant.mapping import LogMapping, read_mapping
from ...problem import Problem
from ...show.log.answer import LogAnswer
from ...show.log.shown import moment_of
from ..given import Line, problem_of


def log(
    line: Line,
    logs: str | Path | Sequence[str | Path],
    mapping: Callable[[Problem], LogMapping] | str | Path | None = None,
    *,
    shifts: Sequence[int] = SHIFTS,
    stop_after: float | None = None,
    at: str | None = None,
    length: float | None = None,
) -> LogAnswer:
    """Judge every stay that a controller logged against the window of its stage.

    Parameters
    ----------
    line : Problem, str or Path
    logs : str, Path or sequence of them
        CSV, packed with gzip or not, or Parquet.
    mapping : callable, str or Path, optional
        The file that says what the log's words mean, or a function that says so for a line;
        by default the log has the columns time, event, station and, where it tells them,
        carrier, hoist and recipe, and names stations as the problem does.
    shifts : sequence of int
        Minutes of the day at which shifts begin, in rising order.
    stop_after : number, optional
        Seconds without an event that are no stop yet; by default twice what 99 % of all gaps
        do not exceed.
    at : str, optional
        When the time-way diagram begins, as ISO 8601 has it: local time where the zone of the
        line is known, unless it states its offset.
    length : number, optional
        How much time the diagram shows, in seconds; by default an hour.

    Raises
    ------
    InputError
        When a file, the mapping or a figure cannot be used.
    """
    # A tank that is out of service today may have been used when the log was kept.
    problem = problem_of(line, several=True).all_in_service()
    words = mapping(problem) if callable(mapping) else read_mapping(problem, mapping)
    paths = [logs] if isinstance(logs, str | Path) else list(logs)
    if stop_after is not None and not 0 < stop_after <= 10**7:
        raise InputError("seconds above 0", field="stop_after", value=stop_after)
    longest = None if stop_after is None else round(stop_after * SECOND)
    found = judge_log(read_log(paths, words), problem, shifts=shifts, longest=longest)
    begin = None if at is None else moment_of(at, found.log.zone)
    return LogAnswer(found, begin, None if length is None else round(length * SECOND))
