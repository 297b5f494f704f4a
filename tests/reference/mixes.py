"""Random small lines with several recipes."""

from __future__ import annotations

from random import Random

from . import draw
from .draw import SmallLine, finish, recipe


def turns(seed: int) -> SmallLine:
    """Short and long dwells in one roomy station: does the later carrier leave first?"""
    rng = Random(f"turns {seed}")
    tanks = draw.tanks(rng.choice((1, 2, 2)))
    tanks[0] |= {"capacity": rng.choice((2, 2, 3)), "order": rng.choice(("fifo", "fifo", "any"))}
    recipes = []
    for number, longest in enumerate(rng.sample((15, 40, 120), 2)):
        route = [
            "A",
            *rng.sample([tank["name"] for tank in tanks[1:]], rng.randint(0, len(tanks) - 1)),
        ]
        rng.shuffle(route)
        made = recipe(rng, route, rng.choice(("medium", "loose", "open")), 20, f"R{number + 1}")
        for stage in made["stage"]:
            if stage["station"] == "A":
                stage.pop("max", None)
                stage |= draw.window(rng, rng.choice(("zero", "tight", "medium")), longest)
        recipes.append(made)
    data = draw.line(draw.ends(rng), tanks, recipe=recipes, cycle={"mix": {"R1": 1, "R2": 1}})
    return finish(rng, data, 1)


def mixed(seed: int) -> SmallLine:
    """Two or three recipes; the order of entering given or free."""
    rng = Random(f"mixed {seed}")
    data, degree = mix(rng, rng.choice((None, *draw.WINDOWS)), most=9)
    return finish(rng, data, degree)


def entering(seed: int) -> SmallLine:
    """Recipes entering in a given order that need not be the best one."""
    rng = Random(f"entering {seed}")
    counts, degree = rng.choice((((2, 2), 1), ((1, 1), 2), ((1, 1, 1), 1), ((1, 1, 1), 1)))
    stages = 1 if sum(counts) * degree == 4 else 2
    tanks = draw.tanks(3)
    names = [tank["name"] for tank in tanks]
    recipes = []
    for number in range(len(counts)):
        route = rng.sample(names, rng.randint(1, stages))
        recipes.append(recipe(rng, list(route), rng.choice((None, "medium")), 0, f"R{number + 1}"))
    order = [made["name"] for made, n in zip(recipes, counts, strict=True) for _ in range(n)]
    rng.shuffle(order)
    data = draw.line(draw.ends(rng), tanks, recipe=recipes, cycle={"order": order})
    return finish(rng, data, degree)


def mix(rng: Random, style: str | None, most: int) -> tuple[draw.Data, int]:
    """Data of a line with two or three recipes, times left out, and its degree."""
    tanks = draw.tanks(rng.choice((2, 3, 3)))
    names = [tank["name"] for tank in tanks]
    counts = rng.choice(((1, 1), (1, 1), (1, 2), (2, 1), (1, 1, 1)))
    left = most - sum(counts)
    recipes = []
    for number, count in enumerate(counts):
        route = rng.sample(names, max(1, min(len(names), left // count, rng.choice((1, 2, 3, 3)))))
        left = max(0, left - count * len(route))
        if rng.random() < 0.6:
            route.sort()
        recipes.append(recipe(rng, list(route), style, name=f"R{number + 1}"))
    before, after = draw.ends(rng)
    if after and rng.random() < 0.2:  # a second station at one end
        extra = {**rng.choice((before, after))[0], "name": "Other"}
        after.append(extra)
        for made in recipes:
            made["load"], made["unload"] = "In", "Out"
        for made in recipes[: rng.randint(1, len(recipes))]:
            made["load" if extra["kind"] == "load" else "unload"] = "Other"
    cycle: draw.Data = {"mix": {made["name"]: n for made, n in zip(recipes, counts, strict=True)}}
    if rng.random() < 0.5:
        order = [made["name"] for made, n in zip(recipes, counts, strict=True) for _ in range(n)]
        rng.shuffle(order)
        cycle = rng.choice((cycle, {})) | {"order": order}
    moves = sum(n * (len(made["stage"]) + 1) for made, n in zip(recipes, counts, strict=True))
    degree = 2 if moves <= 4 and rng.random() < 0.5 else 1
    return draw.line((before, after), tanks, recipe=recipes, cycle=cycle), degree
