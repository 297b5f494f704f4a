"""The replay of programmes: moves in absolute time from a state of the line, judged by rules.

Shares the physics, the ways of the recipes and the windows with the replay of cycles; reading,
following and rules are its own.

- `replay.py`: from a programme to record and verdict. `follow.py`: which load each step lifts.
  `course.py`, `record.py`: what happens, on the grid and in the problem's unit.
- `move_rules.py`: rules of single steps. `rules.py`: dwell, places, hoist, order. `ends.py`: the
  ends of the line. `findings.py`: each fault once, in order of time.
- `states.py`: the state at any time. `repeating.py`: whether the programme can go on as a cycle.
- `ways_once.py`: where several hoists are. `hoists_at.py`: the same as a state tells it.
  `apart.py`: how far apart they are.
"""
