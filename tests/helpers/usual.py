"""Random lines of which the first are in the usual run, and the rest with ``--long``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from _pytest.mark import ParameterSet


def first(usual: int, seeds: Sequence[Any]) -> list[ParameterSet]:
    """The first so many of the seeds as one case, and the rest, marked long, as another."""
    return [
        pytest.param(seeds[:usual], id="usual"),
        pytest.param(seeds[usual:], id="more", marks=pytest.mark.long),
    ]


def each(usual: int, seeds: Sequence[Any]) -> list[ParameterSet]:
    """Every seed as a case of its own, all but the first so many marked long."""
    return [
        pytest.param(seed, marks=() if number < usual else pytest.mark.long)
        for number, seed in enumerate(seeds)
    ]
