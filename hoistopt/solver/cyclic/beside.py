"""What runs beside a search that raises the bound: looks for better schedules, and CP-SAT."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress

from ...base.clock import LOOK_EVERY, Clock, OutOfTime
from ...base.effort import Stop
from ...instance import Instance
from ..compiling import NoTimeToCompile, current_guard, use_guard
from .annealing import Annealing, can_anneal
from .incumbent import Incumbent
from .neighbourhoods import Neighbourhoods
from .turns import FIRST_TURN, LONGER_TURN, LOOKS
from .whole import search_whole_model

VAIN_LOOKS, QUESTION = 5, 1.0
"""Looks in vain, after which CP-SAT is asked whether the best is the least; its work on that, in
its own measure (about a second)."""


class Beside:
    """A search that raises the bound, and beside it looks for better schedules.

    With several threads all but one are for what is beside; with one thread the search gives way
    now and then.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place.
    prove : bool
        Whether CP-SAT has turns on the whole model that get longer. Else it is only asked, of a
        best schedule that stays so, whether it is the least: on some long lines with wide windows
        it says so soon, once it has the least.

    Attributes
    ----------
    impossible : bool
        Whether CP-SAT has proved that there is no schedule.
    """

    def __init__(
        self, instance: Instance, incumbent: Incumbent, clock: Clock, *, prove: bool
    ) -> None:
        self.instance, self.incumbent, self.clock, self.prove = instance, incumbent, clock, prove
        self.impossible = False
        look = Annealing if can_anneal(instance) else Neighbourhoods
        self._near: Annealing | Neighbourhoods = look(instance, incumbent, clock.seed, clock)

    @property
    def over(self) -> bool:
        """Whether there is nothing more to do, or no more time to do it."""
        return self.incumbent.closed or self.impossible or self.clock.over

    def run(self, close: Callable[[Callable[[], None]], None]) -> None:
        """Close the gap in one way, and look for better schedules beside it.

        What fails beside it is raised here, at its end. A way that would have to be compiled
        first, with no time for that, ends at once.

        Parameters
        ----------
        close : callable
            Raises the bound; gets what it has to call now and then.
        """
        ended, guard = Stop(), current_guard()
        with ThreadPoolExecutor(1, initializer=use_guard, initargs=(guard,)) as pool:
            beside = None
            if self.clock.workers > 1:
                beside = pool.submit(self._look_and_prove if self.prove else self._look, ended)

            def between() -> None:
                if beside is None and not self.over and self.incumbent.schedule is not None:
                    self._near.look()

            try:
                close(between)
            except NoTimeToCompile:
                pass
            finally:
                ended.set()
                self._near.stop()
        if beside is not None:
            with suppress(OutOfTime):
                beside.result()

    def _look(self, ended: Stop) -> None:
        """Look for better schedules; of a best one that stays so, ask whether it is the least."""
        clock = self._clock_of_others(ended)
        while self.incumbent.schedule is None:  # until the search has one: none to look near
            if clock.over:
                return
            ended.wait(LOOK_EVERY)
        best, asked, vain = self.incumbent.best, None, 0

        def after() -> None:
            nonlocal best, asked, vain
            vain = vain + 1 if self.incumbent.best == best else 0
            best = self.incumbent.best
            if vain >= VAIN_LOOKS and best != asked and not self.over:
                asked = best
                search_whole_model(self.instance, self.incumbent, clock, QUESTION, plainly=True)

        self._near.search(after)

    def _look_and_prove(self, ended: Stop) -> None:
        """Look for better schedules and search the whole model by turns that get longer."""
        clock = self._clock_of_others(ended)
        work = FIRST_TURN
        while True:
            for _ in range(round(work * LOOKS)):
                if clock.over or self.incumbent.closed:
                    return
                if self.incumbent.schedule is not None:
                    self._near.look()
            status = search_whole_model(self.instance, self.incumbent, clock, work)
            if status in ("optimal", "infeasible"):
                self.impossible = status == "infeasible" and self.incumbent.best is None
                return
            work *= LONGER_TURN

    def _clock_of_others(self, ended: Stop) -> Clock:
        return self.clock.part(stop=ended, workers=self.clock.workers - 1)
