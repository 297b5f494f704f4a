"""Loads placed one after another, each as early as the times of the others allow.

`insertion.py`: one load among others at fixed times, exactly, on `board.py`, by its `pieces.py`,
the spans of each stage; `room.py`: what room those at a place leave; `spans.py`: sets of ticks;
`ends.py`: what happens at the ends of the line.

`construct.py`: all loads placed. `again.py`: some placed again. `stretches.py`: like loads in step
with a cycle. `zones.py`: each hoist in a zone.
"""
