"""A bound on the cycle time from what the hoist can do in a row.

The assignment over moves asks which move comes next, whatever came before. Where windows are short,
far less is possible: while a load stands in a dip of 20 s, no other move fits, and while it stands
in a rinse, one or two. A chain is a number of moves that the hoist makes one after another; it is
possible if some times for them keep all windows as far as these can be seen from the chain. A cycle
is a closed walk through chains, each sharing all but its first move with the next, in which every
kind of move comes as often as loads need it. What the least such walk takes, fractions of chains
allowed, is a linear program, and no cycle takes less: not of this degree nor of any other, for
chains do not tell one load from another. What the dual values of the program prove is worked out in
whole numbers.

Longer chains see more; there are few of them exactly where windows are short. They get longer, and
more, with every turn of the search.

- `kinds.py`: what all loads of one recipe have in common, as arrays. `kernel.py`: whether a chain
  is possible, compiled. `bound.py`: the least closed walk.
"""

from .bound import ChainBound
from .kinds import Kinds, kinds_of

__all__ = ["ChainBound", "Kinds", "kinds_of"]
