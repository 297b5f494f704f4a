"""How much a schedule forgives: slack, scatter of the hoist's times, robust schedules."""

from .jitter import Jitter, StageJitter, jitter
from .scatter import Scatter, read_scatter
from .shares import Share, wilson
from .slack import Exceeded, MoveSlack, SlackLimits, slack_limits

__all__ = [
    "Exceeded",
    "Jitter",
    "MoveSlack",
    "Scatter",
    "Share",
    "SlackLimits",
    "StageJitter",
    "jitter",
    "read_scatter",
    "slack_limits",
    "wilson",
]
