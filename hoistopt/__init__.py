"""Least-cycle-time schedules for single-hoist dip-process lines, with proof.

>>> import hoistopt
>>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
>>> result = hoistopt.solve(problem)
>>> result.status
'optimal'
>>> hoistopt.verify(problem, result.schedule)
()
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .checker import replay, verify
    from .compare import Comparison, compare_schedules
    from .errors import HoistoptError, InfeasibleError, InputError
    from .explain.held import Holding
    from .explain.holding import what_holds
    from .explain.impasse import Impasse, why_none
    from .explain.lever import Levers
    from .explain.levers import find_levers
    from .explain.order import least_for_order
    from .explain.ordered import Ordered
    from .exports import SequencerStyle, SequencerTable, sequencer_table, write_sequencer
    from .planning import best_degree, compare_degrees, solve
    from .problem import Problem, load_problem
    from .report import report_html, save_report
    from .result import Progress, Result
    from .robustness.jitter import Jitter, jitter
    from .robustness.robust import Robust, robust
    from .robustness.scatter import Scatter
    from .robustness.slack import SlackLimits, slack_limits
    from .robustness.tradeoff import TradeOff, trade_off
    from .schedule import Schedule, Step, read_moves, read_order
    from .studies import Study, study

# Where each public name lives. Loaded on first use: `import hoistopt` stays quick.
_HOME = {
    "Comparison": "compare",
    "HoistoptError": "errors",
    "Holding": "explain.held",
    "Impasse": "explain.impasse",
    "InfeasibleError": "errors",
    "InputError": "errors",
    "Jitter": "robustness.jitter",
    "Levers": "explain.lever",
    "Ordered": "explain.ordered",
    "Problem": "problem",
    "Progress": "result",
    "Result": "result",
    "Robust": "robustness.robust",
    "Scatter": "robustness.scatter",
    "Schedule": "schedule",
    "SequencerStyle": "exports",
    "SequencerTable": "exports",
    "SlackLimits": "robustness.slack",
    "Step": "schedule",
    "Study": "studies",
    "TradeOff": "robustness.tradeoff",
    "best_degree": "planning",
    "compare_degrees": "planning",
    "compare_schedules": "compare",
    "find_levers": "explain.levers",
    "jitter": "robustness.jitter",
    "least_for_order": "explain.order",
    "load_problem": "problem",
    "read_moves": "schedule",
    "read_order": "schedule",
    "replay": "checker",
    "report_html": "report",
    "robust": "robustness.robust",
    "save_report": "report",
    "sequencer_table": "exports",
    "slack_limits": "robustness.slack",
    "solve": "planning",
    "study": "studies",
    "trade_off": "robustness.tradeoff",
    "verify": "checker",
    "what_holds": "explain.holding",
    "why_none": "explain.impasse",
    "write_sequencer": "exports",
}

__all__ = [
    "Comparison",
    "HoistoptError",
    "Holding",
    "Impasse",
    "InfeasibleError",
    "InputError",
    "Jitter",
    "Levers",
    "Ordered",
    "Problem",
    "Progress",
    "Result",
    "Robust",
    "Scatter",
    "Schedule",
    "SequencerStyle",
    "SequencerTable",
    "SlackLimits",
    "Step",
    "Study",
    "TradeOff",
    "best_degree",
    "compare_degrees",
    "compare_schedules",
    "find_levers",
    "jitter",
    "least_for_order",
    "load_problem",
    "read_moves",
    "read_order",
    "replay",
    "report_html",
    "robust",
    "save_report",
    "sequencer_table",
    "slack_limits",
    "solve",
    "study",
    "trade_off",
    "verify",
    "what_holds",
    "why_none",
    "write_sequencer",
]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(f".{_HOME[name]}", __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
