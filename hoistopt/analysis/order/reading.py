"""Which move of the line each step of a given order is, as far as the table says."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from ...base.errors import InfeasibleError
from ...base.text import counted
from ...instance import Instance, Move, Route, build_instance
from ...problem import Problem
from ...schedule import Schedule, Step


@dataclass(frozen=True)
class Reading:
    """A given order next to the instance it belongs to.

    Attributes
    ----------
    instance : Instance
    steps : tuple of Step
        In the order given.
    options : tuple of tuple of int
        For each move of the instance the steps that may be it, by number from 0.
    """

    problem: Problem
    instance: Instance
    steps: tuple[Step, ...]
    options: tuple[tuple[int, ...], ...]

    @property
    def firsts(self) -> tuple[int, ...]:
        """Steps that may be the instance's first move; one is enough where all are alike."""
        anchor = self.options[self.instance.first_moves[0]]
        told = all(self.steps[step].recipe for step in anchor)
        alike = len(set(self.instance.recipes)) == 1 or told
        return anchor[:1] if alike and not self.instance.order_given else anchor

    @cached_property
    def plain(self) -> bool:
        """Whether the order leaves open nothing but the times.

        Every move is one step only, every stay in a place for one carrier, and carriers
        are not counted. Of several hoists ways are always open, and so is when a load is set down.
        """
        instance = self.instance
        if instance.several is not None:
            return False
        return (
            all(len(options) == 1 for options in self.options)
            and all(
                instance.places[place].capacity == 1 for s in instance.stays for place in s.places
            )
            and all(len({lag for row in c.lags for lag in row}) <= 1 for c in instance.turnrounds)
            and instance.carriers is None
        )


def reading_of(problem: Problem, order: Schedule) -> Reading | list[str]:
    """Read an order, or say why it cannot be one of this line.

    Returns
    -------
    Reading or list of str
        A list of faults, a sentence each, where the steps do not make up whole sets of
        loads of the line's recipes.

    Raises
    ------
    InputError
        When the problem cannot be planned.
    """
    steps = order.steps
    loads = sum(_enters(problem, step) for step in steps)
    wanted = len(problem.load_set)
    if not loads:
        return ["No step brings a load in from a load station."]
    if loads % wanted:
        return [
            f"{counted(loads, 'load enters', 'loads enter')} in a cycle, but a set is "
            f"{wanted} loads: the order carries no whole number of sets."
        ]
    try:
        instance = build_instance(problem, loads // wanted, several=True)
    except InfeasibleError as error:
        return [f"{str(error)[:1].upper()}{str(error)[1:]}."]
    options = tuple(
        tuple(number for number, step in enumerate(steps) if _may_be(problem, instance, move, step))
        for move in instance.moves
    )
    faults = _faults(instance, steps, options)
    return faults or Reading(problem, instance, steps, options)


def _enters(problem: Problem, step: Step) -> bool:
    """Whether a step lifts a new load at a load station."""
    if step.stage is not None:
        return step.stage == 0
    return any(
        step.source == problem.load_station(recipe).name and step.target in recipe.stages[0].station
        for recipe in problem.recipes
        if step.recipe in (None, recipe.name)
    )


def _may_be(problem: Problem, instance: Instance, move: Move, step: Step) -> bool:
    if step.recipe is not None and step.recipe != instance.recipes[move.job]:
        return False
    if step.stage is not None and step.stage != move.stage:
        return False
    return any(
        (instance.places[route.source].name, instance.places[route.target].name)
        == (step.source, step.target)
        and made_by(instance, route, step)
        for route in move.routes
    )


def made_by(instance: Instance, route: Route, step: Step) -> bool:
    """Whether the hoist of a route may be that of a step; one that names none leaves it open."""
    several = instance.several
    return several is None or step.hoist in (None, several.names[route.hoist])


def _faults(
    instance: Instance, steps: Sequence[Step], options: Sequence[Sequence[int]]
) -> list[str]:
    """Steps that are no move of the line, and moves that no step makes."""
    import networkx

    moves = [("move", move.index) for move in instance.moves]
    graph = networkx.Graph()
    graph.add_nodes_from(moves)
    graph.add_nodes_from(("step", number) for number in range(len(steps)))
    graph.add_edges_from(
        (("move", move), ("step", number))
        for move, numbers in enumerate(options)
        for number in numbers
    )
    pairs = networkx.bipartite.hopcroft_karp_matching(graph, moves)
    found = []
    made = {number for numbers in options for number in numbers}
    for number, step in enumerate(steps):
        if ("step", number) in pairs:
            continue
        way = f"Step {number + 1}, {step.source} to {step.target},"
        if number in made:
            found.append(f"{way} is one more than the recipes ask for.")
        else:
            found.append(f"{way} is no move that any recipe of the line makes.")
    missing: Counter[str] = Counter()
    for move in instance.moves:
        if ("move", move.index) not in pairs:
            missing[_ways(instance, move)] += 1
    for way, count in missing.items():
        times = "" if count == 1 else f", {count} of them"
        found.append(f"A step is missing: {way}{times}.")
    return found


def _ways(instance: Instance, move: Move) -> str:
    sources, targets = (
        " or ".join(instance.places[place].name for place in places)
        for places in (move.sources, move.targets)
    )
    return f"{sources} to {targets}"
