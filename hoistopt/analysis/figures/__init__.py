"""What a replay shows of a schedule: its steps, its dwells, its figures, its cautions.

- `steps.py`, `dwells.py`, `figures.py`, `cautions.py`: one of these each. `report.py`: all of it,
  gathered once for all outputs.
"""

from .dwells import DwellRow, dwell_rows
from .figures import Figures, figures
from .report import Report, report
from .steps import StepRow, step_rows

__all__ = [
    "DwellRow",
    "Figures",
    "Report",
    "StepRow",
    "dwell_rows",
    "figures",
    "report",
    "step_rows",
]
