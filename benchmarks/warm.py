"""Have the solver's inner loops compiled, as they are on a machine that has solved before."""

from __future__ import annotations

from hoistopt.base.clock import Clock
from hoistopt.instance import build_instance
from hoistopt.solver.chains import ChainBound, kinds_of
from hoistopt.solver.cyclic.annealing import rounds
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.starts.first import find_first
from hoistopt.solver.cyclic.track.search import TrackSearch
from hoistopt.solver.model.build import lowest_cycle

from .lines.families import random_line


def main() -> None:
    """Search along the track of a small line, anneal it, and look at its chains, once."""
    rounds.FIRST_LOOKS, rounds.TRIALS = 0, 1000
    instance = build_instance(random_line("loose", 10, 0))
    lowest = lowest_cycle(instance)
    incumbent = Incumbent(lowest)
    find_first(instance, incumbent)
    rounds.Annealing(instance, incumbent, 0).look()
    ChainBound(kinds_of(instance)).raise_to(1000, Clock())
    TrackSearch(instance, Incumbent(lowest), lambda order: None, lambda: False).close()


if __name__ == "__main__":
    main()
