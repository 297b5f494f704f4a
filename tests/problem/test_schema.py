"""The JSON Schema of problem files says what the loader accepts."""

from __future__ import annotations

import json
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from hoistopt import InputError
from hoistopt.problem import Problem
from hoistopt.problem.jsonschema import problem_schema
from tests.helpers.wrong.options import switched_on

pytestmark = pytest.mark.quick

jsonschema = pytest.importorskip("jsonschema")

PROBLEMS = sorted((Path(__file__).parents[2] / "problems").glob("*.toml"))


def from_text(text: str) -> Problem:
    return Problem.from_data(tomllib.loads(text, parse_float=Decimal))


def plain(path: Path) -> Any:
    return tomllib.loads(path.read_text())


@pytest.fixture(scope="module")
def validator() -> Any:
    kind = jsonschema.Draft202012Validator
    kind.check_schema(problem_schema(Problem))
    return kind(problem_schema(Problem))


@pytest.mark.parametrize("path", PROBLEMS, ids=lambda path: path.stem)
def test_the_schema_accepts_every_problem_file(path: Path, validator: Any) -> None:
    """Outside source: the general-purpose validator `jsonschema`."""
    validator.validate(plain(path))


def test_the_schema_accepts_the_template_with_all_options(validator: Any) -> None:
    validator.validate(tomllib.loads(switched_on()))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("capacity = 2", "capacity = 0"),
        ("capacity = 2", 'capacity = "lots"'),
        ("min = 180", "min = -1"),
        ("min = 180", 'min = "180"'),
        ('station = "Clean"', "station = 3"),
        ('unit = "s"', 'unit = "days"'),
        ('name = "My line"', ""),
        ("lift = 8", "lift = 8\nlifts = 9"),
        ("max = 300", "max = 1e8"),
        ("max = 300", 'max = "300 m"'),
        ("max = 300", 'max = "4.5/h"'),
        ("max = 7200", 'max = "30/shift"'),
    ],
)
def test_the_schema_refuses_what_the_loader_refuses(old: str, new: str, validator: Any) -> None:
    text = switched_on()
    assert old in text
    wrong = text.replace(old, new, 1)
    with pytest.raises(InputError):
        from_text(wrong)
    with pytest.raises(jsonschema.ValidationError):
        validator.validate(tomllib.loads(wrong))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("max = 300", 'max = "5 min"'),
        ("max = 300", 'max = "5:00"'),
        ("lift = 8", 'lift = "T#8s"'),
        ("time = 24.5", 'time = "PT24.5S"'),
        ("max = 7200", 'max = "0.5/h"'),
        ("slack = 5", 'slack = "5 s"'),
        ("tick = 0.1", 'tick = "100 ms"'),
    ],
)
def test_the_schema_accepts_the_durations_that_the_loader_accepts(
    old: str, new: str, validator: Any
) -> None:
    """And the line is the same as with the number."""
    text = switched_on()
    assert old in text
    said = text.replace(old, new, 1)
    assert from_text(said) == from_text(text)
    validator.validate(tomllib.loads(said))


def test_every_key_of_the_schema_is_described_and_titled() -> None:
    schema = problem_schema(Problem)
    for part in (schema, *schema["$defs"].values()):
        assert part["title"]
        assert part["description"]
        for key, value in part["properties"].items():
            assert value["description"], key
            assert "title" not in value
    assert "null" not in json.dumps(schema)
    assert "from" in schema["$defs"]["Crossing"]["properties"]
    assert "return" in schema["$defs"]["Carriers"]["properties"]
