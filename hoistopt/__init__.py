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
    from .analysis.compare import Comparison, compare_schedules
    from .analysis.jitter.run import Jitter, jitter
    from .analysis.jitter.scatter import Scatter
    from .analysis.levers.answer import Levers
    from .analysis.levers.search import find_levers
    from .analysis.order.answer import Ordered
    from .analysis.order.least import least_for_order
    from .analysis.robust.search import Robust, robust
    from .analysis.robust.tradeoff import TradeOff, trade_off
    from .analysis.slack import SlackLimits, slack_limits
    from .analysis.study import Study, study
    from .analysis.why.held import Holding
    from .analysis.why.holding import what_holds
    from .base.errors import HoistoptError, InfeasibleError, InputError
    from .checker import replay, verify
    from .conflict.impasse import Impasse, why_none
    from .exports import SequencerStyle, SequencerTable, sequencer_table, write_sequencer
    from .planning.cycle import best_degree, compare_degrees, solve
    from .planning.result import Progress, Result
    from .problem import Problem, load_problem
    from .schedule import Schedule, Step, read_moves, read_order
    from .show.report import report_html, save_report

# Where each public name lives. Loaded on first use: `import hoistopt` stays quick.
_HOME = {
    "Comparison": "analysis.compare",
    "HoistoptError": "base.errors",
    "Holding": "analysis.why.held",
    "Impasse": "conflict.impasse",
    "InfeasibleError": "base.errors",
    "InputError": "base.errors",
    "Jitter": "analysis.jitter.run",
    "Levers": "analysis.levers.answer",
    "Ordered": "analysis.order.answer",
    "Problem": "problem",
    "Progress": "planning.result",
    "Result": "planning.result",
    "Robust": "analysis.robust.search",
    "Scatter": "analysis.jitter.scatter",
    "Schedule": "schedule",
    "SequencerStyle": "exports",
    "SequencerTable": "exports",
    "SlackLimits": "analysis.slack",
    "Step": "schedule",
    "Study": "analysis.study",
    "TradeOff": "analysis.robust.tradeoff",
    "best_degree": "planning.cycle",
    "compare_degrees": "planning.cycle",
    "compare_schedules": "analysis.compare",
    "find_levers": "analysis.levers.search",
    "jitter": "analysis.jitter.run",
    "least_for_order": "analysis.order.least",
    "load_problem": "problem",
    "read_moves": "schedule",
    "read_order": "schedule",
    "replay": "checker",
    "report_html": "show.report",
    "robust": "analysis.robust.search",
    "save_report": "show.report",
    "sequencer_table": "exports",
    "slack_limits": "analysis.slack",
    "solve": "planning.cycle",
    "study": "analysis.study",
    "trade_off": "analysis.robust.tradeoff",
    "verify": "checker",
    "what_holds": "analysis.why.holding",
    "why_none": "conflict.impasse",
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
