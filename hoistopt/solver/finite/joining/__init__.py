"""Programmes that go over into a cycle, as early as can be."""

from .candidate import Candidate, Value
from .placing import Ways
from .search import Joined, soonest_joined

__all__ = ["Candidate", "Joined", "Value", "Ways", "soonest_joined"]
