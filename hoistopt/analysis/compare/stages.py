"""Which stage of a recipe after a change is which stage before it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from ...problem import Problem, Recipe


@dataclass(frozen=True)
class StagePair:
    """Numbers of one stage, from 1, on either side; None where it is not there."""

    before: int | None
    after: int | None


def paired(before: Sequence[str], after: Sequence[str]) -> list[StagePair]:
    """Pair stages by their names, in order.

    Where as many stages in a row have other names on either side, they count as renamed,
    one by one.
    """
    pairs: list[StagePair] = []
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    for kind, i, i_end, j, j_end in matcher.get_opcodes():
        if kind in ("equal", "replace") and i_end - i == j_end - j:
            pairs += [StagePair(i + n + 1, j + n + 1) for n in range(i_end - i)]
        else:
            pairs += [StagePair(n + 1, None) for n in range(i, i_end)]
            pairs += [StagePair(None, n + 1) for n in range(j, j_end)]
    return pairs


class Stages:
    """The pairs of stages of every recipe that both sides have.

    Parameters
    ----------
    before, after : Problem
    """

    def __init__(self, before: Problem, after: Problem) -> None:
        self.pairs: dict[str, list[StagePair]] = {}
        self._after: dict[tuple[str, int], int] = {}
        self._before: dict[str, set[int]] = {}
        for recipe in before.recipes:
            other = after.recipe_by_name.get(recipe.name)
            if other is None:
                continue
            pairs = paired(_labels(recipe), _labels(other))
            # The two ends of the line are what they were.
            ends = (StagePair(0, 0), StagePair(len(recipe.stages) + 1, len(other.stages) + 1))
            self.pairs[recipe.name] = pairs
            for pair in (*pairs, *ends):
                if pair.before is not None and pair.after is not None:
                    self._after[recipe.name, pair.after] = pair.before
                    self._before.setdefault(recipe.name, set()).add(pair.before)

    def before_of(self, recipe: str, stage: int) -> int | None:
        """The stage before the change that a stage after it was."""
        return self._after.get((recipe, stage))

    def shared(self, recipe: str, stage: int, *, after: bool) -> tuple[str, str, int]:
        """A stage in terms both sides share: recipe, on which sides it is, and its number.

        The number is that before the change where it is on both sides.
        """
        if after:
            number = self.before_of(recipe, stage)
            return (recipe, "after", stage) if number is None else (recipe, "both", number)
        both = stage in self._before.get(recipe, ())
        return (recipe, "both" if both else "before", stage)


def _labels(recipe: Recipe) -> list[str]:
    return [stage.label for stage in recipe.stages]
