"""Recipes that are like another with some stages changed: written out, before any check."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..base.errors import InputError, shortened
from ..base.text import any_of, first_of, nearest_or_known

LIKE = "Name of a recipe of this file: this one has its stages, and what it does not state itself."
CHANGES = "What is other than in that recipe, one table for each stage that changes."
WHICH = "The stage of that recipe, by its number from 1 or by its name."
LEFT_OUT = "Whether this recipe leaves the stage out."
_INHERITED = ("load", "unload", "mass")


def written_out(data: dict[str, Any]) -> dict[str, Any]:
    """The same problem with the stages of every recipe stated.

    Parameters
    ----------
    data : dict
        Plain data as read from a file, not checked yet. It is left as it is.

    Raises
    ------
    InputError
        When a recipe is like one that is not there, like itself by whatever way round, or
        changes a stage that the other does not have.
    """
    recipes = data.get("recipe")
    if not isinstance(recipes, list) or not any(
        isinstance(recipe, dict) and recipe.keys() & {"like", "change"} for recipe in recipes
    ):
        return data
    named: dict[str, tuple[int, dict[str, Any]]] = {}
    for number, recipe in enumerate(recipes, start=1):
        if isinstance(recipe, dict) and isinstance(recipe.get("name"), str):
            named.setdefault(recipe["name"], (number, recipe))
    return {
        **data,
        "recipe": [
            _whole(recipe, number, named, ()) if isinstance(recipe, dict) else recipe
            for number, recipe in enumerate(recipes, start=1)
        ],
    }


def _whole(
    recipe: dict[str, Any],
    number: int,
    named: Mapping[str, tuple[int, dict[str, Any]]],
    before: tuple[str, ...],
) -> dict[str, Any]:
    """A recipe with its own stages; `before` are those that are like it."""
    name = recipe.get("name")
    field = f"recipe {number}" + (f' ("{shortened(name, 60)}")' if isinstance(name, str) else "")
    if "like" not in recipe:
        if "change" in recipe:
            raise InputError(
                "a recipe that it is like",
                field=f"{field}, change",
                way_out='Write like = "...", or give the recipe stages of its own.',
            )
        return recipe
    like = recipe["like"]
    if not isinstance(like, str) or like not in named:
        raise InputError(
            "the name of another recipe of this file",
            field=f"{field}, like",
            value=like,
            way_out=nearest_or_known(str(like), list(named), "recipes"),
        )
    if like == name or like in before:
        raise InputError(
            "a recipe that states its stages at the end of the way",
            field=f"{field}, like",
            value=like,
            way_out=f"{' is like '.join([*before, str(name), like])}: give one of them stages.",
        )
    if "stage" in recipe:
        raise InputError(
            "changes of stages, as the recipe is like another",
            field=f"{field}, stage",
            way_out="Put them under [[recipe.change]], or take the key like out.",
        )
    other = _whole(named[like][1], named[like][0], named, (*before, str(name)))
    own = {key: value for key, value in recipe.items() if key not in ("like", "change")}
    for key in _INHERITED:
        if key in other:
            own.setdefault(key, other[key])
    stages = other.get("stage")
    if not isinstance(stages, list) or not all(isinstance(stage, dict) for stage in stages):
        # What is wrong with them is told of the other recipe, which comes to be checked too.
        return {**own, "stage": stages if stages is not None else []}
    return {**own, "stage": _changed(stages, recipe.get("change", []), field, like)}


def _changed(
    stages: list[dict[str, Any]], changes: object, field: str, like: str
) -> list[dict[str, Any]]:
    if not isinstance(changes, list) or not all(isinstance(one, dict) for one in changes):
        raise InputError("a list of tables, [[recipe.change]]", field=f"{field}, change")
    found: list[dict[str, Any] | None] = [dict(stage) for stage in stages]
    seen: dict[int, int] = {}
    for number, change in enumerate(changes, start=1):
        place = f"{field}, change {number}"
        at = _stage_meant(stages, change.get("stage"), f"{place}, stage", like)
        if at in seen:
            raise InputError(
                "each stage once",
                field=f"{place}, stage",
                value=change["stage"],
                way_out=f"Change {seen[at]} is of that stage too: join the two.",
            )
        seen[at] = number
        left_out = change.get("left_out", False)
        if not isinstance(left_out, bool):
            raise InputError("true or false", field=f"{place}, left_out", value=left_out)
        rest = {key: value for key, value in change.items() if key not in ("stage", "left_out")}
        if left_out and rest:
            raise InputError(
                "nothing else of a stage that is left out", field=f"{place}, {min(rest)}"
            )
        if not left_out and not rest:
            raise InputError(
                "what is other than in that recipe", field=place, way_out="Or take the table out."
            )
        found[at] = None if left_out else {**stages[at], **rest}
    return [stage for stage in found if stage is not None]


def _stage_meant(stages: list[dict[str, Any]], given: object, field: str, like: str) -> int:
    """The number of a stage, from 0."""
    labels = [_label(stage) for stage in stages]
    if isinstance(given, int) and not isinstance(given, bool) and 1 <= given <= len(stages):
        return given - 1
    meant = [at for at, label in enumerate(labels) if label == given]
    if len(meant) == 1:
        return meant[0]
    numbered = [f"{at} {label}" for at, label in enumerate(labels, start=1)]
    raise InputError(
        f'a stage of recipe "{shortened(like, 60)}", by its number or name'
        if not meant
        else "the number of the stage, as several are called so",
        field=field,
        value=given,
        way_out=f"It has {first_of(numbered)}.",
    )


def _label(stage: Mapping[str, Any]) -> str:
    """What a stage is called, as far as the unchecked data tell."""
    name, station = stage.get("name"), stage.get("station")
    if isinstance(name, str):
        return name
    stations = station if isinstance(station, list) else [station]
    return any_of([str(one) for one in stations])
