"""`hoistopt schema`: the JSON Schema of problem files."""

from __future__ import annotations

import argparse

from ..problem.jsonschema import problem_schema
from ..tables.jsonfile import json_text
from .codes import DONE
from .streams import put


def run(options: argparse.Namespace) -> int:
    """Print the schema."""
    put(json_text(problem_schema()))
    return DONE
