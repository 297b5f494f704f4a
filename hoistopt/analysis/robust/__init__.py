"""Schedules that forgive, and what that costs in cycle time.

- `search.py`: of schedules nearly as short as the shortest, the one that forgives most. `start.py`:
  the least cycle that it starts from.
- `tradeoff.py`: what slack or float costs in cycle time. `window.py`: cycle time against loads out
  of window.
"""
