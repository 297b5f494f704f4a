"""The search for the least cycle time where several hoists share a track.

The model knows that hoists keep apart as intervals that are forbidden between the starts of two
moves (:mod:`hoistopt.instance.several` has the reason why pairs are enough). Where hoists need time
to gain speed, or ways end between two ticks, the intervals are stated three times: what is needed
in any case, for bounds, so that a proof is one of what can run; what is mostly enough; and enough.
Schedules are looked for with all three, those of the shortest cycle that leaves no ways are mended,
and the order found is drawn together by the exact times of its ways. Of one hoist the next start is
rounded once, not travel and move each. The shortest cycle of the least may leave no ways: then the
gap stays, and the search ends when nothing shorter is left of what asks for more.

- `search.py`: what is tried in which order. `incumbent.py`: the best schedule whose hoists find
  ways.
- `starts.py`, `smaller.py`: schedules to start from: by zones of the track (`shares.py`) and by one
  hoist; by merged groups of tanks and by fewer loads.
- `looks.py`: one look at the model by CP-SAT. `in_order.py`: the same for one order of moves.
  `neighbourhoods.py`: better schedules. `mending.py`: one that is hardly longer where hoists find
  no ways.
- `raising.py`: better bounds than those without search.
- `travels.py`: how hoists give way to one another: `asked.py`, what their moves ask; `gap.py`, the
  time between two of them; `trip.py`, an empty trip over time.
"""

from .incumbent import Shorten
from .search import least_cycle_of_several

__all__ = ["Shorten", "least_cycle_of_several"]
