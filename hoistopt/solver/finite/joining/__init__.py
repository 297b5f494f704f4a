"""Programmes that go over into a cycle, as early as can be."""

from .candidate import Candidate, Fill, Value
from .placing import Ways
from .search import Joined, JoinSearch, soonest_joined

__all__ = ["Candidate", "Fill", "JoinSearch", "Joined", "Value", "Ways", "soonest_joined"]
