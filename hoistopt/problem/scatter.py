"""How the hoist's times scatter: what the user states, checked, and drawn from.

A scatter reads like "move times triangular 0.97 1 1.15" or "lower plus uniform 0 0.8":
what scatters, whether a factor on its planned time or a time added to it, the shape, and
the shape's figures.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

from ..base.errors import InputError
from ..base.numbers.decimals import told

if TYPE_CHECKING:
    import numpy as np

What = Literal["move", "lift", "travel", "lower", "empty"]
How = Literal["times", "plus"]
Shape = Literal["fixed", "uniform", "triangular", "normal", "lognormal"]

FIGURES: dict[str, str] = {
    "fixed": "VALUE",
    "uniform": "LOW HIGH",
    "triangular": "LOW MODE HIGH",
    "normal": "MEAN DEVIATION [LOW HIGH]",
    "lognormal": "MEDIAN SPREAD",
}
"""The figures of each shape, as a user writes them."""

LARGEST = 1e6
CUT = 3.0
"""A normal scatter is cut off this many standard deviations from its mean."""
_LEAST_KEPT = 0.01
_EXAMPLE = 'Such as "move times triangular 0.97 1 1.15" or "lower plus uniform 0 0.8".'


@dataclass(frozen=True)
class Scatter:
    """One kind of scatter of the hoist's times.

    Parameters
    ----------
    what : {"move", "lift", "travel", "lower", "empty"}
        The whole of a loaded move but for its drip, which a timer keeps; one of its
        parts, `travel` with settling; or the empty travel.
    how : {"times", "plus"}
        Whether what is drawn multiplies the planned time or is added to it, then in the
        problem's unit.
    shape : {"fixed", "uniform", "triangular", "normal", "lognormal"}
        Always the same value; equally likely between two; rising to a mode and falling;
        normal, cut off at three standard deviations or where stated; lognormal.
    values : tuple of float
        As in :data:`FIGURES`. The spread of a lognormal is a factor: about two thirds
        of the values lie between the median divided by it and multiplied by it.

    Raises
    ------
    InputError
        When the figures make no sense.

    Examples
    --------
    >>> import hoistopt
    >>> print(hoistopt.Scatter("move", "times", "triangular", (0.97, 1, 1.15)))
    move times triangular 0.97 1 1.15
    """

    what: What
    how: How
    shape: Shape
    values: tuple[float, ...]

    def __post_init__(self) -> None:
        for key, kinds in (("what", What), ("how", How), ("shape", Shape)):
            if getattr(self, key) not in get_args(kinds):
                raise _wrong(self, f"one of {', '.join(get_args(kinds))} as {key}")
        _check_values(self)

    def __str__(self) -> str:
        return " ".join([self.what, self.how, self.shape, *(told(v) for v in self.values)])

    @property
    def lowest(self) -> float:
        """No value drawn is lower."""
        if self.shape == "normal":
            return self._cut()[0]
        return 0.0 if self.shape == "lognormal" else self.values[0]

    def _cut(self) -> tuple[float, float]:
        mean, deviation = self.values[:2]
        if len(self.values) == 4:
            return self.values[2], self.values[3]
        return mean - CUT * deviation, mean + CUT * deviation

    def draw(self, generator: np.random.Generator, size: tuple[int, ...]) -> np.ndarray:
        """Values, as many as `size` says."""
        import numpy as np

        a, *more = self.values
        even = self.shape in ("fixed", "uniform", "triangular") and a == max(self.values)
        if even or (self.shape == "normal" and not more[0]):
            return np.full(size, a)
        if self.shape == "uniform":
            return generator.uniform(a, more[0], size)
        if self.shape == "triangular":
            return generator.triangular(a, more[0], more[1], size)
        if self.shape == "lognormal":
            return generator.lognormal(math.log(a), math.log(more[0]), size)
        return self._draw_normal(generator, size)

    def _draw_normal(self, generator: np.random.Generator, size: tuple[int, ...]) -> np.ndarray:
        """By rejection: draw again whatever lies outside the cuts."""
        mean, deviation = self.values[:2]
        low, high = self._cut()
        drawn = generator.normal(mean, deviation, size)
        while (outside := (drawn < low) | (drawn > high)).any():
            drawn[outside] = generator.normal(mean, deviation, int(outside.sum()))
        return drawn


def read_scatter(text: str) -> Scatter:
    """A scatter from its words.

    Raises
    ------
    InputError
        When the words or figures make no sense.
    """
    words = text.split()
    if len(words) < 4:
        raise InputError(
            "what scatters, times or plus, a shape and its figures",
            field="scatter",
            value=text,
            way_out=_EXAMPLE,
        )
    what, how, shape, *figures = words
    try:
        values = tuple(float(figure) for figure in figures)
    except ValueError:
        raise InputError(
            f"plain numbers after {shape}", field="scatter", value=text, way_out=_EXAMPLE
        ) from None
    return Scatter(what, how, shape, values)  # type: ignore[arg-type]


def _wrong(scatter: Scatter, expected: str) -> InputError:
    return InputError(expected, field="scatter", value=scatter, way_out=_EXAMPLE)


def _check_values(scatter: Scatter) -> None:
    shape, values = scatter.shape, scatter.values
    wanted = {"normal": (2, 4)}.get(shape, (len(FIGURES[shape].split()),))
    if len(values) not in wanted:
        raise _wrong(scatter, f"{shape} to be followed by {FIGURES[shape]}")
    if not all(_fair(value) for value in values):
        raise _wrong(scatter, f"figures of at most {told(LARGEST)}")
    if shape in ("uniform", "triangular") and list(values) != sorted(values):
        raise _wrong(scatter, f"{FIGURES[shape]} in rising order")
    if shape == "normal":
        _check_normal(scatter)
    if shape == "lognormal" and not (values[0] > 0 and 1 <= values[1] <= 10):
        raise _wrong(scatter, "a median above 0 and a spread, a factor, from 1 to 10")
    if scatter.how == "times" and scatter.lowest < 0:
        raise _wrong(scatter, f"no factor below 0, but it goes down to {told(scatter.lowest)}")


def _fair(value: object) -> bool:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and math.isfinite(value) and abs(value) <= LARGEST  # type: ignore[arg-type]


def _check_normal(scatter: Scatter) -> None:
    mean, deviation, *cut = scatter.values
    if deviation < 0:
        raise _wrong(scatter, "a standard deviation of at least 0")
    if not cut:
        return
    low, high = cut
    if low > high:
        raise _wrong(scatter, "the lower cut first")
    kept = 0.0
    if deviation:
        kept = sum(
            sign * math.erf((at - mean) / deviation / math.sqrt(2)) / 2
            for sign, at in ((1, high), (-1, low))
        )
    elif low <= mean <= high:
        kept = 1.0
    if kept < _LEAST_KEPT:
        raise _wrong(scatter, f"cuts that leave at least {_LEAST_KEPT:.0%} of the values")


def scatter_list(given: Sequence[Scatter | str]) -> tuple[Scatter, ...]:
    """Scatters from what a caller gave; strings are read.

    Raises
    ------
    InputError
        When one makes no sense, or something else than scatters is given.
    """
    if isinstance(given, str | Scatter):
        given = [given]
    found = []
    for item in given:
        if not isinstance(item, str | Scatter):
            raise InputError("a scatter or its words", field="scatter", value=item)
        found.append(read_scatter(item) if isinstance(item, str) else item)
    return tuple(found)
