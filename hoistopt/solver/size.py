"""How much memory the model of an instance takes, before it is built."""

from __future__ import annotations

from collections import Counter

from ..instance import Instance

BYTES = 3000
"""Bytes for a pair of moves on one pair of tanks, as measured: 0.5 to 3 thousand."""


def model_bytes(instance: Instance) -> int:
    """Return about how many bytes the model takes while it is solved.

    What grows fastest is the rule of the hoist: of any two moves, for each tank that the one
    may end at and each that the other may begin at.
    """
    ends = Counter((len(move.targets), len(move.sources)) for move in instance.moves)
    pairs = 0
    for (targets, _), count in ends.items():
        for (_, sources), others in ends.items():
            ways = targets * sources
            pairs += count * others * (1 if ways == 1 else 1 + 2 * ways)
    return BYTES * pairs
