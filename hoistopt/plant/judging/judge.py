"""A log judged against the recipes of a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from ...base.numbers.shares import Share
from ...problem import Problem
from ..events import EventLog
from ..faults import Faults
from ..visits import visits_of
from .stages import StageFigures, all_within, stage_figures
from .stays import Stays, stays_of
from .stops import Running, running_of
from .trends import SHIFTS, Stretch, by_shift, by_week, over_time

if TYPE_CHECKING:
    import polars as pl


@dataclass(frozen=True)
class JudgedLog:
    """All that a log tells of how a line kept to its recipes.

    Attributes
    ----------
    problem : Problem
    log : EventLog
    stays : Stays
    stages : list of StageFigures
    carriers : polars.DataFrame
        A row for each carrier and stage with stays out of window: `carrier`, `place`, `stays`,
        `under`, `over`, `most_under`, `most_over` (microseconds) and `last` (microseconds UTC).
    running : Running
    weeks, shifts : list of Stretch
    chart : tuple of int and list of Stretch
        Minutes of a stretch, and stretches of that length over the whole log.
    faults : Faults
        What could not be read or explained, in the order of the files.
    joined : int
        Loads followed over a missing event, as no other could be meant.
    within : Share
        All stays within their windows, with a 95 % interval.
    by_rule : bool
        Whether the longest gap that is no stop was found by the rule.
    """

    problem: Problem
    log: EventLog
    stays: Stays
    stages: list[StageFigures]
    carriers: pl.DataFrame
    running: Running
    weeks: list[Stretch]
    shifts: list[Stretch]
    chart: tuple[int, list[Stretch]]
    faults: Faults
    joined: int
    within: Share
    by_rule: bool

    @cached_property
    def stages_by_place(self) -> dict[int, StageFigures]:
        """The figures of each place of the stays, by its number there."""
        return {self.stays.places.index(stage.place): stage for stage in self.stages}


def judge_log(
    log: EventLog,
    problem: Problem,
    *,
    shifts: Sequence[int] = SHIFTS,
    longest: int | None = None,
) -> JudgedLog:
    """Judge every stay of a log against the window of its stage.

    Parameters
    ----------
    log : EventLog
    problem : Problem
    shifts : sequence of int
        Minutes of the day at which shifts begin, in rising order.
    longest : int, optional
        The longest time without an event that is no stop, in microseconds; by default it is
        found by :data:`hoistopt.plant.judging.stops.RULE`.
    """
    import polars as pl

    visits = visits_of(log, problem)
    stays = stays_of(visits, problem, log.untimed)
    unloads = [station.name for station in problem.stations if station.unloads]
    ends = visits.frame.filter(
        pl.col("in").is_not_null() & pl.col("station").cast(pl.String).is_in(unloads)
    ).select(out="in")
    faults = Faults(list(log.faults), log.unlisted)
    for part in (visits.faults, stays.faults):
        faults.add(part.listed, part.unlisted)
    place = {file: n for n, file in enumerate(dict.fromkeys(log.frame.get_column("file").unique()))}
    faults.listed.sort(key=lambda fault: (place.get(fault.file, -1), fault.line))
    return JudgedLog(
        problem=problem,
        log=log,
        stays=stays,
        stages=stage_figures(stays, problem),
        carriers=_carriers(stays),
        running=running_of(log, visits, stays, ends, longest),
        weeks=by_week(stays, ends, log.zone),
        shifts=by_shift(stays, ends, log.zone, shifts),
        chart=over_time(stays, ends, log.zone),
        faults=faults,
        joined=visits.joined,
        within=all_within(stays),
        by_rule=longest is None,
    )


def _carriers(stays: Stays) -> pl.DataFrame:
    """Carriers with stays out of window, by stage, the most first."""
    import polars as pl

    verdict = pl.col("verdict")
    under, over = verdict == "under", verdict == "over"
    named = stays.frame.filter(pl.col("carrier").is_not_null() & (verdict != "not judged"))
    table = named.group_by("carrier", "place").agg(
        stays=pl.len(),
        under=under.sum(),
        over=over.sum(),
        most_under=pl.col("by").filter(under).max(),
        most_over=pl.col("by").filter(over).max(),
        last=pl.col("out").filter(under | over).max(),
    )
    out = pl.col("under") + pl.col("over")
    return table.filter(out > 0).sort(-out.cast(pl.Int64), "carrier", "place")
