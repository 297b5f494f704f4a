"""The instrument of the other tests: what it refuses to read, and what to run.

Outside source: the grammar of blark, an open-source IEC 61131-3 parser from PyPI.
"""

from __future__ import annotations

import pytest

from tests.helpers.block.st_machine import Machine, Program
from tests.helpers.block.st_values import Fault

PROGRAM = """FUNCTION_BLOCK Small
VAR_INPUT
    Go : BOOL;
END_VAR
VAR
    Whole : INT;
    Long : DINT;
    Long2 : DINT;
    Row : ARRAY [1..3] OF INT;
END_VAR
VAR CONSTANT
    Fixed : INT := 4;
END_VAR
STATEMENT
END_FUNCTION_BLOCK
"""


def machine(text: str) -> Machine:
    return Program(text).blocks["Small"].fresh()


@pytest.mark.parametrize(
    "statement",
    [
        "Whole := Long;",
        "Long := Whole;",
        "Whole := TRUE;",
        "Go := FALSE;",
        "Fixed := 5;",
        "Missing := 1;",
        "Long := INT_TO_DINT(Long);",
        "Whole := DINT_TO_INT(Long);",
        "Whole := 40000;",
        "CASE Long OF 1: Whole := 1; END_CASE;",
        "CASE Whole OF 1: Whole := 2; 1: Whole := 3; END_CASE;",
        "IF Whole THEN Whole := 1; END_IF;",
        "IF Whole = Long THEN Whole := 1; END_IF;",
        "Row[Long] := 1;",
        "Row[1, 2] := 1;",
    ],
)
def test_the_strict_reading_refuses(statement: str) -> None:
    with pytest.raises(Fault):
        machine(PROGRAM.replace("STATEMENT", statement))


@pytest.mark.parametrize(
    "statement",
    [
        "Whole := Whole + 32000;",
        "Row[Fixed] := 1;",
        "IF Go AND Row[0] = 1 THEN Whole := 1; END_IF;",
        "Long := 2000000000 + Long2 + 2000000000;",
        "Long := 1 / Long2;",
        "Long2 := Long2 - 1; Long := Long2 MOD 3;",
        "Row[4] := 1;",
    ],
)
def test_the_run_refuses(statement: str) -> None:
    block = machine(PROGRAM.replace("STATEMENT", statement))
    block.call(Go=False) if "32000" in statement else None  # the first sum still fits
    with pytest.raises(Fault):
        block.call(Go=False)


def test_a_choice_runs_its_own_branch() -> None:
    text = (
        "CASE Whole OF 0: Whole := 5; Long := INT_TO_DINT(Whole) * 3 / 2; 5: Whole := 6; END_CASE;"
    )
    block = machine(PROGRAM.replace("STATEMENT", text))
    block.call(Go=False)
    assert (block["Whole"], block["Long"]) == (5, 7)


@pytest.mark.parametrize(
    "statement", ["// note", "Whole := Row[1] := 2;", "Whole R= 1;", "{pragma}", "CONTINUE;"]
)
def test_the_parser_refuses_what_the_standard_does_not_know(statement: str) -> None:
    with pytest.raises(Exception, match=r"(?i)unexpected|no terminal|expected"):
        machine(PROGRAM.replace("STATEMENT", f"Whole := 1; {statement}\n"))
