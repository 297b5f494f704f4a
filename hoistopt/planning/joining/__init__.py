"""A programme that goes over into a cycle.

`into_cycle.py`, `from_state.py`: from any state of the line. `filling.py`: from an empty line.
`join_programme.py`: the programme written out. `served.py`: orders that the cycle itself serves.
`questions.py`, `turns.py`: what is asked, one question under another.
"""
