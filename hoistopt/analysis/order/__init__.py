"""The least cycle time of a given order of moves, or why it cannot work.

- `reading.py`: which move of the line each step is. `least.py`: its least cycle time, as an answer
  (`answer.py`). `model.py`: the same by CP-SAT, where the order leaves more open than times.
- `deadlock.py`, `places.py`: why no times will do: sums that do not fit, and places that would hold
  too many.
"""
