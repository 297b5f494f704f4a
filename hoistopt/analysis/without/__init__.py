"""What a line loses without one of its tanks or hoists, as while a tank is emptied or mended.

- `answer.py`: what is told of each. `search.py`: the lines that are planned. `known.py`: schedules
  of one of them that another can begin with.
"""

from .answer import FAR, Without, WithoutTanks, far_from_bound, is_open
from .search import find_without

__all__ = ["FAR", "Without", "WithoutTanks", "far_from_bound", "find_without", "is_open"]
