"""The independent checker: replays a move table and reports every broken rule.

Shares no code with the solver: knows only the problem, the schedule and the errors.

The way of a schedule through it:

- `accept.py`: the one way to a checked result, and `Refused`. `replay.py`: from a schedule to
  record and verdict.
- `grid/`: the moves on the grid, checked for sense, and how long the hoist takes.
- `plan.py`: what each step does, by `named.py` where the table says so, else by `reading/`, which
  makes sense of tables typed in by hand. `queueing.py`: which carrier leaves a station by which
  step. `turnround.py`: the same at the ends of the line.
- `simulate.py`: the replay, cycle after cycle from an empty line. `events.py`, `record.py`: what
  happens in it, on the grid and in the problem's unit.

Rules:

- `moves.py`: rules that a move breaks by itself. `rules.py`: rules that the replay shows kept or
  broken; `hoist.py`: that of the hoist. `margin.py`: the margin asked for.
- `findings.py`: each fault once, and in words.

Several hoists:

- `hoists/`: where each is, and how near they come. `courses.py`: their ways, to be drawn.
  `neighbours.py`: what they leave one another, in a cycle or a programme.

`programme/`: the replay of programmes.
"""

from .accept import Refused, accepted
from .programme.record import LoadStay, Overstay, ProgrammeRefused, ProgrammeReplay, ProgrammeRun
from .programme.replay import accepted_programme, replay_programme
from .programme.states import named_schedule, state_after, state_in_cycle
from .record import CarrierStay, HoistRun, Replay, Rule, Violation
from .replay import plan_of, replay, verify

__all__ = [
    "CarrierStay",
    "HoistRun",
    "LoadStay",
    "Overstay",
    "ProgrammeRefused",
    "ProgrammeReplay",
    "ProgrammeRun",
    "Refused",
    "Replay",
    "Rule",
    "Violation",
    "accepted",
    "accepted_programme",
    "named_schedule",
    "plan_of",
    "replay",
    "replay_programme",
    "state_after",
    "state_in_cycle",
    "verify",
]
