"""The independent checker: replays a move table and reports every broken rule.

Shares no code with the solver: knows only the problem, the schedule and the errors.
"""

from .record import CarrierStay, HoistRun, Replay, Rule, Violation
from .replay import replay, verify

__all__ = ["CarrierStay", "HoistRun", "Replay", "Rule", "Violation", "replay", "verify"]
