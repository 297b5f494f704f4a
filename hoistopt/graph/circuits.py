"""Circuits as lists of parts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from .build import Part


def joined(parts: Iterable[Part]) -> list[Part]:
    """The parts of a circuit without what is gone along backwards and at once forwards.

    A maximum leads back over the move before it, and the circuit often goes on from that
    move's end: then the move itself says nothing.
    """
    left = [part for part in parts if part.ticks]
    changed = True
    while changed and len(left) > 2:
        changed = False
        for index, part in enumerate(left):
            after = (index + 1) % len(left)
            if replace(part, ticks=-part.ticks) == left[after]:
                left = [other for i, other in enumerate(left) if i not in (index, after)]
                changed = True
                break
    return left
