"""What a plant knows of its line: how long moves and ways take to the ms, windows, places.

From the problem and what is carried from where to where, not from the times of the schedule.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from hoistopt.checker.grid.table import Table
from hoistopt.exports import SequencerTable
from hoistopt.exports.readback.proof import schedule_of
from hoistopt.problem import Problem, Station


@dataclass(frozen=True)
class Facts:
    """Of one line; none of it changes while the line runs.

    Attributes
    ----------
    names, stations : dict
        By number of the station.
    moving_time : tuple of int
        Of the loaded moves, by row of the table; ms.
    windows : list of (int, int or None)
        Least and greatest dwell before the lift, by row of the table; ms.
    empty : dict
        Of the ways without a load, by the numbers of both stations; ms.
    end_stay, rest : dict of int
        How long a carrier stands at an end of the line in any case, and how long a place rests.
    loading, taken_away : dict of bool
        Whether loads come from there; whether a carrier set down there is taken away by hand.
    places : dict of int or None
        How many carriers it takes; None: any number.
    """

    names: dict[int, str]
    stations: dict[int, Station]
    moving_time: tuple[int, ...]
    windows: list[tuple[int, int | None]]
    empty: dict[tuple[int, int], int]
    end_stay: dict[int, int]
    rest: dict[int, int]
    loading: dict[int, bool]
    taken_away: dict[int, bool]
    places: dict[int, int | None]


_KNOWN: dict[tuple[int, int], tuple[Problem, SequencerTable, Facts]] = {}


def facts_of(problem: Problem, table: SequencerTable) -> Facts:
    """The facts of a line; those of the same two objects are worked out once."""
    key = id(problem), id(table)
    if key not in _KNOWN:
        _KNOWN[key] = problem, table, _facts(problem, table)
    return _KNOWN[key][2]


def _facts(problem: Problem, sequencer: SequencerTable) -> Facts:
    table = Table(problem, schedule_of(problem, sequencer))
    per_ms = Fraction(problem.seconds_per_unit) * 1000
    exact = table.clock.fraction

    def ms(time: int | None) -> int:
        assert time is not None
        return ceil(exact(time) * per_ms)

    names = dict(sequencer.stations)
    numbers = {name: number for number, name in names.items()}
    moving_time: list[int] = []
    windows: list[tuple[int, int | None]] = []
    for step in sequencer.rows:
        recipe = sequencer.recipes[step.recipe - 1]
        source, target = names[step.pick], names[step.place]
        leg = next(
            leg
            for leg in table.routes.legs(source, target)
            if leg.recipe == recipe and leg.leaves == step.stage
        )
        parts = table.times.loaded(source, target, table.routes.drip(leg))
        assert parts is not None
        # The hoist drips for as long as it is told to.
        more = step.drip * sequencer.unit.milliseconds - ms(parts.drip)
        moving_time.append(ms(parts.total) + more)
        window = table.routes.window(recipe, step.stage, source)
        most = None if window.most is None else floor(exact(window.most) * per_ms)
        windows.append((ms(window.least) if step.stage else 0, most))
    used = {names[number] for step in sequencer.rows for number in (step.pick, step.place)}
    stations = {number: problem.station_by_name[name] for number, name in names.items()}
    by_hand = problem.carriers.return_ == "outside"
    return Facts(
        names=names,
        stations=stations,
        moving_time=tuple(moving_time),
        windows=windows,
        empty={(numbers[a], numbers[b]): ms(table.times.empty(a, b)) for a in used for b in used},
        end_stay={n: ceil(Fraction(s.min_occupation) * per_ms) for n, s in stations.items()},
        rest={n: ceil(Fraction(s.min_rest) * per_ms) for n, s in stations.items()},
        loading={n: s.loads for n, s in stations.items()},
        taken_away={n: by_hand and s.kind == "unload" for n, s in stations.items()},
        places={n: None if s.capacity == "unlimited" else s.capacity for n, s in stations.items()},
    )
