"""The layers of the diagram: states at a cut, which of them are kept, and how they merge.

- `states.py`: states as arrays. `distinct.py`: equal rows found by hashing. `dominance.py`: states
  that another makes needless. `merging.py`: a layer kept small.
"""
