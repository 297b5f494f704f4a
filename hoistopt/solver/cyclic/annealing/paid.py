"""Which of several ways to search has paid so far, and so gets more of the time."""

from __future__ import annotations

from collections.abc import Sequence

from numpy.random import Generator


class Paid:
    """Counts the tries and the finds of several ways to search.

    Parameters
    ----------
    hopes : sequence of float
        Finds that each way is credited with at the start, out of two tries: above 0, at most 2.
    """

    def __init__(self, hopes: Sequence[float]) -> None:
        self._tried = [2.0] * len(hopes)
        self._found = list(hopes)

    @property
    def shares(self) -> list[float]:
        """For each way, its share of the next tries: proportional to its finds per try."""
        each = [found / tried for found, tried in zip(self._found, self._tried, strict=True)]
        return [part / sum(each) for part in each]

    def choose(self, random: Generator) -> int:
        """Draw the number of a way, each with the probability of its share."""
        return int(random.choice(len(self._tried), p=self.shares))

    def tell(self, way: int, tried: int, found: int) -> None:
        """Count tries, and how many of them found something better."""
        self._tried[way] += tried
        self._found[way] += found
