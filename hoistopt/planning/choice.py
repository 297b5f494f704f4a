"""What a search for the best degree came to, beside the result itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from .result import Result

Proof = Literal["any degree", "degrees compared", "open"]
Ended = Literal["proved", "time limit", "stopped", "no progress"]


@dataclass(frozen=True)
class LeftOut:
    """A degree that was not searched.

    Attributes
    ----------
    degree : int
    reason : str
        Why, in a few words.
    """

    degree: int
    reason: str


@dataclass(frozen=True)
class DegreeChoice:
    """How the degree of a result was chosen; times in the problem's unit.

    Attributes
    ----------
    results : tuple of Result
        One for each degree looked at, the lowest first. Their `runtime` is the time spent
        on that degree. A degree that is a multiple of another has at least its cycle, run
        several times over.
    least_per_load : int or float
        No cycle of any degree takes less time per load; 0 where no such bound was worked out.
    proved : str
        "any degree": no cycle of any degree has a shorter mean time per load. "degrees
        compared": none of the degrees in `results` has one. "open": one might.
    least_of_compared : int or float
        No cycle of the degrees in `results` takes less time per load.
    ended : str
        What ended the search: "proved", "time limit", "stopped", or "no progress" within
        `patience`.
    patience : float or None
        Seconds without progress, once there is a schedule, after which the search ends by
        itself; None where a time limit was given.
    left_out : tuple of LeftOut
        Degrees that the line gives reason to try, which were not searched: those too large,
        and those beyond the ten that are tried at most. The lowest first.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/roomy_dryer.toml")
    >>> choice = hoistopt.solve(problem, degree="best").choice
    >>> choice.proved, choice.least_per_load
    ('any degree', 155.3)
    """

    results: tuple[Result, ...]
    least_per_load: int | float
    proved: Proof
    least_of_compared: int | float
    ended: Ended
    patience: float | None = None
    left_out: tuple[LeftOut, ...] = ()
