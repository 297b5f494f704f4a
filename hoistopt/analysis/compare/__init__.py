"""What a change did: two schedules, or two versions of a line, side by side.

- `comparison.py`: the comparison of two sides. `side.py`: a line, a schedule on it, and its replay.
  `inputs.py`: what differs between two problems, key by key. `rows.py`: what is set side by side.
- `loads.py`, `stages.py`: which load, and which stage, is which after a change.
"""

from .comparison import Comparison, compare_schedules, compare_sides
from .inputs import Change
from .rows import DwellPair, FigurePair, MoveRow
from .side import Side, check_units, side_of

__all__ = [
    "Change",
    "Comparison",
    "DwellPair",
    "FigurePair",
    "MoveRow",
    "Side",
    "check_units",
    "compare_schedules",
    "compare_sides",
    "side_of",
]
