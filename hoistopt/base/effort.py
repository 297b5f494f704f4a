"""How much effort a search may take, how it is stopped, and what it tells meanwhile."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from numbers import Real

from .errors import InputError
from .expected import as_given, whole_number


class Stop:
    """A request to stop that one thread makes and any number of searches see.

    A search that sees it ends soon and gives the best it has found. A request cannot be
    taken back: make a new one for the next search.

    Examples
    --------
    >>> import threading
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> stop = hoistopt.Stop()
    >>> clock = threading.Timer(60, stop.set)  # or a button that calls stop.set
    >>> clock.start()
    >>> hoistopt.solve(problem, effort=hoistopt.Effort(stop=stop)).cycle_time
    234
    >>> clock.cancel()
    """

    # Not an Event: a signal handler that interrupts its wait() could wait for itself.
    def __init__(self) -> None:
        self._set = False
        self._gate = threading.Lock()
        self._gate.acquire()

    def set(self) -> None:
        """Ask every search that was given this object to stop.

        Safe from any thread and from a signal handler.
        """
        if not self._set:
            self._set = True
            self._open()

    def is_set(self) -> bool:
        """Whether a stop has been asked for."""
        return self._set

    def wait(self, seconds: float | None = None) -> bool:
        """Wait until a stop is asked for, at most so many seconds; whether it was."""
        if not self._set and self._gate.acquire(timeout=-1 if seconds is None else seconds):
            self._open()  # for the next who waits
        return self._set

    def _open(self) -> None:
        with suppress(RuntimeError):  # another thread has opened it
            self._gate.release()


@dataclass(frozen=True)
class Progress:
    """Where a running search stands.

    The first three have the names and meanings they have in
    :class:`~hoistopt.planning.result.Result`.

    Attributes
    ----------
    cycle_time : int, float or None
        Cycle time of the best schedule so far, in the problem's unit.
    lower_bound : int, float or None
        The proven bound below every schedule, in the problem's unit.
    runtime : float
        Seconds since the search began.
    done, total : int, int or None
        For an inquiry of many searches: how many questions are settled, and out of how
        many; None where that is not known.
    doing : str
        What the inquiry is busy with, in a few words.
    """

    cycle_time: int | float | None = None
    lower_bound: int | float | None = None
    runtime: float = 0.0
    done: int = 0
    total: int | None = None
    doing: str = ""

    @property
    def gap(self) -> float | None:
        """How far above the bound the cycle time may be, as a share of the cycle time."""
        if not self.cycle_time or self.lower_bound is None:
            return None
        return (self.cycle_time - self.lower_bound) / self.cycle_time


@dataclass(frozen=True)
class Effort:
    """What a search may take, and how it is heard and stopped.

    Attributes
    ----------
    time_limit : float or None
        Seconds; None: until the answer is proven. Each function says whether that is for
        all it does or for each of its searches.
    workers : int or None
        Search threads; None: one per core.
    seed : int
        Same seed and one worker: same answer, unless the time limit or a stop cuts in.
    stop : Stop or None
        Set from another thread or a signal handler, it ends the search.
    on_progress : callable or None
        Called with a :class:`Progress` whenever something changes; it may be called from
        another thread, and should return quickly.

    Raises
    ------
    InputError
        When a limit makes no sense, naming it.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> effort = hoistopt.Effort(time_limit=60, workers=1, seed=3)
    >>> hoistopt.solve(problem, effort=effort).status
    'optimal'
    """

    time_limit: float | None = None
    workers: int | None = None
    seed: int = 0
    stop: Stop | None = None
    on_progress: Callable[[Progress], None] | None = field(default=None, compare=False)

    def __post_init__(self) -> None:
        limit = self.time_limit
        if limit is not None and not (isinstance(limit, Real) and 0 < limit < math.inf):
            raise InputError("seconds above 0", field="time_limit", value=as_given(limit))
        if self.workers is not None:
            workers = whole_number(self.workers, 1, 256, field="workers")
            object.__setattr__(self, "workers", workers)
        seed = whole_number(self.seed, 0, 2**31 - 1, field="seed")
        object.__setattr__(self, "seed", seed)  # CP-SAT takes no other type

    def tell(self, news: Progress) -> None:
        """Pass news on to whoever listens."""
        if self.on_progress is not None:
            self.on_progress(news)


def effort_of(
    effort: Effort | None,
    *,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    usual_limit: float | None = None,
) -> Effort:
    """The effort given as one, or put together from single arguments.

    Parameters
    ----------
    usual_limit : float, optional
        Seconds where neither an effort nor a time limit is given.

    Raises
    ------
    InputError
        When both are given, or one of them makes no sense.
    """
    if effort is None:
        limit = usual_limit if time_limit is None else time_limit
        return Effort(limit, workers, seed, on_progress=on_progress)
    given = {
        "time_limit": time_limit is not None,
        "workers": workers is not None,
        "seed": seed != 0,
        "on_progress": on_progress is not None,
    }
    for name, twice in given.items():
        if twice:
            raise InputError(
                f"either an effort or {name}, not both",
                field=name,
                way_out=f"Put it into the effort: Effort({name}=...).",
            )
    return effort
