"""What a change did: two schedules, or two versions of a line, side by side."""

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
