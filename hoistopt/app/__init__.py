"""What a user can ask for: a function each, data in and an answer out.

Nothing here prints, parses words of a command line or ends a process: a command, a page and a
notebook call the same functions. A line is given as a problem or its file, moves as a schedule or
their file; errors are :class:`~hoistopt.base.errors.InputError` and
:class:`~hoistopt.checker.Refused`.

- A problem file to start from: `template.py`.
- A cycle: `solve.py`, `verify.py`, `why.py`, `levers.py`, `conflict.py`, `order.py`, `without.py`,
  `compare.py`, `study.py`, `report.py`. A programme: `plan.py`.
- What a schedule forgives: `slack.py`, `jitter.py`, `robust.py`.
- `machine/`: what goes to the machine, and what comes back from it.
- `given.py`: what a user hands over, as objects or as files.
"""
