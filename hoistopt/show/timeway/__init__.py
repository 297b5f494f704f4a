"""The time-way diagram of a schedule. Importing this package does not import matplotlib.

- `diagram.py`: all of it. `scene.py`: what is to be seen, as plain data. `lanes.py`: where each
  station's lane lies.
- `path.py`, `bars.py`, `labels.py`: the hoist, the carriers' stays, their texts. `frame.py`,
  `legend.py`: what stands around.
"""

from .diagram import draw_timeway, save_timeway

__all__ = ["draw_timeway", "save_timeway"]
