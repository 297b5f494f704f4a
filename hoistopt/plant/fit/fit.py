"""From readings to the hoist's times: what they tell, and what a changed file would say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from ...base.extras import library
from ...base.text import listed
from ...problem import Problem
from ...problem.scatter import Scatter, What
from ..readings import Group, Readings, Timed
from .answer import CONFIDENCE, Fit, FittedFigure, How, Sum, TimedPair
from .envelope import Envelope, envelope
from .figures import Figure, stated
from .identify import Told
from .outliers import SetAside, robust_scatter, usual_times, without_outliers
from .parts import Part, fit_part, parts_of
from .physics import Physics, has_physics
from .rounding import grid_of, rounded_up, written
from .scattering import scatter_of

if TYPE_CHECKING:
    pass

Entries = dict[tuple[str, str, str], Decimal]


def fit(readings: Readings) -> Fit:
    """Fit the figures that a problem file states for its hoist to what was measured.

    Outliers are set aside (:mod:`.outliers`); the rest is fitted by weighted least squares
    (:mod:`.squares`), as far as it tells the figures (:mod:`.identify`). Where the physics does
    not fit, or the file has tables, times of a table are the means of what was read. Empty
    travel from a log is no fit but a bound (:mod:`.envelope`).

    Parameters
    ----------
    readings : Readings

    Returns
    -------
    Fit

    Raises
    ------
    InputError
        When scipy is not installed.
    """
    library("scipy", "fit", "to fit times")
    problem = readings.problem
    parts = [fit_part(readings, *part) for part in parts_of(readings)]
    rest, aside = _by_table(readings)
    bound = envelope(problem, readings.bounds, readings.hoist, readings.at_once, readings.step)
    figures = _figures(readings, parts, bound)
    entries = _entries(readings, parts, rest, bound)
    new = _values(figures)
    groups = [*(group for part in parts for group in part.groups), *rest]
    aside += [each for part in parts for each in part.aside]
    aside.sort(key=lambda each: -abs(each.time - each.usual))
    pairs = [_pair(readings, group, aside, new, entries) for group in groups]
    pairs += _bounded(readings, bound, new, entries)
    pairs.sort(key=lambda pair: (pair.timed.what, pair.timed.between))
    return Fit(
        readings,
        tuple(figures),
        tuple(pairs),
        tuple(part.verdict for part in parts),
        tuple(_sums(parts)),
        tuple(aside),
        entries,
        _scatters(groups, {pair.timed: pair.new for pair in pairs}, entries, problem),
    )


def _by_table(readings: Readings) -> tuple[list[Group], list[SetAside]]:
    """What no physics is for, without its outliers."""
    import numpy as np

    problem = readings.problem
    groups = [
        group for group in readings.groups if not has_physics(problem, group.timed, readings.hoist)
    ]
    if not groups:
        return [], []
    usual = usual_times(groups, np.array([np.median(group.times) for group in groups]))
    scatter = robust_scatter(groups, usual, readings.step)
    return without_outliers(readings, groups, usual, scatter)


def _figures(readings: Readings, parts: Sequence[Part], bound: Envelope) -> list[FittedFigure]:
    """Every figure of the file, in its order."""
    problem = readings.problem
    fitted = {f: value for part in parts for f, value in part.told.solution.values.items()}
    by = {figure: part.told for part in parts for figure in part.told.solution.values}
    shared = {f for part in parts for f in part.told.solution.coordinates.shared}
    held = {figure for part in parts for figure in part.told.why_held}
    values = {**fitted, **bound.values}
    zero = {figure for figure in held if fitted[figure] == 0.0}
    changed = {f: value for f, value in values.items() if f not in held or f in zero}
    new = written(problem, changed, frozenset(shared))
    found = []
    for figure, today in stated(problem, readings.hoist).items():
        if figure in bound.values:
            found.append(_at_most(figure, today, bound, new))
        elif figure in held:
            value, why = fitted[figure], by[figure].why_held[figure]
            kept = new[figure] if figure in zero else today
            found.append(FittedFigure(figure, today, value, None, None, None, "held", why, kept))
        elif figure in changed:
            found.append(_told(figure, today, by[figure], new))
        else:
            why, value = "nothing timed has it in it", None if today is None else float(today)
            found.append(FittedFigure(figure, today, value, None, None, None, "held", why, today))
    return found


New = Mapping[Figure, Decimal | None]


def _at_most(figure: Figure, today: Decimal | None, bound: Envelope, new: New) -> FittedFigure:
    value = bound.values[figure]
    return FittedFigure(figure, today, value, None, None, None, "at most", "", new[figure])


def _told(figure: Figure, today: Decimal | None, told: Told, new: New) -> FittedFigure:
    solution = told.solution
    value = solution.values[figure]
    if figure in solution.coordinates.shared or figure in told.beside:
        # A part of a sum has no error of its own: only the sum has one.
        return FittedFigure(figure, today, value, None, None, None, "shared", "", new[figure])
    given = told.given.get(figure, ())
    how: How = "given" if given else "told"
    why = listed([str(other) for other in given])
    error = solution.error(figure)
    if error is None or value is None:
        return FittedFigure(figure, today, value, None, None, None, how, why, new[figure])
    away = error * student(solution.freedom)
    ends = max(0.0, value - away), value + away
    return FittedFigure(figure, today, value, error, *ends, how, why, new[figure])


def student(freedom: int) -> float:
    """How many standard errors a confidence interval reaches to either side."""
    from scipy import special

    return float(special.stdtrit(max(1, freedom), (1 + CONFIDENCE) / 2))


def _sums(parts: Sequence[Part]) -> Iterator[Sum]:
    for part in parts:
        solution = part.told.solution
        figures = tuple(solution.coordinates.shared)
        if figures:
            slopes = solution.coordinates.slopes(solution.values)
            slope = sum((slopes[figure] for figure in figures[1:]), slopes[figures[0]])
            total = sum(solution.values[figure] or 0.0 for figure in figures)
            error = solution.error_of(slope) if solution.error(figures[0]) is not None else None
            yield Sum(figures, total, error)


def _entries(
    readings: Readings, parts: Sequence[Part], rest: Sequence[Group], bound: Envelope
) -> Entries:
    """Times for tables, rounded up: where the file has a table, or the physics does not fit."""
    problem = readings.problem
    if len(problem.hoists) > 1:
        return {}  # whose files have no tables
    grid = grid_of(problem)
    groups = [*rest, *(group for part in parts if not part.verdict.fits for group in part.groups)]
    means = {group.timed: float(group.times.mean()) for group in groups}
    found: Entries = {}
    for (what, source, target), mean in means.items():
        if source is None or target is None:
            continue
        if what in ("move", "empty"):
            kind = "empty" if what == "empty" else "loaded"
            found[kind, source, target] = rounded_up(mean, grid)
        elif what == "travel":
            ends = Timed("lift", source, None), Timed("lower", None, target)
            if all(end in means for end in ends):
                whole = mean + sum(means[end] for end in ends)
                found.setdefault(("loaded", source, target), rounded_up(whole, grid))
    for seen in bound.seen:
        if not has_physics(problem, seen.timed, readings.hoist):
            if (seen.timed.source, seen.timed.target) not in (readings.at_once or ()) and (
                readings.at_once is not None
            ):
                continue  # the plan's wait is in it
            assert seen.timed.source is not None and seen.timed.target is not None
            found["empty", seen.timed.source, seen.timed.target] = rounded_up(seen.least, grid)
    return found


def _values(figures: Sequence[FittedFigure]) -> dict[Figure, float | None]:
    """The figures of the changed file."""
    return {each.figure: None if each.new is None else float(each.new) for each in figures}


def _time(
    readings: Readings, timed: Timed, values: Mapping[Figure, float | None], entries: Entries
) -> tuple[float | None, bool]:
    """What a thing takes by figures and entries, and whether that is from a table."""
    problem = readings.problem
    kind = {"move": "loaded", "empty": "empty"}.get(timed.what)
    if kind is not None and timed.source is not None and timed.target is not None:
        table = problem.loaded_times if kind == "loaded" else problem.empty_times
        pair = timed.source, timed.target
        entry = entries.get((kind, *pair), table.get(pair))
        if entry is not None:
            return float(entry), True
    if not has_physics(problem, timed, readings.hoist):
        return None, False
    physics = Physics(problem, [timed], readings.hoist)
    return float(physics.times({**physics.figures, **values})[0]), False


def _pair(
    readings: Readings,
    group: Group,
    aside: Sequence[SetAside],
    values: Mapping[Figure, float | None],
    entries: Entries,
) -> TimedPair:
    today, _ = _time(readings, group.timed, {}, {})
    new, table = _time(readings, group.timed, values, entries)
    count = len(group)
    error = float(group.times.std(ddof=1)) / count**0.5 if count > 1 else None
    away = sum(each.group.timed == group.timed for each in aside)
    return TimedPair(group.timed, count, away, float(group.times.mean()), error, today, new, table)


def _bounded(
    readings: Readings, bound: Envelope, values: Mapping[Figure, float | None], entries: Entries
) -> list[TimedPair]:
    found = []
    for seen in bound.seen:
        today, _ = _time(readings, seen.timed, {}, {})
        new, table = _time(readings, seen.timed, values, entries)
        found.append(TimedPair(seen.timed, seen.count, 0, seen.least, None, today, new, table))
    return found


def _scatters(
    groups: Sequence[Group],
    planned: Mapping[Timed, float | None],
    entries: Entries,
    problem: Problem,
) -> tuple[Scatter, ...]:
    """Of whole moves where they were timed, else of their parts; and of empty travel."""
    import numpy as np

    if len(problem.hoists) > 1:
        return ()  # whose files state none
    of: dict[What, list[Group]] = {}
    for group in groups:
        if planned.get(group.timed):
            of.setdefault(group.timed.what, []).append(group)
    kinds: list[What] = ["move"] if "move" in of else ["lift", "travel", "lower"]
    tables = problem.loaded_times or any(kind == "loaded" for kind, *_ in entries)
    if tables and kinds != ["move"]:
        kinds = []  # of a move from a table the parts are not known
    found = []
    for kind in [*kinds, "empty"]:
        if kind in of:
            times = np.concatenate([group.times for group in of[kind]])
            plan = np.concatenate([np.full(len(group), planned[group.timed]) for group in of[kind]])
            found.append(scatter_of(kind, times, plan))
    return tuple(scatter for scatter in found if scatter is not None)
