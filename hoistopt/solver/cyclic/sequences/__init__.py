"""Search over move sequences, built forward in time: a beam search, or all of them.

A sequence begins with the first move of the cycle and grows by one move at a time. Partial
sequences are states: those with the same moves made, the same last move and the same time windows
of what is left go on as one. With a limit on the number of states kept, the most promising, this is
a beam search, quick to find good schedules. Without, it is dynamic programming, and where no
sequence keeps a limit on the cycle time, that limit is below every schedule's.

For lines whose tanks stand in no order along the track; others do better with a search along it.

- `search.py`: closing the gap between bound and incumbent. `beam.py`: layer by layer.
- `relaxation.py`, `states.py`: the instance and partial sequences as arrays. `extend.py`: one move
  more.
- `earliest.py`: earliest times from all rules. `completion.py`: what is yet to come takes at the
  least.
"""

from .search import can_search_sequences, search_sequences

__all__ = ["can_search_sequences", "search_sequences"]
