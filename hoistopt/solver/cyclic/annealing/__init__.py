"""Simulated annealing: schedules far from the incumbent.

- `chain.py`, `kernel.py`, `rounds.py`: one load a cycle, as arrays; the compiled loop; what is
  tried in turn. Moves are shifted about in a cycle shorter than the best, dwells always within
  their windows, while the hoist may be in two places at a price. CP-SAT mends the order that is
  left, and its neighbourhoods are looked into, for it may be a better hill to climb.
- `loads.py`, `loads_kernel.py`, `loads_rounds.py`: the same of several loads: all moves from
  scratch in a cycle from just above the bound on, two loads in one place at a price too. CP-SAT
  mends the order and shortens the cycle. `tanks.py` deals tanks, and places of roomy stations, anew
  in every round; other rounds begin with the best schedule instead, squeezed into a shorter cycle.
  How long a cycle is aimed at is learnt from how many moves are left near an overlap.
- `merged.py`: the same of a line with groups of tanks, each as one station, in turns with it.
- `paid.py`: which of two such ways has found more so far, and has more of the rounds.
"""

from .chain import can_anneal
from .loads import can_anneal_loads
from .loads_rounds import LoadsAnnealing
from .merged import MergedAnnealing
from .rounds import Annealing

__all__ = ["Annealing", "LoadsAnnealing", "MergedAnnealing", "can_anneal", "can_anneal_loads"]
