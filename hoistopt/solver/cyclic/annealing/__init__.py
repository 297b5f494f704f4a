"""Simulated annealing: schedules far from the incumbent, for lines of one load a cycle.

`chain` is what it looks at, `kernel` the compiled loop, `rounds` what is tried in turn.
"""

from .chain import can_anneal
from .rounds import Annealing

__all__ = ["Annealing", "can_anneal"]
