"""`hoistopt schema`: the JSON Schema of problem files."""

from __future__ import annotations

import argparse

from ..codes import DONE
from ..streams import put

SUMMARY = "Print the JSON Schema of problem files, for editors."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    """Nothing."""


def run(options: argparse.Namespace) -> int:
    """Print the schema."""
    from ...base.text import json_text
    from ...problem import Problem
    from ...problem.jsonschema import problem_schema

    put(json_text(problem_schema(Problem)))
    return DONE
