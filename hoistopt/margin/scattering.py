"""The scatter that schedules of a line are judged by, and whose figures it has."""

from __future__ import annotations

from typing import Literal

from ..problem import Problem, Scattering
from ..problem.margin import ASSUMED

Source = Literal["given", "stated", "assumed"]

WHOSE: dict[Source, str] = {
    "given": "as asked",
    "stated": "as the problem file states",
    "assumed": "assumed, invented",
}
"""In words."""


def scatter_of(problem: Problem) -> tuple[Scattering, bool]:
    """The scatter that schedules of the problem are judged by; whether it is assumed."""
    return (ASSUMED, True) if problem.scatter is None else (problem.scatter, False)
