"""Bounds on what is yet to come right of a cut, and on the hoist's time left of it.

- `completion.py`: what a pass in the other direction says of the far side of a cut; `aligned.py`:
  the same turned round the cycle to begin where a state does; `travel.py`: from travel alone, for a
  first pass.
- `visits.py`: what all visits of the hoist to the left of a cut take.
"""
