"""Recovery: a programme that loses the fewest loads where not every window can be kept.

A load is *lost* where it stands in some stage for longer than its maximum. It goes its way all the
same, and keeps every other rule. First comes how little is lost of the loads in the line, on the
whole model with maxima that may be passed at a price: the weight of the loads, then the ticks. A
first answer places loads in many orders, each within its windows, else past the maximum where it
stands, else past all. Then no load may stand longer than it did there, which is a plain problem
again for every search of programmes; where moves are few the whole model proves lateness and finish
among all programmes that lose and overstay as little.

- `softness.py`: what of a problem may give. `soft_model.py`: the whole model
  with the rule of the dwell softened by that.
- `rescue.py`: a first programme. `least_loss.py`: how few loads are lost and how little they
  overstay, proved. `search.py`: all loads planned with as much lost.
"""

from .least_loss import LeastLoss, Recovered
from .search import recover
from .softness import Softness, overstays

__all__ = ["LeastLoss", "Recovered", "Softness", "overstays", "recover"]
