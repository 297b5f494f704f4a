"""Simulated annealing: schedules far from the incumbent.

`chain` is what it looks at where a cycle has one load, `kernel` the compiled loop, `rounds` what is
tried in turn; `loads`, `loads_kernel` and `loads_rounds` the same where it has several, and `tanks`
the tanks of those.
"""

from .chain import can_anneal
from .loads import can_anneal_loads
from .loads_rounds import LoadsAnnealing
from .rounds import Annealing

__all__ = ["Annealing", "LoadsAnnealing", "can_anneal", "can_anneal_loads"]
