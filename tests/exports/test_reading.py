"""The instrument of the other tests: what it refuses to read, and what to run.

Outside source: the grammar of blark, an open-source IEC 61131-3 parser from PyPI.
"""

from __future__ import annotations

import pytest

from tests.helpers.st_machine import Machine
from tests.helpers.st_values import Fault

PROGRAM = """FUNCTION_BLOCK Small
VAR_INPUT
    Go : BOOL;
END_VAR
VAR
    Whole : INT;
    Long : DINT;
    Span : TIME;
    Row : ARRAY [1..3] OF INT;
END_VAR
VAR CONSTANT
    Fixed : INT := 4;
END_VAR
STATEMENT
END_FUNCTION_BLOCK
"""


@pytest.mark.parametrize(
    "statement",
    [
        "Whole := Long;",
        "Long := Whole;",
        "Whole := TRUE;",
        "Go := FALSE;",
        "Fixed := 5;",
        "Missing := 1;",
        "Long := Span;",
        "Span := Span * 2;",
        "IF Whole THEN Whole := 1; END_IF;",
        "IF Whole = Long THEN Whole := 1; END_IF;",
        "Row[Long] := 1;",
        "Row[1, 2] := 1;",
    ],
)
def test_the_strict_reading_refuses(statement: str) -> None:
    with pytest.raises(Fault):
        Machine(PROGRAM.replace("STATEMENT", statement))


@pytest.mark.parametrize(
    "statement",
    [
        "Whole := Whole + 32000;",
        "Row[Fixed] := 1;",
        "IF Go AND Row[0] = 1 THEN Whole := 1; END_IF;",
        "Span := Span - T#1ms;",
    ],
)
def test_the_run_refuses(statement: str) -> None:
    machine = Machine(PROGRAM.replace("STATEMENT", statement))
    machine.call(Go=False) if "32000" in statement else None  # the first sum still fits
    with pytest.raises(Fault):
        machine.call(Go=False)


@pytest.mark.parametrize(
    "statement", ["// note", "Whole := Row[1] := 2;", "Whole R= 1;", "{pragma}", "CONTINUE;"]
)
def test_the_parser_refuses_what_the_standard_does_not_know(statement: str) -> None:
    with pytest.raises(Exception, match=r"(?i)unexpected|no terminal|expected"):
        Machine(PROGRAM.replace("STATEMENT", f"Whole := 1; {statement}\n"))
