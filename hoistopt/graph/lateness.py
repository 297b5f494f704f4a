"""How one late start spreads through the cycles that follow.

Every start is the latest of several sums of an earlier start and a fixed time, so a
step is late by what the late one is late by, less the least total slack of the paths
along which it waits for it. This is the max-plus algebra of timed event graphs: F.
Baccelli, G. Cohen, G. J. Olsder and J.-P. Quadrat (1992), "Synchronization and
Linearity", Wiley.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..base.errors import HoistoptError
from .algorithms.longest_path import paths_from
from .arc import Arc
from .buffers import Buffer, dwell_exceeded_above, least_of, limits_for_good
from .timed_plan import Dwell, TimedPlan

MOST_CYCLES = 20_000
LONGEST_PERIOD = 60


@dataclass(frozen=True, slots=True)
class Break:
    """A maximum that is exceeded once the late start is later than `above`.

    `cycles` counts the cycles from the one with the late start to the one in which the
    load is lifted too late.
    """

    above: int
    dwell: Dwell
    cycles: int


@dataclass(frozen=True, slots=True)
class Spread:
    """What a single late start of a step leads to, in grid steps.

    Attributes
    ----------
    free : int
        Up to here no other start is late.
    slips : int
        Up to here every start a cycle or more later is on time.
    breaks : Break or None
        The maximum exceeded first; None: none ever is.
    """

    free: int
    slips: int
    breaks: Break | None


def spread(plan: TimedPlan, step: int, *, standing: bool = True) -> Spread:
    """Follow a late start of one step until nothing new can happen.

    Parameters
    ----------
    plan : TimedPlan
        It runs as planned up to the late start; then every other step starts when due.
    step : int
        The one that is late, from 0.
    standing : bool
        Whether `breaks` counts the loads that stand in a tank when the step should have
        started; otherwise only those set down after that.

    Raises
    ------
    HoistoptError
        When that is not the case within `MOST_CYCLES` cycles, which takes slacks of
        circuits that differ by next to nothing.
    """
    free = min(plan.slack(arc) for arc in plan.waits if arc.tail == step)
    limited = any(dwell.room is not None for dwell in plan.dwells)
    slips: int | None = None
    first: Break | None = None
    windows: list[tuple[Buffer, ...]] = []
    depth = max(arc.height for arc in plan.waits) + 1
    history: list[list[Buffer]] = []
    for number, buffers in enumerate(_cycles(plan, step, depth)):
        history = [*history, buffers][-depth:]
        first = _earliest(first, plan, history, number, None if standing else step)
        if number:
            slips = least_of([slips, *(buffers if number > 1 else buffers[step:])])
        windows.append(tuple(buffer for buffers in history for buffer in buffers))
        low = least_of(windows[-1])
        # All that is still to come has buffers of at least `low`.
        slipped = slips is not None and low is not None and low >= slips
        broken = not limited or (first is not None and low is not None and low >= first.above)
        if slipped and (broken or _repeats(windows, None if first is None else first.above)):
            break
    assert slips is not None
    return Spread(free, slips, first)


def exceeded_above(plan: TimedPlan, before: Sequence[Sequence[Buffer]]) -> int | None:
    """The lateness above which some maximum is exceeded in the cycles to come.

    Parameters
    ----------
    plan : TimedPlan
    before : sequence of sequence of int or None
        Of the cycles before, the last one last: the buffer of every step, the lateness up to
        which the late start that is followed does not make it late; None: it never does.
        As many cycles as any wait or dwell reaches back, at least.

    Returns
    -------
    int or None
        None: no maximum is, however late.

    Raises
    ------
    HoistoptError
        As :func:`spread`.
    """
    if not any(dwell.room is not None for dwell in plan.dwells):
        return None
    depth = max(arc.height for arc in plan.waits) + 1
    past = [list(buffers) for buffers in before]
    history, first = past[-depth:], None
    windows = [tuple(buffer for buffers in history for buffer in buffers)]
    for number, buffers in enumerate(_cycles(plan, None, depth, past)):
        history = [*history, buffers][-depth:]
        first = _earliest(first, plan, history, number, None)
        windows.append(tuple(buffer for buffers in history for buffer in buffers))
        low = least_of(windows[-1])
        above = None if first is None else first.above
        if low is None or (above is not None and low >= above) or _repeats(windows, above):
            return above
    raise AssertionError("cycles without an end have ended")


def _cycles(
    plan: TimedPlan, step: int | None, depth: int, before: Sequence[list[Buffer]] = ()
) -> Iterator[list[Buffer]]:
    """The buffers of all steps, cycle after cycle, from that of the late start on.

    Without a late start of a cycle's own they follow those of the cycles before.
    """
    count = len(plan)
    into: list[list[tuple[int, int, int]]] = [[] for _ in range(count)]
    for arc in plan.waits:
        into[arc.head].append((arc.tail, arc.height, plan.slack(arc)))
    nothing: list[list[Buffer]] = [[None] * count for _ in range(depth)]
    past = [*nothing, *before][-depth:]
    for number in range(MOST_CYCLES):
        now: list[Buffer] = [None] * count
        past = [*past[1:], now]
        for head in range(count):
            if number == 0 and step is not None and head <= step:
                now[head] = 0 if head == step else None
                continue
            reached = (
                buffer + slack
                for tail, height, slack in into[head]
                for buffer in [past[-1 - height][tail]]
                if buffer is not None
            )
            now[head] = min(reached, default=None)
        yield now
    raise HoistoptError(f"a late start still spreads in new ways after {MOST_CYCLES} cycles")


def _earliest(
    first: Break | None,
    plan: TimedPlan,
    history: list[list[Buffer]],
    number: int,
    after: int | None,
) -> Break | None:
    """The sooner of `first` and what is exceeded in the newest cycle.

    Of loads set down before step `after` of the first cycle nothing counts.
    """
    for dwell in plan.dwells:
        if after is not None and (number - dwell.height, dwell.arrival) < (0, after):
            continue
        lifted = history[-1][dwell.departure]
        if dwell.room is None or lifted is None:
            continue
        back = len(history) - 1 - dwell.height
        brought = history[back][dwell.arrival] if back >= 0 else None
        above = dwell_exceeded_above(dwell.room, lifted, brought)
        if above is not None and (first is None or above < first.above):
            first = Break(above, dwell, number)
    return first


def _repeats(windows: list[tuple[Buffer, ...]], above: int | None) -> bool:
    """Whether all from here on is as it was some cycles ago, later by a common shift.

    Then breaks to come are those that came since, shifted, so no earlier than they.
    Buffers from a break already found on cannot lead to an earlier one.
    """
    now = windows[-1]
    low = least_of(now)
    for before in windows[-2 : -2 - LONGEST_PERIOD : -1]:
        since = least_of(before)
        if len(before) < len(now) or low is None or since is None:
            return False
        shifted = (None if b is None else b + low - since for b in before)
        if all(_alike(a, b, above) for a, b in zip(now, shifted, strict=True)):
            return True
    return False


def _alike(a: Buffer, b: Buffer, above: int | None) -> bool:
    if above is not None:
        a = None if a is None or a >= above else a
        b = None if b is None or b >= above else b
    return a == b


def lasting(plan: TimedPlan, step: int) -> int | None:
    """Up to which lateness of one start the line gets back to plan; None: it always does.

    That is the total slack on the path to a circuit of steps that have none to spare.
    """
    import networkx

    slacks = [(arc.tail, arc.head, plan.slack(arc)) for arc in plan.waits]
    graph = networkx.DiGraph()
    graph.add_edges_from((tail, head) for tail, head, slack in slacks if not slack)
    turning = {
        node
        for part in networkx.strongly_connected_components(graph)
        for node in part
        if len(part) > 1 or graph.has_edge(node, node)
    }
    # The least total slack is the longest path with the slacks turned round.
    reached = paths_from(step, len(plan), [(tail, head, -slack) for tail, head, slack in slacks])
    lengths = [length for node in turning if (length := reached[node]) is not None]
    return -max(lengths) if lengths else None


def for_good(plan: TimedPlan, step: int) -> tuple[int, Arc | Dwell]:
    """How much later a step may be planned, all others as they are.

    Returns
    -------
    int
        The least slack of all that would come too soon after it, in grid steps.
    Arc or Dwell
        What has that slack. A step that waits for itself, a cycle earlier, is
        not hurt: both are late.
    """
    arcs = (arc for arc in (*plan.waits, *plan.left_out) if arc.tail == step)
    slacks = ((plan.slack(arc), arc) for arc in arcs)
    limits = limits_for_good((step,), slacks, plan.dwells)
    return min(limits, key=lambda limit: limit[0])
