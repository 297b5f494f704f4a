"""A schedule and the search for it: in words, as tables, as CSV and as data.

- `chosen.py`: how a degree was chosen. `runnable.py`: the least cycle beside the one that can be
  run.
- `violations.py`: what the checker found wrong. `within.py`: a table judged with a tolerance.
"""
