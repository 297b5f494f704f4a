"""Least-cycle-time schedules for single-hoist dip-process lines, with proof.

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

# The public names stand in __init__.pyi, once; `import hoistopt` stays quick.
__getattr__, __dir__, __all__ = _names_of_stub(
    __name__, _Path(__file__).with_suffix(".pyi"), globals()
)
