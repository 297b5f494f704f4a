"""Programmes that go over into a cycle, as early as can be.

There is a problem for each way of joining (`candidate.py`). `incumbent.py` keeps the best
programme of all of them, `whole.py` looks at the whole model of one, and `search.py` says which is
looked into next.
"""

from .candidate import Candidate, Fill, Value
from .placing import Ways
from .search import Joined, JoinSearch, soonest_joined

__all__ = ["Candidate", "Fill", "JoinSearch", "Joined", "Value", "Ways", "soonest_joined"]
