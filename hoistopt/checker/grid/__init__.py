"""The moves of a schedule on the checker's grid, before anything is replayed.

`table.py`, `numbers.py`: the moves, checked for sense. `clock.py`: the grid. `route.py`: where
loads go. `motion.py`: how long the hoist takes, by physics of the checker's own.
"""
