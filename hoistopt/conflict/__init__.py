"""Why there is no schedule: what cannot be kept together, and the smallest change.

- `find.py`: both, as an answer (`answer.py`).
- `demands.py`: what is demanded of a line, one by one. `soft.py`: a model that keeps some of them.
  `mus.py`: a minimal unsatisfiable subset of them. `whole.py`: what it means for the whole line.
- `giving.py`: a model whose limits give way. `relaxation.py`: the smallest changes that help.
- `programme.py`: what loads of a state cannot keep together.
"""

from .answer import Conflict
from .find import find_conflict
from .mus import UnsatisfiableSubset, conflicting_demands

__all__ = ["Conflict", "UnsatisfiableSubset", "conflicting_demands", "find_conflict"]
