"""What follows from the tanks that dwells are in, compiled."""

from __future__ import annotations

from typing import Any

from numpy.random import Generator

from ...compiled import lean
from .line import Line, Space, Tanks

SAME, CHANGED = 0.5, 0.25
"""How often all tanks stay as they are; else, of the dwells that have a choice and whose two moves
are both taken out, this share gets another tank."""


@lean
def _set_move(line: Line, tanks: Tanks, move: int) -> None:
    """Work out a move anew: the gaps after it, and the limits of the dwell after it."""
    option, last = tanks.option, move == line.ends[move]
    to = line.target[move] if last else line.station[move + 1, option[move + 1]]
    after = 0 if last else option[move + 1]
    takes = line.duration[move, option[move], after]
    for other in range(len(option)):
        there = line.station[other, option[other]]
        tanks.gaps[move, other] = takes + line.empty[to, there]
    if not last:
        longest = line.longest[move + 1]
        tanks.least[move + 1] = takes + line.shortest[move + 1]
        shaved = line.shaved[move, option[move], after]
        tanks.most[move + 1] = -1 if longest < 0 else takes - shaved + longest


@lean
def set_tanks(line: Line, tanks: Tanks) -> None:
    """Work out all moves anew."""
    for move in range(len(tanks.option)):
        _set_move(line, tanks, move)


@lean
def set_tank(line: Line, tanks: Tanks, move: int, option: int) -> None:
    """Give the dwell before a move another tank."""
    tanks.option[move] = option
    _set_move(line, tanks, move - 1)
    _set_move(line, tanks, move)
    there = line.station[move, option]
    for other in range(len(tanks.option)):
        if other != move and other != move - 1:
            last = other == line.ends[other]
            after = 0 if last else tanks.option[other + 1]
            to = line.target[other] if last else line.station[other + 1, after]
            takes = line.duration[other, tanks.option[other], after]
            tanks.gaps[other, move] = takes + line.empty[to, there]


@lean
def _has_way(line: Line, tanks: Tanks, move: int, option: int) -> Any:
    """Whether there are ways to and from another tank of the dwell before a move."""
    after = 0 if move == line.ends[move] else tanks.option[move + 1]
    there = line.duration[move - 1, tanks.option[move - 1], option]
    return there >= 0 and line.duration[move, option, after] >= 0


@lean
def change_tanks(line: Line, tanks: Tanks, out: int, space: Space, rng: Generator) -> Any:
    """Give some dwells whose moves are taken out other tanks; return how many."""
    changed = 0
    if rng.random() < SAME:
        return changed
    for number in range(out):
        move = space.out[number]
        if line.options[move] < 2 or space.kept[move - 1] or rng.random() >= CHANGED:
            continue
        option = int(rng.random() * (line.options[move] - 1))
        option += option >= tanks.option[move]
        if _has_way(line, tanks, move, option):
            space.changed[changed], space.option_before[changed] = move, tanks.option[move]
            changed += 1
            set_tank(line, tanks, move, option)
    return changed


@lean
def change_back(line: Line, tanks: Tanks, changed: int, space: Space) -> None:
    """Give so many dwells the tanks back that they had."""
    for number in range(changed - 1, -1, -1):
        set_tank(line, tanks, space.changed[number], space.option_before[number])
