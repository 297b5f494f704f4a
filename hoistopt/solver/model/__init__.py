"""The constraint model of a cycle: variables, one rule a file, aims, and reading answers back.

- `constraints/`: the rules of the line; `RULES` there reads as the statement of the problem.
- `objectives/`: what may be asked of a schedule besides a short cycle, a file an aim.
- `variables.py`: the variables, and the expressions that every rule is written in.
- `build.py`: the model of an instance; it takes rules to replace or soften. `several_bounds.py`:
  bounds on the cycle time of several hoists, from what its rules say of two moves.
- `decode.py`, `hint.py`: from values of variables to a schedule, and back.
"""
