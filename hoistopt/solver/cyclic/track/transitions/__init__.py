"""The transitions of the diagram: every way to serve one more station.

- `crossings.py`: what a transition is. `trips.py`: trips of the hoist to a station and back.
  `finder.py`: all transitions. `batch.py`: the same as arrays for compiled loops.
"""
