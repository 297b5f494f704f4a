"""Expand a layer: make the states of the next cut from states and transitions.

- `successors.py`: how transitions cross the next cut. `kernel.py`: the compiled loop; `tighten.py`:
  the separations of a state, tightened by a transition.
"""
