"""A given order as constraints of the solver's model, where it leaves more open than times."""

from __future__ import annotations

from ...solver.model.variables import Linear, Literal, Variables
from .reading import Reading, made_by


class OrderRule:
    """The moves follow one another as given.

    Parameters
    ----------
    reading : Reading
    first : int
        The step that is the instance's first move.
    """

    def __init__(self, reading: Reading, first: int) -> None:
        self._reading = reading
        self._first = first

    def __call__(self, variables: Variables) -> None:
        """Add the constraints; which step each move is stays open where it is open."""
        is_step = self._steps(variables)
        self._orders(variables, is_step)
        self._places(variables, is_step)
        self._hoists(variables, is_step)
        self._loads(variables, is_step)
        self._boundaries(variables, is_step)

    def _place(self, step: int) -> int:
        """Which in turn a step is, counted from the first."""
        return (step - self._first) % len(self._reading.steps)

    def _steps(self, variables: Variables) -> list[dict[int, Literal]]:
        """Every move is one step, every step one move."""
        model = variables.model
        by_step: dict[int, list[Literal]] = {}
        found: list[dict[int, Literal]] = []
        anchor = self._reading.instance.first_moves[0]
        for move, options in enumerate(self._reading.options):
            if move == anchor:
                options = (self._first,)
            literals = {
                step: variables.one if len(options) == 1 else model.new_bool_var(f"s{move}_{step}")
                for step in options
            }
            model.add_exactly_one(literals.values())
            for step, literal in literals.items():
                by_step.setdefault(step, []).append(literal)
            found.append(literals)
        for literals_of_step in by_step.values():
            model.add_exactly_one(literals_of_step)
        return found

    def _orders(self, variables: Variables, is_step: list[dict[int, Literal]]) -> None:
        model = variables.model
        turn: list[Linear] = [
            sum(self._place(step) * literal for step, literal in options.items())
            for options in is_step
        ]
        reach = [
            (min(map(self._place, options)), max(map(self._place, options))) for options in is_step
        ]
        for a, b in self._reading.instance.pairs():
            i, j = a.index, b.index
            first = variables.before(i, j)
            if reach[i][1] < reach[j][0]:
                model.add_bool_or(first)
            elif reach[j][1] < reach[i][0]:
                model.add_bool_or(first.negated())
            else:
                model.add(turn[i] < turn[j]).only_enforce_if(first)
                model.add(turn[j] < turn[i]).only_enforce_if(first.negated())

    def _places(self, variables: Variables, is_step: list[dict[int, Literal]]) -> None:
        instance = self._reading.instance
        number = {place.name: index for index, place in enumerate(instance.places)}
        for move, options in zip(instance.moves, is_step, strict=True):
            for step, literal in options.items():
                given = self._reading.steps[step]
                begins = variables.begins_at(move, number[given.source])
                ends = variables.ends_at(move, number[given.target])
                variables.model.add_implication(literal, begins)
                variables.model.add_implication(literal, ends)

    def _hoists(self, variables: Variables, is_step: list[dict[int, Literal]]) -> None:
        """A step that names its hoist is made by that one."""
        instance = self._reading.instance
        for move, options in zip(instance.moves, is_step, strict=True):
            for step, literal in options.items():
                given = self._reading.steps[step]
                for index, route in enumerate(move.routes):
                    if not made_by(instance, route, given):
                        variables.model.add_bool_or(
                            literal.negated(), variables.route(move.index, index).negated()
                        )

    def _loads(self, variables: Variables, is_step: list[dict[int, Literal]]) -> None:
        """Steps that name the same load carry the same."""
        model, instance = variables.model, self._reading.instance
        numbers = sorted({step.load for step in self._reading.steps if step.load is not None})
        if not numbers:
            return
        is_load = {
            (job, number): model.new_bool_var(f"l{job}_{number}")
            for job in range(instance.jobs)
            for number in numbers
        }
        for job in range(instance.jobs):
            model.add_at_most_one(is_load[job, number] for number in numbers)
        for number in numbers:
            model.add_at_most_one(is_load[job, number] for job in range(instance.jobs))
        for move, options in zip(instance.moves, is_step, strict=True):
            for step, literal in options.items():
                load = self._reading.steps[step].load
                if load is not None:
                    model.add_implication(literal, is_load[move.job, load])

    def _boundaries(self, variables: Variables, is_step: list[dict[int, Literal]]) -> None:
        """Cycle restarts that the table states, counted anew from the first step."""
        count = len(self._reading.steps)
        for stay in self._reading.instance.stays:
            crossed = variables.wrap_literals(stay)
            for later, leaves in is_step[stay.departure].items():
                stated = self._reading.steps[later].boundaries
                if stated is None:
                    continue
                for sooner, comes in is_step[stay.arrival].items():
                    shift = later - sooner - self._place(later) + self._place(sooner)
                    wanted = stated + shift // count
                    if self._reading.instance.several is not None:
                        over = variables.wraps(stay) + variables.in_the_air(stay.arrival)
                        variables.model.add(over == wanted).only_enforce_if(comes, leaves)
                        continue
                    both = [comes.negated(), leaves.negated()]
                    if wanted in crossed:
                        both.append(crossed[wanted])
                    variables.model.add_bool_or(both)
