"""Have the solver's inner loops compiled, as they are on a machine that has solved before."""

from __future__ import annotations

from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance import build_instance
from hoistopt.solver.chains import ChainBound, kinds_of
from hoistopt.solver.cyclic.annealing import LoadsAnnealing, rounds
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.reinsertion import Reinsertion
from hoistopt.solver.cyclic.starts import one_by_one
from hoistopt.solver.cyclic.starts.first import find_first
from hoistopt.solver.cyclic.track.search import TrackSearch
from hoistopt.solver.model.build import lowest_cycle

from .lines.families import random_line
from .lines.real import real_line


def main() -> None:
    """Search along the track of a small line, anneal it and a mix, put moves back, once."""
    rounds.FIRST_LOOKS, rounds.TRIALS = 0, 1000
    instance = build_instance(random_line("loose", 10, 0))
    lowest = lowest_cycle(instance)
    incumbent = Incumbent(lowest)
    find_first(instance, incumbent)
    rounds.Annealing(instance, incumbent, 0).look()
    ChainBound(kinds_of(instance)).raise_to(1000, Clock())
    TrackSearch(instance, Incumbent(lowest), lambda order: None, lambda: False).close()
    mix = build_instance(real_line("real-mix", 15, 1))
    incumbent = Incumbent(lowest_cycle(mix))
    schedule = one_by_one(mix)
    assert schedule is not None
    incumbent.keep(schedule, [])
    for search in (LoadsAnnealing, Reinsertion):
        search(mix, incumbent, Clock(Effort(None, 1))).near(1)


if __name__ == "__main__":
    main()
