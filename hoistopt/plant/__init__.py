"""Measured logs of a line: reading them, following loads through them, judging their stays.

A controller's log:

- `mapping.py`: what its words mean. `content.py`: its bytes, unpacked within bounds. `cells.py`:
  rows and cells. `times.py`: times to whole microseconds, UTC. `events.py`: `read_log` to an
  `EventLog`. `faults.py`: what cannot be read or explained.
- `visits.py`: events put together to visits. `following.py`: loads without carriers' names.
  `ways.py`: the stage by the way of a load.
- `judging/`: each stay judged, and figures over many.
- `adherence/`: a log against a plan.

Times of the hoist:

- `readings.py`: times that were measured, from a stopwatch list (`stopwatch.py`) or a log
  (`logged_times.py`, `moves.py`, `drips.py`). `planned_waits.py`: where a plan lets a hoist wait,
  or go on at once.
- `fit/`: the hoist's figures from them.
"""
