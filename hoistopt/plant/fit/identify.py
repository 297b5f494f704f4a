"""Which figures the times tell, which only as a sum, and which not at all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from .coordinates import Coordinates
from .figures import Figure
from .physics import Physics
from .squares import Means, Solution, least_squares

SUMMED = (Figure("lift"), Figure("lower"), Figure("loaded settling"))
"""Times of which a whole move shows the sum only."""
WELL = 0.25
"""A speed, acceleration or settling whose standard error is more than this part of it, and
settling that is also told worse than by a single reading, is held as the file has it."""


_TIGHTER = 1.5
"""A figure whose standard error grows by more than this factor when another is let free
depends on that other."""
_STRAIGHT = (
    "no way is clearly too short for top speed, and over longer ways it shows as settling does"
)
_NO_TIME = 0.01
_BETTER = 9.0
"""By how much the weighted squares fall, at least, where an acceleration shows at all."""


@dataclass(frozen=True)
class Told:
    """A fit of those figures that the times tell.

    Attributes
    ----------
    solution : Solution
    why_held : dict
        Of each figure held, why.
    given : dict
        Of figures that depend on others that are held, which those are.
    beside : frozenset of Figure
        Times that only show in a sum with those that share one variable.
    """

    solution: Solution
    why_held: Mapping[Figure, str]
    given: Mapping[Figure, tuple[Figure, ...]]
    beside: frozenset[Figure]


def tell(physics: Physics, means: Means) -> Told:
    """Fit all figures that the times tell; the others stay as the file has them.

    Accelerations are held at first. Of lifting, lowering and settling, what shows in a sum
    only shares one variable. Then what is still open is held, one figure after the other, and
    last the accelerations are let free and kept where the times tell them well.
    """
    return _Telling(physics, means).done()


class _Telling:
    """The fit while it is found out what the times tell."""

    def __init__(self, physics: Physics, means: Means) -> None:
        self._physics, self._means = physics, means
        self._today = dict(physics.figures)
        self._begun = _begun(physics, self._today)
        self._why: dict[Figure, str] = {}
        self._given: dict[Figure, tuple[Figure, ...]] = {}
        self._rates = [figure for figure in self._today if "acceleration" in figure.name]
        held = {figure: self._today[figure] for figure in self._rates}
        free = tuple(figure for figure in self._today if figure not in held)
        self._fit = self._fitted(Coordinates(free, held), self._begun)

    def done(self) -> Told:
        beside = self._share()
        for figure in sorted(self._fit.coordinates.free, key=_first_held):
            if self._fit.is_open(figure):
                self._hold(figure, "the times leave it open")
        for figure in sorted(self._rates):
            self._let_free(figure)
        for figure in sorted(self._rates):
            self._make_room(figure)
        self._hold_badly_told()
        given = {figure: held for figure, held in self._given.items() if figure not in self._why}
        return Told(self._fit, self._why, given, beside - self._why.keys())

    def _fitted(self, coordinates: Coordinates, start: Mapping[Figure, float | None]) -> Solution:
        return least_squares(self._physics, self._means, coordinates, start)

    def _share(self) -> frozenset[Figure]:
        """Let times of which only the sum shows share a variable; what else is in such sums."""
        fit, free = self._fit, self._fit.coordinates.free
        summed = [figure for figure in SUMMED if figure in free and fit.is_open(figure)]
        if len(summed) < 2:
            return frozenset()
        beside = [figure for figure in free if fit.is_open(figure) and figure not in summed]
        now = fit.coordinates.sharing(_parts(summed, self._today))
        self._fit = self._fitted(now, self._begun)
        return frozenset(figure for figure in beside if not self._fit.is_open(figure))

    def _hold(self, figure: Figure, why: str) -> None:
        before = self._fit
        self._fit = self._fitted(
            before.coordinates.holding(figure, self._today[figure]), before.values
        )
        self._why[figure] = why
        self._depend(figure, before, self._fit)

    def _depend(self, held: Figure, free: Solution, now: Solution) -> None:
        """Take note of what the times tell much worse where one figure is free."""
        if self._today[held] is None:
            return
        for figure in now.coordinates.free:
            error, wider = now.error(figure), free.error(figure)
            if error is None or (wider is not None and wider <= _TIGHTER * error):
                continue
            self._given[figure] = (*self._given.get(figure, ()), held)

    def _let_free(self, rate: Figure) -> None:
        """Keep an acceleration that the times tell well."""
        before = self._fit
        start = {**before.values, rate: self._begun[rate]}
        trial = self._fitted(before.coordinates.freeing(rate), start)
        error, value = trial.error(rate), trial.values[rate]
        shows = self._shows(rate, trial)
        if error is not None and value is not None and error <= WELL * value and shows:
            self._fit = trial
            return
        self._why[rate] = "the times hardly tell it" if shows else _STRAIGHT
        self._depend(rate, trial, before)

    def _make_room(self, rate: Figure) -> None:
        """Where an acceleration that is held leaves no time for settling, fit it instead.

        Over ways long enough for top speed both only lengthen travel, by v/a and by settling;
        where that is less than v/a by the file, it is the acceleration that must be more.
        """
        settling = Figure(rate.name.replace("acceleration", "settling"))  # type: ignore[arg-type]
        before, now = self._fit, self._fit.coordinates
        if rate not in self._why or self._today[rate] is None or settling not in now.free:
            return
        if (before.values[settling] or 0.0) > _NO_TIME * float(self._means.scatter.min()):
            return
        trial = self._fitted(now.holding(settling, 0.0).freeing(rate), before.values)
        if self._squares(before) - self._squares(trial) > _BETTER:
            self._fit = trial
            del self._why[rate]
            self._why[settling] = "travel leaves no time for it"
            self._given = {
                figure: tuple(other for other in held if other != rate) or (settling,)
                for figure, held in self._given.items()
                if figure != settling
            }
            self._given[rate] = (settling,)

    def _squares(self, fit: Solution) -> float:
        weight = self._means.count / self._means.scatter**2
        return float((fit.left**2 * weight).sum())

    def _shows(self, rate: Figure, trial: Solution) -> bool:
        """Whether the times are much nearer than where all ways are long enough for top speed.

        Over such ways they follow a straight line, as without an acceleration.
        """
        straight = self._fitted(trial.coordinates.holding(rate, None), trial.values)
        least = self._squares(trial)
        away = self._squares(straight) - least
        freedom = max(1, len(trial.left) - trial.coordinates.variables)
        return away > _BETTER * max(1.0, least / freedom)

    def _hold_badly_told(self) -> None:
        """Hold speeds and settling that are told badly."""
        single = float(self._means.scatter.max())
        for figure in self._fit.coordinates.free:
            if figure.name.endswith(("settling", "speed")):
                error, value = self._fit.error(figure), self._fit.values[figure] or 0.0
                least = single if figure.is_time else 0.0
                if error is None or error > max(WELL * value, least):
                    self._hold(figure, "the times hardly tell it")


def _begun(physics: Physics, today: Mapping[Figure, float | None]) -> dict[Figure, float | None]:
    """Figures to begin from: an acceleration that the file leaves out is guessed."""
    found = dict(today)
    for motion in ("loaded", "empty"):
        speed = today.get(Figure(f"{motion} speed"))  # type: ignore[arg-type]
        rate = Figure(f"{motion} acceleration")  # type: ignore[arg-type]
        if speed is not None and rate in today and today[rate] is None:
            way = physics.distances(motion)
            found[rate] = speed**2 / float(way[way > 0].mean())
    return found


def _parts(summed: list[Figure], today: Mapping[Figure, float | None]) -> dict[Figure, float]:
    """In what parts a sum is shared out: those of the file, or else lift and lower alike."""
    parts = {figure: today[figure] or 0.0 for figure in summed}
    if sum(parts.values()):
        return parts
    return {figure: float(figure.station is None and figure != SUMMED[2]) for figure in summed}


def _first_held(figure: Figure) -> tuple[bool, bool, bool, Figure]:
    """Settling is held before other times, a station's before the hoist's, a speed last."""
    settling = figure.name.endswith("settling")
    return not figure.is_time, not settling, figure.station is None, figure
