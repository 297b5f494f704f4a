"""Ten thousand random stories of the exported function block, on fifty random lines.

    python -m benchmarks.block_stories [FIRST LAST]

In each, the block's own structured text runs a simulated line on which something goes wrong; a
model of the block must agree with every output in every call; and every load out of its window
must have been named by an alarm before, every alarm must have a cause, and after a single delay
no load that is set down later may be out of its window. See tests/helpers/block/stories.py.
"""

from __future__ import annotations

import sys
import time
from collections import Counter

from tests.helpers.block.stories import lines, story
from tests.helpers.block.unexplained import unexplained

STORIES = 10_000


def main(first: int = 0, last: int = STORIES) -> int:
    """Run the stories of these seeds; 1 if anything is unexplained."""
    lines()
    began = time.process_time()
    count: Counter[str] = Counter()
    for seed in range(first, last):
        found = story(seed)
        try:
            plant = found.run()
            wrong = list(unexplained(found))
        except AssertionError as error:
            plant, wrong = found.plant, [repr(error)]
        count.update(
            stories=1,
            single=found.single,
            calls=len(plant.seen),
            lifts=len(plant.started),
            dwells=len(plant.stays),
            too_long=sum(stay.too_long for stay in plant.stays),
            alarms=len(plant.alarms),
            unexplained=bool(wrong),
        )
        for words in wrong[:2]:
            print(f"{seed}, {found.line.name}, {found.told}: {words}", flush=True)
        if count["stories"] % 500 == 0:
            print(dict(count), f"{time.process_time() - began:.0f} s", flush=True)
    print(dict(count), f"{time.process_time() - began:.0f} s of processor time", flush=True)
    return int(count["unexplained"] > 0)


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:3])))
