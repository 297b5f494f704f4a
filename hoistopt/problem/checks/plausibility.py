"""What is allowed in a problem but is seldom meant: one sentence each, never an error.

Each check takes the stated parts and gives the sentences it has. The bounds are rough ones
on purpose, common practice without a source: a line that is meant so should rarely be told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from fractions import Fraction
from itertools import combinations, pairwise, product

from ...base.numbers.decimals import told
from ...base.text import listed
from ..line import Station
from ..recipe import Recipe, Stage
from ..statement import Statement
from .margin_checks import without_effect

SLOW, QUICK = Fraction(600), Fraction(1, 5)
"""Seconds: a travel that takes longer, a whole track that takes less, is no hoist's."""
FAR_APART = 10
"""How many times a stage's window may lie above or below those of all others."""
MOST_NAMED = 4

Way = tuple[tuple[str, ...], tuple[str, ...], Decimal]
"""Stations a move may start from, those it may end at, and the drip between."""


def warnings_about(problem: Statement) -> tuple[str, ...]:
    """A sentence about everything in a problem that is seldom meant."""
    return tuple(sentence for check in CHECKS for sentence in check(problem))


def _named(names: list[str]) -> str:
    more = len(names) - MOST_NAMED
    return listed([*names[:MOST_NAMED], *([f"{more} more"] if more > 0 else [])])


def _ways(problem: Statement, recipe: Recipe) -> Iterator[Way]:
    places: list[tuple[str, ...]] = [(problem.load_station(recipe).name,)]
    places += [stage.station for stage in recipe.stages]
    places.append((problem.unload_station(recipe).name,))
    drips = [Decimal(0), *(stage.drip for stage in recipe.stages)]
    if problem.carriers.return_ == "hoist":
        places.append(places[0])
        drips.append(Decimal(0))
    for (sources, targets), drip in zip(pairwise(places), drips, strict=True):
        yield sources, targets, drip


def _moves(problem: Statement) -> dict[tuple[str, str], None]:
    """Every move a recipe may make."""
    return {
        (source, target): None
        for recipe in problem.recipes
        for sources, targets, _ in _ways(problem, recipe)
        for source, target in product(sources, targets)
        if source != target
    }


def _distance(problem: Statement, source: str, target: str) -> Fraction | None:
    here, there = (problem.station_by_name[name].position for name in (source, target))
    return None if here is None or there is None else Fraction(abs(there - here))


# -- speeds and positions ---------------------------------------------------------------


def _speeds(problem: Statement) -> Iterator[str]:
    """Speeds and positions whose units do not belong together."""
    seconds = Fraction(problem.seconds_per_unit)
    for key in ("loaded", "empty"):
        motions = [getattr(hoist, key) for hoist in problem.hoists]
        if None in motions:
            continue
        motion = min(motions, key=lambda one: one.speed)
        table = getattr(problem, f"{key}_times")
        found = [
            (distance, source, target)
            for source, target in _moves(problem)
            if (source, target) not in table
            and (distance := _distance(problem, source, target)) is not None
        ]
        if not found:
            continue
        distance, source, target = max(found)
        took = distance / Fraction(motion.speed) * seconds
        stated = f"{key} at {motion.speed:f} {problem.length_unit}/{problem.unit}"
        if took > SLOW:
            yield (
                f"From {source} to {target} the hoist travels {_long(took)} {stated}; are "
                "positions and speeds in the same unit of length, and in this unit of time?"
            )
            return
        elif distance and took < QUICK:
            yield (
                f"From {source} to {target}, the longest way of a load, the hoist travels "
                f"{float(took):.2g} s {stated}; are positions and speeds in the same unit?"
            )
            return


def _long(seconds: Fraction) -> str:
    minutes = float(seconds / 60)
    return f"{minutes:.0f} min" if minutes < 120 else f"{minutes / 60:.1f} h"


def _one_place(problem: Statement) -> Iterator[str]:
    """Stations that stand where another one does."""
    used = {name for pair in _moves(problem) for name in pair}
    by_position: dict[Decimal, list[str]] = {}
    for station in problem.stations:
        if station.position is not None and station.name in used:
            by_position.setdefault(station.position, []).append(station.name)
    for position, names in by_position.items():
        untimed = [
            pair for pair in combinations(names, 2) if not {pair, pair[::-1]} & _timed(problem)
        ]
        if untimed:
            yield (
                f"{_named(names)} stand at one position, {position:f} {problem.length_unit}; "
                "the hoist takes no time between them."
            )


def _timed(problem: Statement) -> set[tuple[str, str]]:
    return {*problem.loaded_times, *problem.empty_times}


# -- tables of times --------------------------------------------------------------------


def _too_quick(problem: Statement) -> Iterator[str]:
    """Loaded moves timed shorter than lifting and lowering alone."""
    found = []
    for (source, target), time in problem.loaded_times.items():
        lift = _own(problem, problem.station_by_name[source], "lift")
        lower = _own(problem, problem.station_by_name[target], "lower")
        if lift is not None and lower is not None and time < lift + lower:
            found.append(
                f"{source} to {target}, {time:f} {problem.unit} (lift and lower: {lift + lower:f})"
            )
    if found:
        yield (
            "Loaded moves in the table of times take less than lifting and lowering alone: "
            f"{_named(found)}. A time runs from the start of lifting to the end of lowering."
        )


def _own(problem: Statement, station: Station, key: str) -> Decimal | None:
    own: Decimal | None = getattr(station, key)
    common = [getattr(hoist, key) for hoist in problem.hoists]
    if own is not None or None in common:
        return own
    return min(common)


