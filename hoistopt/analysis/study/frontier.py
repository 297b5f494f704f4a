"""The efficient frontier: more for more, and nothing that is beaten."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

Thing = TypeVar("Thing")


def efficient(known: Iterable[tuple[Thing, Decimal, Fraction]]) -> list[Thing]:
    """Things with a cost and a yield that no other matches at less or the same cost.

    Of equals in both the first is kept. They come by rising cost, and so by rising yield.
    """
    found: list[Thing] = []
    most: Fraction | None = None
    for thing, _, gained in sorted(known, key=lambda entry: (entry[1], -entry[2])):
        if most is None or gained > most:
            found.append(thing)
            most = gained
    return found
