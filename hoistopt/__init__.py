"""Least-cycle-time schedules for dip-process hoist lines, with proof.

Read a problem from a file with `load_problem`, or build it in code from `Station`,
`Hoist`, `Stage` and `Recipe`; `solve` finds the least cycle time and proves it; `verify`
replays a schedule with a checker that shares no code with the solver. All times are in
the problem's unit, exact: as Decimal in a problem, in whole ticks in a schedule, as
Fraction in a replay. What cannot be used raises `InputError`. In a notebook problems,
results, schedules and replays show themselves as tables and drawings.

A schedule is a planning aid, not a safety function: interlocks, guarding and dwell
watchdogs stay in the machine.

>>> import hoistopt
>>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
>>> result = hoistopt.solve(problem)
>>> result.status
'optimal'
>>> hoistopt.verify(problem, result.schedule)
()
"""

from pathlib import Path as _Path

from .base.lazy import names_of_stub as _names_of_stub
from .base.notebook import write_html_with as _write_html_with


def _html(value: object) -> str:
    from .show.notebook import html

    return html(value)


# The public names stand in __init__.pyi, once; `import hoistopt` stays quick.
__getattr__, __dir__, __all__ = _names_of_stub(
    __name__, _Path(__file__).with_suffix(".pyi"), globals()
)
_write_html_with(_html)
