"""The independent checker: replays a move table and reports every broken rule.

Shares no code with the solver: knows only the problem, the schedule and the errors.
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
