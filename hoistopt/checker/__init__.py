"""The independent checker: replays a move table and reports every broken rule.

Shares no code with the solver: knows only the problem, the schedule and the errors.
"""

from .accept import Refused, accepted
from .record import CarrierStay, HoistRun, Replay, Rule, Violation
from .replay import plan_of, replay, verify

__all__ = [
    "CarrierStay",
    "HoistRun",
    "Refused",
    "Replay",
    "Rule",
    "Violation",
    "accepted",
    "plan_of",
    "replay",
    "verify",
]
