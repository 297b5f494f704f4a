"""How the hoist's times scatter, in the words of a problem file.

A reading is compared with the time that is planned for it, as a factor on it and as a time
added to it; of both ways and several shapes the one is taken whose distribution lies nearest to
that of the readings, by the mean squared distance of the two (Cramér and von Mises).
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor, log10
from typing import TYPE_CHECKING

from ...problem.scatter import How, Scatter, What

if TYPE_CHECKING:
    import numpy as np

FEWEST = 20
"""Readings from which a scatter is told."""
_DIGITS = 4


def scatter_of(what: What, times: np.ndarray, planned: np.ndarray) -> Scatter | None:
    """The scatter of readings about their planned times; None of too few or of none.

    Parameters
    ----------
    what : str
        What was read.
    times, planned : numpy.ndarray
        Reading by reading, planned times above 0.
    """
    if len(times) < FEWEST or not (times != planned).any():
        return None
    ways: dict[How, np.ndarray] = {"times": times / planned, "plus": times - planned}
    found = [
        (_distance(scatter, values), scatter)
        for how, values in ways.items()
        for scatter in _shapes(what, how, values)
        if how == "times" or float(planned.min()) + scatter.lowest >= 0
    ]
    return min(found, key=lambda each: each[0])[1]


def _shapes(what: What, how: How, values: np.ndarray) -> Iterator[Scatter]:
    import numpy as np

    low, high = float(values.min()), float(values.max())
    mean, deviation = float(values.mean()), float(values.std(ddof=1))
    if low == high:
        return
    ends = _rounded(low, floor), _rounded(high, ceil)
    mode = min(max(_rounded(3 * mean - low - high, round), ends[0]), ends[1])
    yield Scatter(what, how, "triangular", (ends[0], mode, ends[1]))
    yield Scatter(what, how, "uniform", ends)
    if ends[0] < mean < ends[1]:
        yield Scatter(
            what, how, "normal", (_rounded(mean, round), _rounded(deviation, ceil), *ends)
        )
    if how == "times":
        spread = float(np.exp(np.log(values).std(ddof=1)))
        if 1 < spread <= 10:
            median = _rounded(float(np.exp(np.log(values).mean())), round)
            yield Scatter(what, how, "lognormal", (median, _rounded(spread, ceil)))


def _rounded(value: float, towards) -> float:  # type: ignore[no-untyped-def]
    """To four significant digits, without noise in the last."""
    if not value:
        return 0.0
    places = _DIGITS - 1 - floor(log10(abs(value)))
    places = min(places, 6)
    return float(round(towards(round(value * 10**places, 3)) / 10**places, max(places, 0)))


def _distance(scatter: Scatter, values: np.ndarray) -> float:
    import numpy as np

    drawn = np.sort(scatter.draw(np.random.default_rng(0), (20_000,)))
    ordered = np.sort(values)
    share = (np.arange(len(ordered)) + 0.5) / len(ordered)
    return float(((np.searchsorted(drawn, ordered) / len(drawn) - share) ** 2).mean())
