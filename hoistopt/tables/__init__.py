"""Tables and figures of a schedule: on a terminal, as CSV, as JSON."""

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
