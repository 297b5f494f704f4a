"""The report: one HTML file with figures, tables, diagram and a player.

- `page.py`: put together from a `case.py`: `summary.py`, `degree.py`, `tables.py`,
  `assumptions.py`, `diagram.py`. `markup.py`: HTML as a tree. `palette.py`: colours.
- The player: `player.py`, its place in the page; `record.py`, what it plays; `motion.py`, how a
  hoist moves; its scripts in `assets/`. `ways.py`: where several hoists are; `hoists.py`: what they
  leave one another.
- Of a programme: `once.py`, `once_record.py`, `once_tables.py`.
"""

from .once import programme_html
from .page import report_html, save_report

__all__ = ["programme_html", "report_html", "save_report"]
