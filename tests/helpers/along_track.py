"""Lines searched along the track, and passes over them both ways."""

from __future__ import annotations

from random import Random

from benchmarks.lines.families import random_line, random_mix
from hoistopt.instance import Instance, build_instance
from hoistopt.solver.cyclic.track.line import mirrored, track_line
from hoistopt.solver.cyclic.track.passes import Pass, Track
from hoistopt.solver.cyclic.track.times.span import Span

WIDE = 10**6
ALL_KEPT = (WIDE, WIDE)
MERGED = (2, 4, 16, WIDE)
"""States of a key that are kept, pass by pass, each in the other direction than the last."""


def both_ways(instance: Instance) -> tuple[Track, Track]:
    line = track_line(instance)
    return Track(line), Track(mirrored(line))


def passed(tracks: tuple[Track, Track], span: Span, widths: tuple[int, ...]) -> tuple[Pass, int]:
    """The last pass needed, and its number."""
    bounds = None
    for turn, width in enumerate(widths):
        found = tracks[turn % 2].run(span, width, bounds)
        if found.refuted or turn == len(widths) - 1:
            break
        bounds = tracks[turn % 2].completion_bounds(found, span)
    return found, turn


def loose_line(seed: int) -> Instance:
    """A line whose every rule is looked at along the track: one load, two, or two recipes."""
    family = ("loose", "very-loose", "open", "narrow")[seed % 4]
    tanks, shuffled = Random(seed).randint(3, 7), bool(seed % 2)
    if seed % 5 == 3:
        return build_instance(random_mix(family, min(tanks, 4), 2, seed, shuffled=shuffled))
    if seed % 5 == 4:
        return build_instance(random_line(family, min(tanks, 4), seed, shuffled=shuffled), 2)
    return build_instance(random_line(family, tanks, seed, shuffled=shuffled))
