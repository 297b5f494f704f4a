"""Random stories on fifty random lines, with nothing unexplained.

The block's own text runs the line, the model of it must agree with every output in every call,
and the recipes' windows are held against what happened. This runs a share of the stories;
`benchmarks/block_stories.py` runs ten thousand, and its figure stands in benchmarks/README.md.
"""

from __future__ import annotations

import pytest

from tests.helpers.block.stories import LINES, lines, story
from tests.helpers.block.unexplained import unexplained
from tests.helpers.usual import each

STORIES = 300
SHARES = 6
"""Parts of the stories, half of them in the usual run."""


@pytest.mark.parametrize("share", each(SHARES // 2, range(SHARES)))
def test_nothing_is_unexplained(share: int) -> None:
    too_long = delays = 0
    for seed in range(share, STORIES, SHARES):
        found = story(seed)
        plant = found.run()
        assert not list(unexplained(found)), (seed, found.line.name, found.told)
        too_long += sum(stay.too_long for stay in plant.stays)
        delays += found.single
    assert too_long > 0  # else the stories are too tame to show anything
    assert delays > 10


def test_the_lines_have_many_features() -> None:
    made = lines()
    assert len(made) == LINES
    assert any(line.problem.carriers.return_ == "hoist" for line in made)
    assert len({line.name.split()[0] for line in made}) >= 10
    assert any(len(line.table.recipes) > 1 for line in made)
    assert any(line.table.slots > 2 for line in made)
    assert {1, 2, 3} <= {sum(s.fed_by is None for s in line.table.steps) for line in made}
    stages = [{(s.recipe, s.stage, s.pick) for s in line.table.steps} for line in made]
    assert any(len({kind[:2] for kind in found}) < len(found) for found in stages)  # parallel tanks
