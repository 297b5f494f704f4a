"""The public names of hoistopt, and where each lives: their only list.

Editors and type checkers read this file as it is; ``__init__.py`` reads it when it is
imported and loads a name when it is first asked for. A line ``from .room import name as
name`` makes a name public.
"""

from .analysis.compare import Comparison as Comparison
from .analysis.compare import compare_schedules as compare_schedules
from .analysis.levers.answer import Levers as Levers
from .analysis.levers.search import find_levers as find_levers
from .analysis.order.answer import Ordered as Ordered
from .analysis.order.least import least_for_order as least_for_order
from .analysis.robust.search import Robust as Robust
from .analysis.robust.search import robust as robust
from .analysis.robust.tradeoff import TradeOff as TradeOff
from .analysis.robust.tradeoff import trade_off as trade_off
from .analysis.study import Study as Study
from .analysis.study import study as study
from .analysis.why.held import Holding as Holding
from .analysis.why.holding import what_holds as what_holds
from .base.effort import Effort as Effort
from .base.effort import Progress as Progress
from .base.effort import Stop as Stop
from .base.errors import HoistoptError as HoistoptError
from .base.errors import InfeasibleError as InfeasibleError
from .base.errors import InputError as InputError
from .checker import Refused as Refused
from .checker import Replay as Replay
from .checker import Violation as Violation
from .checker import accepted as accepted
from .checker import replay as replay
from .checker import verify as verify
from .conflict.answer import Conflict as Conflict
from .conflict.find import find_conflict as find_conflict
from .exports import SequencerStyle as SequencerStyle
from .exports import SequencerTable as SequencerTable
from .exports import sequencer_table as sequencer_table
from .exports import write_sequencer as write_sequencer
from .exports.readback.proof import ExportFailed as ExportFailed
from .margin.jitter.answer import Jitter as Jitter
from .margin.jitter.run import jitter as jitter
from .margin.slack import SlackLimits as SlackLimits
from .margin.slack import slack_limits as slack_limits
from .planning.cycle import best_degree as best_degree
from .planning.cycle import compare_degrees as compare_degrees
from .planning.cycle import gains_over_last as gains_over_last
from .planning.cycle import solve as solve
from .planning.result import Result as Result
from .problem import Carriers as Carriers
from .problem import Crossing as Crossing
from .problem import Cycle as Cycle
from .problem import Hoist as Hoist
from .problem import Margin as Margin
from .problem import Motion as Motion
from .problem import Problem as Problem
from .problem import Recipe as Recipe
from .problem import Scatter as Scatter
from .problem import Scattering as Scattering
from .problem import Stage as Stage
from .problem import Station as Station
from .problem import TableEntry as TableEntry
from .problem import Times as Times
from .problem import load_problem as load_problem
from .schedule import Schedule as Schedule
from .schedule import Step as Step
from .schedule import read_moves as read_moves
from .schedule import read_order as read_order
from .show.report import report_html as report_html
from .show.report import save_report as save_report
from .show.timeway import draw_timeway as draw_timeway
from .show.timeway import save_timeway as save_timeway
