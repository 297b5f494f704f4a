"""Which of several ways to search has paid so far, and so gets more of the time."""

from __future__ import annotations

from collections.abc import Sequence

from numpy.random import Generator


class Paid:
    """Ways to search, by what they have found.

    Parameters
    ----------
    hopes : sequence of float
        By way how many of two tries, made before the first, may have found something.
    """

    def __init__(self, hopes: Sequence[float]) -> None:
        self._tried = [2.0] * len(hopes)
        self._found = list(hopes)

    @property
    def shares(self) -> list[float]:
        """Share of the tries for each way to search, in proportion to what it found a try."""
        each = [found / tried for found, tried in zip(self._found, self._tried, strict=True)]
        return [part / sum(each) for part in each]

    def choose(self, random: Generator) -> int:
        """Draw a way by the shares."""
        return int(random.choice(len(self._tried), p=self.shares))

    def tell(self, way: int, tried: int, found: int) -> None:
        """Count tries, and how many of them found something better."""
        self._tried[way] += tried
        self._found[way] += found
