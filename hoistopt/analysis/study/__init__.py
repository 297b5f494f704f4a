"""Studies: the same line over and over while some of its figures vary.

- `parameter.py`, `levels.py`: what is varied, and the values it takes. `keypath.py`, `settings.py`:
  where in a problem that lies, and how it is set. `parallel.py`, `hoists.py`: another number of
  equal stations, or of hoists. `listing.py`: a table of designs.
- `design.py`: the points of a study. `effect.py`: parameters that make no difference.
- `run.py`: the study. `task.py`: one point, as plain data in and out. `running.py`: tasks through
  any executor; `pool.py`: worker processes of our own. `journal.py`: answers kept as they come.
- `points.py`: what it came to: the best points and the efficient frontier.
"""

from .levels import Level
from .parameter import Parameter, read_parameter
from .points import Point, Study
from .run import study

__all__ = ["Level", "Parameter", "Point", "Study", "read_parameter", "study"]
