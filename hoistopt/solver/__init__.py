"""The search for schedules: bounds, models and whatever finds better schedules.

- `model/`: the model of a cycle; its rules, a file each, are the statement of the problem.
- `search.py`: the least cycle time. `cyclic/`: with one hoist. `several/`: with several on one
  track.
- `finite/`: programmes. `chains/`: a bound from what the hoist can do in a row.
- `bounds.py`: bounds without search. `any_degree.py`: those that hold at every degree.
- `cpsat.py`: running CP-SAT. `lexicographic.py`: several aims in order. `size.py`: how much memory
  a model takes.
- `compiled.py`, `fingerprint.py`: how inner loops are compiled and kept. `compiling.py`: whether
  there is time for it.
"""

from .any_degree import least_per_set
from .chains import ChainBound, kinds_of
from .cpsat import Status, run_model
from .cyclic.incumbent import Found
from .cyclic.search import cycle_if_gathered
from .cyclic.starts.copies import copied
from .cyclic.starts.groups import retimed, tanks_left_idle
from .model.build import build_model, horizon, lowest_cycle
from .search import least_cycle
from .several import Shorten
from .several.in_order import least_that_keeps, shortest_in_order
from .several.travels import travels_of
from .size import model_bytes

__all__ = [
    "ChainBound",
    "Found",
    "Shorten",
    "Status",
    "build_model",
    "copied",
    "cycle_if_gathered",
    "horizon",
    "kinds_of",
    "least_cycle",
    "least_per_set",
    "least_that_keeps",
    "lowest_cycle",
    "model_bytes",
    "retimed",
    "run_model",
    "shortest_in_order",
    "tanks_left_idle",
    "travels_of",
]
