"""What all drawings share; importing it does not import matplotlib.

- `axes.py`, `look.py`, `palette.py`, `wording.py`: figures of one look, its colours, numbers and
  names.
- `saving.py`: a figure as a picture. `faults.py`: moves that break rules, drawn as such.
  `histogram.py`: times with limits.
"""