def _unused(problem: Statement) -> Iterator[str]:
    """Entries of tables that nothing asks for, where not every pair was measured anyway."""
    moves = _moves(problem)
    used = {name for pair in moves for name in pair}
    for key, table, wanted in (
        ("loaded", problem.loaded_times, set(moves)),
        ("empty", problem.empty_times, set(product(used, used))),
    ):
        left = [pair for pair in table if pair not in wanted]
        names = {name for pair in table for name in pair}
        whole = len(table) * 2 > len(names) * (len(names) - 1) and len(names) > 2
        if left and not whole:
            told_of = _named([f"{source} to {target}" for source, target in left])
            yield (
                f"No recipe asks for these times in the table of {key} "
                f"{'moves' if key == 'loaded' else 'travel'}: {told_of}."
            )


# -- windows ----------------------------------------------------------------------------


def _far_apart(problem: Statement) -> Iterator[str]:
    """A stage whose window lies far from those of all others: minutes among seconds."""
    for recipe in problem.recipes:
        if len(recipe.stages) < 3:
            continue
        for number, stage in enumerate(recipe.stages, start=1):
            others = [other for other in recipe.stages if other is not stage]
            place = f'Stage {number} ("{stage.label}") of recipe "{recipe.name}"'
            if _share(problem, stage) >= FAR_APART * max(map(_greatest, others)) > 0:
                yield (
                    f"{place} takes {stage.min:f} {problem.unit} at least, {FAR_APART} times as "
                    "long as any other: are minutes and seconds mixed up?"
                )
            elif 0 < _greatest(stage) * FAR_APART <= min(other.min for other in others):
                yield (
                    f"{place} takes {_greatest(stage):f} {problem.unit}, every other {FAR_APART} "
                    "times as long or more: are minutes and seconds mixed up?"
                )


def _greatest(stage: Stage) -> Decimal:
    return stage.min if stage.max is None else stage.max


def _share(problem: Statement, stage: Stage) -> Decimal:
    """The least dwell over the places that share it: what it asks of the cycle time."""
    return stage.min / _places(problem, stage.station)


def _needless_copies(problem: Statement) -> Iterator[str]:
    """Parallel stations where one alone would not be what holds the line up.

    Of one hoist: several share the work, and turns of a tank are shorter with them.
    """
    if len(problem.hoists) > 1:
        return
    busy = Fraction(0)
    asked: dict[tuple[str, ...], Fraction] = {}
    for recipe in (problem.recipe_by_name[name] for name in problem.load_set):
        found = [_least_move(problem, way) for way in _ways(problem, recipe)]
        times = [time for time in found if time is not None]
        if len(times) < len(found):
            return
        busy += sum(times)
        for stage, into, out in zip(recipe.stages, times, times[1:], strict=False):
            # One load out, one in, and the way back between them.
            whole = Fraction(stage.min) + into + out + min(into, out)
            asked[stage.station] = asked.get(stage.station, Fraction(0)) + whole
    holding, longest = "the hoist", busy
    for names, time in asked.items():
        each = time / max(1, _places(problem, names))
        if each > longest:
            holding, longest = " and ".join(names), each
    for names, time in asked.items():
        if len(names) > 1 and time <= longest and holding != " and ".join(names):
            yield (
                f"{_named(list(names))} serve the same stage, but one of them alone would be "
                f"busy for about {_rough(time)} {problem.unit} of a cycle and {holding} for "
                f"{_rough(longest)} or more: the others do not make the cycle shorter, and a "
                "track that is longer for them makes it longer."
            )


def _places(problem: Statement, names: Iterable[str]) -> int:
    """Carriers that tanks hold together."""
    capacities = (problem.station_by_name[name].capacity for name in names)
    return sum(places for places in capacities if isinstance(places, int))


def _rough(time: Fraction) -> str:
    return told(Fraction(round(time)))


def _least_move(problem: Statement, way: Way) -> Fraction | None:
    """The quickest of the ways of a loaded move, roughly; None where a figure is missing."""
    sources, targets, drip = way
    times = [
        time
        for source, target in product(sources, targets)
        if source != target and (time := _move(problem, source, target, drip)) is not None
    ]
    return min(times, default=None)


def _move(problem: Statement, source: str, target: str, drip: Decimal) -> Fraction | None:
    entry = problem.loaded_times.get((source, target))
    if entry is not None:
        return Fraction(entry + drip)
    motions = [hoist.loaded for hoist in problem.hoists if hoist.loaded is not None]
    motion = max(motions, key=lambda one: one.speed, default=None)
    distance = _distance(problem, source, target)
    lift = _own(problem, problem.station_by_name[source], "lift")
    lower = _own(problem, problem.station_by_name[target], "lower")
    if motion is None or distance is None or lift is None or lower is None:
        return None
    return distance / Fraction(motion.speed) + Fraction(motion.settling + lift + lower + drip)


def _out_of_service(problem: Statement) -> Iterator[str]:
    out = [station.name for station in problem.stations if station.out_of_service]
    if out:
        are = "is" if len(out) == 1 else "are"
        yield f"{_named(out)} {are} out of service: no load is set down there."


CHECKS: tuple[Callable[[Statement], Iterator[str]], ...] = (
    _speeds,
    _one_place,
    _too_quick,
    _unused,
    _far_apart,
    _needless_copies,
    without_effect,
    _out_of_service,
)
