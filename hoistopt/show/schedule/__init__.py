"""A schedule and the search for it: in words, as tables, as CSV and as data.

- `degrees.py`: the degrees compared, a row each. `chosen.py`: how one was chosen, and what stands
  idle at it. `runnable.py`: the least cycle beside the one that can be run.
- `violations.py`: what the checker found wrong. `within.py`: a table judged with a tolerance.
"""
