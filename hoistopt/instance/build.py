"""Build the instance of a problem: every load of the cycle, every way of moving it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from ..base.clock import Clock
from ..base.errors import InfeasibleError, InputError
from ..base.expected import whole_number
from ..problem import Problem, Recipe, Stage
from ..problem.grid import fitting_tick
from .data import PARTS, Instance, Move, Place, Stay
from .margins import Margins, tightened
from .several import Matrix, Several, is_exact, leeway_of
from .times import HoistTimes, ticks_down, ticks_up
from .turnrounds import turnrounds
from .ways import Ways

MOST_MOVES = 600
MOST_DEGREE = 100


def build_instance(
    problem: Problem,
    degree: int = 1,
    clock: Clock | None = None,
    *,
    margin: bool = True,
    several: bool = False,
) -> Instance:
    """The instance for `degree` sets of loads per cycle.

    Parameters
    ----------
    clock : Clock, optional
        When it is over, building is given up: times between hundreds of places take
        seconds.
    margin : bool
        Whether its schedules are those that keep the margin the problem asks for; else
        all of the line.
    several : bool
        Whether the line may have several hoists: not all that one asks of an instance is
        known of those.

    Raises
    ------
    OutOfTime
        When the clock is over.
    InputError
        When the degree is no whole number from 1, the cycle would be too large, or there are
        several hoists where there may be one.
    InfeasibleError
        When a load cannot be moved at all, with the cause.
    """
    if not several:
        problem.check_one_hoist()
    checked = _checked_degree(problem, degree)
    instance = _Builder(problem, checked, Clock() if clock is None else clock).build()
    if not margin or not problem.asks_margin:
        return instance
    return tightened(instance, asked_margins(problem, instance))


def asked_margins(problem: Problem, instance: Instance) -> Margins:
    """The margin a problem asks for, in ticks, of its instance without margin.

    Maxima less slack are rounded down, floats up.
    """
    grid = instance.ticks_per_unit
    rooms = [0] * len(instance.stays)
    floats = [ticks_up(problem.line_margin[1], grid)] * len(instance.moves)
    for stay in instance.stays:
        move = instance.moves[stay.departure]
        stages = problem.recipe_by_name[instance.recipes[move.job]].stages
        if move.stage > len(stages):
            continue  # an empty carrier waiting to be carried back
        stage = stages[move.stage - 1]
        slack, late = problem.margin_of(stage)
        floats[move.index] = ticks_up(late, grid)
        if stage.max is not None and stay.most is not None:
            rooms[stay.index] = stay.most - ticks_down(stage.max - slack, grid)
    return Margins(tuple(rooms), tuple(floats))


def moves_in_a_set(problem: Problem) -> int:
    """Moves that one set of loads takes, empty carriers carried back included."""
    back = problem.carriers.return_ == "hoist"
    return sum(len(problem.recipe_by_name[name].stages) + 1 + back for name in problem.load_set)


def _checked_degree(problem: Problem, degree: int) -> int:
    degree = whole_number(degree, 1, MOST_DEGREE, field="degree")
    moves = degree * moves_in_a_set(problem)
    if moves > MOST_MOVES:
        raise InputError(
            f"at most {MOST_MOVES} moves in a cycle",
            field="degree",
            value=f"{degree}, which makes {moves} moves",
            way_out=f"Ask for {'a lower degree or ' if degree > 1 else ''}a smaller mix.",
        )
    return degree


class _Builder:
    def __init__(self, problem: Problem, degree: int, clock: Clock) -> None:
        self.problem = problem
        self.degree = degree
        self.clock = clock
        self.times = [HoistTimes(problem, hoist) for hoist in problem.hoists]
        self.grid = self.times[0].grid
        self.number = {station.name: i for i, station in enumerate(problem.stations)}
        self.ways = Ways(problem, self.times, self.number, clock)
        self.moves: list[Move] = []
        self.stays: list[Stay] = []

    def build(self) -> Instance:
        problem = self.problem
        names = problem.load_set * self.degree
        recipes = [problem.recipe_by_name[name] for name in names]
        by_job = [self._job(job, recipe) for job, recipe in enumerate(recipes)]
        self._prune()
        several = self._several()
        by_hoist = problem.carriers.return_ == "hoist"
        alike: dict[str, list[int]] = {}
        for job, name in enumerate(names):
            alike.setdefault(name, []).append(job)
        return Instance(
            places=tuple(
                Place(
                    station.name,
                    None if station.capacity == "unlimited" else station.capacity,
                    station.order == "fifo",
                    Fraction(station.min_rest) * self.grid,
                )
                for station in problem.stations
            ),
            moves=tuple(self.moves),
            empty=self._empty_times(self.times[0])
            if several is None
            else _quickest(several.empties),
            stays=tuple(self.stays),
            turnrounds=turnrounds(problem, recipes, by_job, self.grid),
            first_moves=tuple(moves[0] for moves in by_job),
            unloading=tuple(moves[-2 if by_hoist else -1] for moves in by_job),
            alike=tuple(tuple(jobs) for jobs in alike.values()),
            order_given=problem.cycle.order is not None,
            carriers=problem.carriers.count,
            shortest=ticks_up(problem.cycle.min * self.degree, self.grid),
            longest=self._longest(),
            degree=self.degree,
            recipes=names,
            ticks_per_unit=self.grid,
            several=several,
        )

    def _longest(self) -> int | None:
        limit = self.problem.cycle.max
        return None if limit is None else ticks_down(limit * self.degree, self.grid)

    # -- jobs -------------------------------------------------------------------

    def _job(self, job: int, recipe: Recipe) -> list[int]:
        """Add one load's moves and stays; return its moves."""
        self.ways.refuse_overweight(recipe)
        load, unload = self.problem.load_station(recipe), self.problem.unload_station(recipe)
        ways = [(load.name,), *(stage.station for stage in recipe.stages), (unload.name,)]
        drips = [Decimal(0), *(stage.drip for stage in recipe.stages)]
        by_hoist = self.problem.carriers.return_ == "hoist"
        if by_hoist:
            ways.append((load.name,))
            drips.append(Decimal(0))
        first = len(self.moves)
        for stage, drip in enumerate(drips):
            routes = self.ways.routes(recipe, stage, ways[stage], ways[stage + 1], drip)
            self.moves.append(Move(first + stage, job, stage, routes))
        for stage, given in enumerate(recipe.stages, start=1):
            self._add_stay(recipe, given, first + stage)
        if by_hoist:
            least = ticks_up(unload.min_occupation, self.grid)
            self._append_stay(first + len(drips) - 1, (unload.name,), least, None, unload.name)
        return list(range(first, len(self.moves)))

    def _add_stay(self, recipe: Recipe, stage: Stage, departure: int) -> None:
        least = ticks_up(stage.min, self.grid)
        most = None if stage.max is None else ticks_down(stage.max, self.grid)
        if most is not None and least > most:
            raise InputError(
                f"a tick that fits into the window from {stage.min:f} to {stage.max:f} of "
                f'recipe "{recipe.name}", stage {self.moves[departure].stage} ("{stage.label}")',
                field="tick",
                value=self.problem.tick,
                way_out=f"Leave tick out, give tick = {fitting_tick(stage.min):f}, or widen the "
                "window.",
            )
        if most is not None:
            self._shave(departure - 1, most - least)
        nominal = None if stage.nominal is None else round(Fraction(stage.nominal) * self.grid)
        self._append_stay(departure, stage.station, least, most, stage.label, nominal)

    def _shave(self, arrival: int, room: int) -> None:
        """Let moves that take no whole ticks cost the maximum after them a tick, if it has one."""
        move = self.moves[arrival]
        routes = tuple(replace(r, shaved=min(1 if r.excess else 0, room)) for r in move.routes)
        self.moves[arrival] = replace(move, routes=routes)

    def _append_stay(
        self,
        departure: int,
        stations: tuple[str, ...],
        least: int,
        most: int | None,
        label: str,
        nominal: int | None = None,
    ) -> None:
        places = tuple(self.number[name] for name in stations)
        number = len(self.stays)
        self.stays.append(
            Stay(number, departure - 1, departure, places, least, most, label, nominal)
        )

    def _prune(self) -> None:
        """Drop places without a way in or out, and ways to or from dropped places."""
        changed = True
        while changed:
            changed = False
            for index, stay in enumerate(self.stays):
                into, out_of = self.moves[stay.arrival], self.moves[stay.departure]
                places = tuple(p for p in stay.places if p in into.targets and p in out_of.sources)
                if not places:
                    recipe = self.problem.load_set[into.job % len(self.problem.load_set)]
                    raise InfeasibleError(
                        f'recipe "{recipe}": no station of stage {out_of.stage} ("{stay.label}") '
                        "can be both reached and left by the hoist"
                    )
                if len(places) < len(stay.places):
                    self.stays[index] = replace(stay, places=places)
                for end, move in (("target", into), ("source", out_of)):
                    routes = tuple(r for r in move.routes if getattr(r, end) in places)
                    if len(routes) < len(move.routes):
                        self.moves[move.index] = replace(move, routes=routes)
                        changed = True

    def _several(self) -> Several | None:
        if len(self.times) == 1:
            return None
        assert self.problem.track is not None
        yielding = [times.giving_way() for times in self.times]
        slowness = tuple(slow for slow, _ in yielding)
        clearance = Fraction(self.problem.track.clearance)
        paths = {route.path for move in self.moves for route in move.routes if route.path}
        several = Several(
            names=tuple(hoist.name or "" for hoist in self.problem.hoists),
            empties=tuple(self._empty_times(times) for times in self.times),
            excesses=self._excesses(),
            clearance=clearance,
            slowness=slowness,
            getting_up=tuple(more for _, more in yielding),
            leeway=leeway_of(paths, slowness, clearance),
            fastest=tuple(times.fastest() for times in self.times),
            empty=tuple(times.fastest(loaded=False) for times in self.times),
        )
        return replace(several, exact=is_exact(several, paths))

    def _excesses(self) -> tuple[tuple[tuple[Fraction, ...], ...], ...]:
        """By how much empty travels of each hoist are rounded up; none where none is."""
        names = [station.name for station in self.problem.stations]
        found = tuple(
            tuple(tuple(Fraction(times.empty_excess(u, v), PARTS) for v in names) for u in names)
            for times in self.times
        )
        return found if any(x for matrix in found for row in matrix for x in row) else ()

    def _empty_times(self, times: HoistTimes) -> Matrix:
        # Places no move touches have no times and need none.
        used = {p for move in self.moves for p in (*move.sources, *move.targets)}
        names = [station.name for station in self.problem.stations]
        rows = []
        for u, source in enumerate(names):
            self.clock.check()
            rows.append(
                tuple(
                    times.empty(source, target) if u in used and v in used else 0
                    for v, target in enumerate(names)
                )
            )
        return tuple(rows)


def _quickest(matrices: Sequence[Matrix]) -> Matrix:
    """The least of each entry."""
    return tuple(
        tuple(min(times) for times in zip(*rows, strict=True))
        for rows in zip(*matrices, strict=True)
    )
