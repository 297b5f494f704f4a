"""Recovery: a programme that loses the fewest loads where not every window can be kept.

A load is *lost* where it stands in some stage for longer than its maximum. It goes its way
all the same, and keeps every other rule. `softness.py` says what of a problem may give,
`soft_model.py` puts it into the whole model, `rescue.py` finds a first programme, and
`search.py` proves how few loads are lost and how little they overstay.
"""

from .search import LeastLoss, Recovered, recover
from .softness import Softness, overstays

__all__ = ["LeastLoss", "Recovered", "Softness", "overstays", "recover"]
