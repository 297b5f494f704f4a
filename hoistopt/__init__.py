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
    from .errors import HoistoptError, InfeasibleError, InputError
    from .planning import best_degree, compare_degrees, solve
    from .problem import Problem, load_problem
    from .result import Progress, Result
    from .schedule import Schedule, Step

# Where each public name lives. Loaded on first use: `import hoistopt` stays quick.
_HOME = {
    "HoistoptError": "errors",
    "InfeasibleError": "errors",
    "InputError": "errors",
    "Problem": "problem",
    "Progress": "result",
    "Result": "result",
    "Schedule": "schedule",
    "Step": "schedule",
    "best_degree": "planning",
    "compare_degrees": "planning",
    "load_problem": "problem",
    "replay": "checker",
    "solve": "planning",
    "verify": "checker",
}

__all__ = [
    "HoistoptError",
    "InfeasibleError",
    "InputError",
    "Problem",
    "Progress",
    "Result",
    "Schedule",
    "Step",
    "best_degree",
    "compare_degrees",
    "load_problem",
    "replay",
    "solve",
    "verify",
]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(f".{_HOME[name]}", __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
