"""Lines to measure on: `cases.py` names them, `families.py` draws them.

`real.py`: those with the times of a real hoist.
"""
