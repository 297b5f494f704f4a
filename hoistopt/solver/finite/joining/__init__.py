"""Programmes that go over into a cycle, as early as can be.

There is a problem for each way of joining: which move of the cycle comes first, and which loads of
the state take which *role*, the place of a load that the cycle has in the line then
(:mod:`hoistopt.instance.ways_of_joining`). In each, moves of the cycle start at fixed times after
one variable, the joining, and all others before. The model is that of programmes with other ends.
Moves tied to the joining leave one another time, so only their meeting with the others is stated.
What follows the joining counts for as long as ends and carriers remember. Bounds on a way of
joining need no model, so few are built.

First a programme is looked for where the bound is, as for a line nearly in step. Then the line runs
out and fills at the times of the cycle. Then the joining moves forward as long as loads can be
placed before it. Then CP-SAT lets moves near each other change places, and closes one way of
joining after another. With more than 8,000 of them, only those are looked into in which loads keep
their order, and the bound is that of the roles alone.

- `search.py`: what is tried in which order. `incumbent.py`: the best over all ways of joining.
  `candidate.py`: one way; `whole.py`: what CP-SAT proves on it.
- `placing.py`: programmes that join at a given time. `run_out_and_fill.py`: those of the line run
  out and filled. `first.py`: the first of them.
"""

from .candidate import Candidate, Fill, Value
from .placing import Ways
from .search import Joined, JoinSearch, soonest_joined

__all__ = ["Candidate", "Fill", "JoinSearch", "Joined", "Value", "Ways", "soonest_joined"]
