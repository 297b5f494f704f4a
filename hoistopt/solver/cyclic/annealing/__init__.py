"""Schedules from far afield: simulated annealing, for one load in a cycle."""

from .chain import can_anneal
from .rounds import Annealing

__all__ = ["Annealing", "can_anneal"]
