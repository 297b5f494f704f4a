"""Recovery: a programme that loses the fewest loads where not every window can be kept.

A load is *lost* where it stands in some stage for longer than its maximum. It goes its way
all the same, and keeps every other rule. `softness.py` says what of a problem may give,
`soft_model.py` puts it into the whole model, `rescue.py` finds a first programme,
`least_loss.py` proves how few loads are lost and how little they overstay, and `search.py` plans
all loads with as much lost.
"""

from .least_loss import LeastLoss, Recovered
from .search import recover
from .softness import Softness, overstays

__all__ = ["LeastLoss", "Recovered", "Softness", "overstays", "recover"]
