"""Extend many partial sequences by one more move."""

from __future__ import annotations

import numpy as np

from .completion import CompletionBound
from .earliest import earliest
from .relaxation import FAR, Ints, Relaxation
from .states import States


class Extender:
    """Adds moves to partial sequences, within a limit on the cycle time.

    Every rule is a minimum separation of two moves, so the earliest times are one solution,
    and all others are later. A maximum dwell can push a move made before later still; states
    where it does are worked out anew from the whole sequence.

    Parameters
    ----------
    lowest, limit : int
        Least and greatest cycle time, in ticks.
    """

    def __init__(
        self, relaxation: Relaxation, completion: CompletionBound, lowest: int, limit: int
    ) -> None:
        self.relaxation, self.completion = relaxation, completion
        self.lowest, self.limit = lowest, limit
        self._bits = np.left_shift(1, np.arange(relaxation.moves))
        self._full = (1 << relaxation.moves) - 1
        # Narrow numbers where they do: the rows are many.
        self._kind = np.int16 if limit < _FAR16 // 2 else np.int32
        self._far = _FAR16 if self._kind is np.int16 else FAR

    def start(self) -> States:
        """Return the one sequence of just the first move."""
        o = self.relaxation
        one = np.zeros(1, np.int64)
        grid = np.zeros((1, o.moves), self._kind)
        first = States(
            done=one + (1 << o.anchor),
            last=one + o.anchor,
            at=one.copy(),
            times=grid.copy(),
            release=grid.copy(),
            due=grid + self._kind(self._far),
            deadline=grid + self._kind(self._far),
            work=one + int(self.completion.work.sum()),
            bound=one + self.lowest,
            sequence=np.full((1, 1), o.anchor, np.int8),
        )
        self._propagate(first, o.anchor, np.zeros(1, np.int64))
        return first

    def successors(self, states: States) -> list[States]:
        """Return all states that one more move leads to, less those bound to exceed the limit."""
        grown = (self._appended(states, move) for move in range(self.relaxation.moves))
        return [some for some in grown if some is not None and len(some)]

    def _appended(self, states: States, move: int) -> States | None:
        o = self.relaxation
        soonest = states.at + o.gap[states.last, move]
        at = np.maximum(soonest, states.release[:, move])
        fits = self._allowed(states, move)
        fits &= (soonest <= states.deadline[:, move]) & (at + o.tail[move] <= self.limit)
        rows = np.flatnonzero(fits)
        if not len(rows):
            return None
        done, work = states.done[rows] | (1 << move), states.work[rows]
        work -= self.completion.work[states.last[rows]]
        bound = at[rows] + self.completion.after(self._full & ~done, move, work)
        keep = bound <= self.limit
        rows, done, work, bound = rows[keep], done[keep], work[keep], bound[keep]
        if not len(rows):
            return None
        at, waited = at[rows], (at - soonest)[rows]
        grown = states.take(rows)
        late = at > grown.due[:, move]
        grown.done, grown.work = done, work
        grown.bound = np.maximum(bound, grown.bound)
        grown.last = np.full(len(rows), move, np.int64)
        grown.at = at
        grown.times[:, move] = at
        grown.sequence = np.concatenate(
            [grown.sequence, np.full((len(rows), 1), move, np.int8)], axis=1
        )
        self._propagate(grown, move, waited)
        if late.any():
            grown = self._reworked(grown, late)
        return self._pruned(grown, move)

    def _reworked(self, states: States, late: Ints) -> States:
        """Work out anew the states in which the last move pushes earlier ones later."""
        calm, pushed = states.take(np.flatnonzero(~late)), states.take(np.flatnonzero(late))
        times, fine = earliest(self.relaxation, pushed.sequence, self.lowest, self.limit)
        pushed, times = pushed.take(np.flatnonzero(fine)), times[fine]
        if not len(pushed):
            return calm
        o = self.relaxation
        rows = np.arange(len(pushed))
        pushed.release[:] = 0
        pushed.due[:] = self._far
        pushed.deadline[:] = self._far
        pushed.times = times.astype(self._kind)
        pushed.at = times[rows, pushed.sequence[:, -1]].astype(np.int64)
        done = pushed.done
        # The windows that follow from every move in order, each row by its own sequence.
        pushed.done = np.zeros(len(pushed), np.int64)
        for place in range(pushed.sequence.shape[1]):
            moves = pushed.sequence[:, place].astype(np.int64)
            at = times[rows, moves]
            waited = np.zeros_like(at)
            if place:
                before = pushed.sequence[:, place - 1].astype(np.int64)
                waited = at - times[rows, before] - o.gap[before, moves]
            pushed.done |= self._bits[moves]
            for move in np.unique(moves):
                some = np.flatnonzero(moves == move)
                part = pushed.take(some)
                part.at = at[some]
                self._propagate(part, int(move), waited[some])
                for name in ("release", "due", "deadline"):
                    getattr(pushed, name)[some] = getattr(part, name)
        pushed.done = done
        pushed.bound = np.maximum(
            pushed.bound,
            pushed.at + self.completion.after(self._full & ~done, int(pushed.last[0]), pushed.work),
        )
        return States.joined([calm, pushed])

    def _allowed(self, states: States, move: int) -> Ints:
        """Return for which states a move may come next, by what stands where."""
        o, done = self.relaxation, states.done
        fits = (done & (1 << move)) == 0
        if o.needs[move]:
            fits &= (done & o.needs[move]) != 0
        tank = o.out_of.get(move)
        if tank is not None and len(tank.pairs) > 1:
            # What was brought this cycle, or else what stood there from the last one.
            brought = (done & (1 << o.fills[move])) != 0
            fits &= brought | ((done & tank.moves) == 0)
        tank = o.into.get(move)
        if tank is not None and len(tank.pairs) > 1:
            fits &= _free(done, tank.pairs, move)
        for chain in o.shared:
            if move in chain.sources or move in chain.targets:
                came = sum((done >> a) & 1 for a in chain.sources)
                went = sum((done >> b) & 1 for b in chain.targets)
                fits &= went > came if move in chain.sources else went == came
        return fits

    def _propagate(self, states: States, move: int, waited: Ints) -> None:
        """Tighten the time windows of remaining moves by a move just added."""
        o, at = self.relaxation, states.at
        if waited.any():
            # An earlier move may yet wait instead.
            wait = waited[:, None].astype(self._kind)
            states.deadline = np.where(
                states.deadline < self._far, states.deadline + wait, states.deadline
            ).astype(self._kind)
            np.minimum(states.deadline, self._far, out=states.deadline)
        ends = at + o.duration[move]
        lifts = o.empties[move]
        if lifts >= 0 and lifts != o.anchor:
            here = (states.done & (1 << lifts)) == 0
            _raise(states.release, here, lifts, ends + o.least[lifts])
            if o.most[lifts] < FAR:
                self._limit_start(states, here, lifts, ends + o.most[lifts])
        brings = o.fills[move]
        if brings >= 0 and brings != o.anchor:
            # Lifted now, brought later: the dwell runs over the restart of the cycle.
            here = (states.done & (1 << brings)) == 0
            back = at - o.duration[brings]
            self._limit_start(states, here, brings, back + self.limit - o.least[move])
            if o.most[move] < FAR:
                _raise(states.release, here, brings, back + self.lowest - o.most[move])
        for other, lag in o.spacing.get(move, ()):
            _raise(states.release, (states.done & (1 << other)) == 0, other, at + lag)
        for chain in o.shared:
            if move in chain.sources:
                for other in chain.targets:
                    here = (states.done & (1 << other)) == 0
                    _raise(states.release, here, other, ends + chain.lags[0][0])

    def _limit_start(self, states: States, rows: Ints, move: int, latest: Ints) -> None:
        """Lower the due date and the deadline of a move, in some rows."""
        capped = np.minimum(latest, self._far)
        for array in (states.due, states.deadline):
            array[:, move] = np.where(rows, np.minimum(array[:, move], capped), array[:, move])

    def _pruned(self, states: States, move: int) -> States:
        """Return the states all of whose remaining moves can still start in their windows."""
        o = self.relaxation
        soonest = states.at[:, None] + o.gap[move][None, :]
        gone = (states.done[:, None] & self._bits[None, :]) != 0
        starts = np.maximum(soonest, states.release)
        fine = gone | ((soonest <= states.deadline) & (starts + o.tail[None, :] <= self.limit))
        # What no longer restrains is forgotten, so that like rows become equal.
        states.release[(states.release <= soonest) | gone] = 0
        forgotten = (states.due >= self.limit - o.tail[None, :]) | gone
        states.due[forgotten] = self._far
        states.deadline[forgotten] = self._far
        keep = fine.all(axis=1) & (states.bound <= self.limit)
        return states if keep.all() else states.take(np.flatnonzero(keep))


def _free(done: Ints, pairs: tuple[tuple[int, int], ...], move: int) -> Ints:
    """Return whether a tank of one place is empty, so that a move may bring a carrier.

    The load that stood there at the start is brought back last of all.
    """
    free = np.ones(len(done), bool)
    closing = np.zeros(len(done), bool)
    others_done = np.ones(len(done), bool)
    for a, b in pairs:
        came, went = (done & (1 << a)) != 0, (done & (1 << b)) != 0
        free &= ~came | went
        if a == move:
            closing = went
        else:
            others_done &= came & went
    return free & (~closing | others_done)


def _raise(array: Ints, rows: Ints, column: int, values: Ints) -> None:
    """Raise a column to values, in some rows."""
    array[:, column] = np.where(rows, np.maximum(array[:, column], values), array[:, column])


_FAR16 = 32_000
"""FAR, where times are kept in 16 bits."""
