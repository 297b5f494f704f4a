"""Follow a programme from a state: which load each step lifts, and where that load is then.

Whatever the programme says is done, in order of time, and recorded for the rules to look
at. Only a step that finds nothing to lift is left out.
"""

from __future__ import annotations

from itertools import count

from ...schedule import LineState, Step
from ..grid.motion import Parts
from ..grid.route import Leg, Window
from .course import Course, Run, Stay, Table

_NOWHERE = Window(0, None)


def follow(table: Table, state: LineState) -> Course:
    """The course of a programme from a state of the line."""
    line = _Line(Course(table, state.numbered()))
    for number in range(len(table.steps)):
        line.make(number)
    return line.course


class _Line:
    """The line at one moment; `standing` has the stays of loads in the line by station."""

    def __init__(self, course: Course) -> None:
        self.course = course
        self.table = course.table
        self.routes = course.table.routes
        self.standing: dict[str, list[Stay]] = {}
        self.known = set(course.state.loads)
        self._numbers = count(1)
        self._begin()

    def _begin(self) -> None:
        table, state = self.table, self.course.state
        for entry in state.standing:
            if entry.recipe is None or entry.load is None:
                continue
            if entry.stage == self.routes.last(entry.recipe) and not self.routes.by_hoist:
                continue  # it is out of the line
            least, most = table.span(entry.stood)
            self._set_down(entry.load, entry.recipe, entry.stage, entry.station, -most, -least)
        for hoist, one in state.carried:
            leg = Leg(one.recipe, one.stage, self._onward(one.recipe, one.stage))
            if self.routes.stays_on(leg):
                early, late = table.span(hoist.free_in)
                self._set_down(
                    one.load or 0, one.recipe, leg.leaves + 1, hoist.station, early, late
                )

    def _onward(self, recipe: str, stage: int) -> int:
        back = self.routes.by_hoist and stage == self.routes.last(recipe)
        return 0 if back else stage + 1

    def _set_down(
        self,
        load: int,
        recipe: str,
        stage: int,
        station: str,
        early: int,
        late: int,
        run: int | None = None,
    ) -> None:
        served = stage <= self.routes.last(recipe) and station in self.routes.stations(
            recipe, stage
        )
        window = self.routes.window(recipe, stage, station) if served else _NOWHERE
        if run is None and 0 < stage < self.routes.last(recipe):
            window = self._eased(window)
        stay = Stay(load, recipe, stage, station, window, early, late, run)
        self.course.stays.append(stay)
        self.standing.setdefault(station, []).append(stay)

    def _eased(self, window: Window) -> Window:
        """The window of a load that the state has in its stage.

        A fixed dwell is kept to within a tick, as after any move. When within its tick the
        load was set down, the state need not say.
        """
        clock = self.table.clock
        needed = clock.up_to_tick(window.least)
        if window.most is None or needed > window.most - window.eased:
            return window
        more = max(0, needed + clock.up_to_tick(1) - window.most)
        return Window(window.least, window.most + more, window.eased + more)

    # -- one step ---------------------------------------------------------------

    def make(self, number: int) -> None:
        """Make one step: lift what it means, and set it down."""
        step = self.table.steps[number]
        if step.source == step.target:
            self._wrong(number, "nowhere", f"the move from {step.source} goes nowhere")
            return
        stay = self._lifted(step)
        leg = self._entering(number, step) if stay is None else self._leg(number, step, stay)
        if leg is None:
            return
        drip = self.routes.drip(leg)
        parts = self.table.times_of(number).loaded(step.source, step.target, drip)
        if parts is None:
            self._wrong(
                number,
                "no time",
                f"the time of the move from {step.source} to {step.target} is not known",
            )
            parts = Parts(None, 0, None, None, 0)
        if stay is None:
            load = self._new_number(step)
        else:
            load = stay.load
            self.standing[step.source].remove(stay)
            stay.until = self.table.starts[number]
            stay.lifted_by = len(self.course.runs)
        self._run(number, step, load, leg, parts)

    def _run(self, number: int, step: Step, load: int, leg: Leg, parts: Parts) -> None:
        runs, start = self.course.runs, self.table.starts[number]
        run = Run(
            number=number,
            load=load,
            leg=leg,
            source=step.source,
            target=step.target,
            start=start,
            end=start + parts.total,
            parts=parts,
            hoist=self.table.hoists[number],
        )
        runs.append(run)
        if leg.reaches is None or self.routes.stays_on(leg):
            stage = leg.leaves + 1 if leg.reaches is None else leg.reaches
            self._set_down(load, leg.recipe, stage, step.target, run.end, run.end, len(runs) - 1)

    def _lifted(self, step: Step) -> Stay | None:
        """The stay of the load in the line that a step lifts, if it lifts one of those."""
        here = self.standing.get(step.source, [])
        if step.load is not None and (step.load in self.known or step.stage):
            return next((stay for stay in here if stay.load == step.load), None)
        if step.load is not None:
            return None
        meant = [
            stay
            for stay in here
            if step.recipe in (None, stay.recipe) and step.stage in (None, stay.stage)
        ]
        onward = [stay for stay in meant if self._serves(step, stay)]
        return next(iter(onward or meant), None)

    def _serves(self, step: Step, stay: Stay) -> bool:
        leg = Leg(stay.recipe, stay.stage, self._onward(stay.recipe, stay.stage))
        return leg in self.routes.legs(step.source, step.target)

    def _leg(self, number: int, step: Step, stay: Stay) -> Leg:
        """The leg a load in the line makes, noted where its recipe has none such."""
        leg = Leg(stay.recipe, stay.stage, self._onward(stay.recipe, stay.stage))
        if leg in self.routes.legs(step.source, step.target):
            return leg
        if stay.stage > self.routes.last(stay.recipe):
            expected = "it has reached the end of its way"
        else:
            onward = leg.reaches or 0
            names = " or ".join(self.routes.stations(stay.recipe, onward))
            expected = f"after stage {stay.stage} it goes to {names}"
        text = f"takes load {stay.load} of {stay.recipe} to {step.target}, but {expected}"
        self._wrong(number, "wrong stage", text)
        return Leg(stay.recipe, stay.stage, None)

    def _entering(self, number: int, step: Step) -> Leg | None:
        """The leg of a new load, lifted at a load station; None, noted, where there is none."""
        if step.load is not None and step.load in self.known:
            self._wrong(number, "empty", self._absent(step))
            return None
        legs = [leg for leg in self.routes.legs(step.source, step.target) if leg.leaves == 0]
        legs = [leg for leg in legs if step.recipe in (None, leg.recipe)]
        if step.stage or not legs:
            self._wrong(number, "empty", "there is no load to lift here for this step")
            return None
        if len(legs) > 1:
            self._wrong(
                number,
                "unclear",
                "several recipes go this way; the table must say in a column recipe which "
                "load it is",
            )
        return legs[0]

    def _absent(self, step: Step) -> str:
        for station, stays in self.standing.items():
            for stay in stays:
                if stay.load == step.load:
                    return f"load {step.load} is not here, it stands in {station}"
        return f"load {step.load} is not here, it has left the line"

    def _new_number(self, step: Step) -> int:
        number = step.load
        if number is None:
            stated = {other.load for other in self.table.steps}
            number = next(n for n in self._numbers if n not in self.known and n not in stated)
        self.known.add(number)
        return number

    def _wrong(self, number: int, kind: str, text: str) -> None:
        self.course.unmade.append((number, kind, text))
