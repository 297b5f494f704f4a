"""What a notebook shows: problems, results, schedules and replays as HTML.

- `html.py`: objects as HTML. `line.py`: a problem. `table.py`: a table.
"""

from .html import html

__all__ = ["html"]
