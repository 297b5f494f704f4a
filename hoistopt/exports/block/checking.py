"""The block checks its table: every number in range, and the check sum."""

from __future__ import annotations

from ..checksum import FACTOR, MODULUS, SPLIT
from ..members import HEAD, MEMBERS

_RANGES = {
    "PickStation": ("INT_TO_DINT(FirstStation)", "INT_TO_DINT(LastStation)"),
    "PlaceStation": ("INT_TO_DINT(FirstStation)", "INT_TO_DINT(LastStation)"),
    "FedByStep": ("0", "INT_TO_DINT(Table.LastStep)"),
    "FeedsStep": ("0", "INT_TO_DINT(Table.LastStep)"),
    "Boundaries": ("0", "INT_TO_DINT(Table.LastSlot)"),
    "LiftedIn": ("0", "INT_TO_DINT(Table.LastSlot)"),
}
"""Of the members that are used as an index; all others are 0 to LongestTime."""

_TEXT = """
IF Elapsed_ms < 0 THEN
    Passed := 0;
ELSIF Elapsed_ms > LongestTime THEN
    Passed := LongestTime;
ELSE
    Passed := Elapsed_ms;
END_IF;

(* 1. The table: all of it after a reset, then a step in each call. *)
Fresh := Reset OR NOT Begun;
IF Fresh THEN
    TableFault := 0;
    CheckRow := 0;
    CheckTo := Table.LastStep;
    IF Table.LastStep < 1 OR Table.LastStep > MaxStep
        OR Table.LastSlot < 0 OR Table.LastSlot > MaxSlot
        OR Table.ListSteps < 0 OR Table.ListSteps >= Table.LastStep
        OR Table.ListTime_ms < 0 OR Table.ListTime_ms > LongestTime
        OR Table.CycleTime_ms < 1 THEN
        TableFault := 1;
    ELSIF Table.CycleTime_ms
        > (LongestTime - Table.ListTime_ms) / (INT_TO_DINT(Table.LastSlot) + 1) THEN
        TableFault := 1;
    END_IF;
    KnownSteps := Table.LastStep;
    KnownSlots := Table.LastSlot;
    KnownCycle := Table.CycleTime_ms;
    KnownList := Table.ListSteps;
    KnownListTime := Table.ListTime_ms;
    KnownSum := Table.CheckSum;
ELSE
    CheckTo := CheckRow;
    IF Table.LastStep <> KnownSteps OR Table.LastSlot <> KnownSlots
        OR Table.CycleTime_ms <> KnownCycle OR Table.CheckSum <> KnownSum
        OR Table.ListSteps <> KnownList OR Table.ListTime_ms <> KnownListTime THEN
        TableFault := 4;
    END_IF;
END_IF;
IF TableFault = 0 THEN
    FOR RowNo := CheckRow TO CheckTo DO
        LastField := @fields;
        IF RowNo = 0 THEN
            Sum := 0;
            LastField := @head;
        END_IF;
        FOR FieldNo := 1 TO LastField DO
            Least := 0;
            Most := LongestTime;
            Value := 0;
            IF RowNo = 0 THEN
                CASE FieldNo OF
@head_cases
                END_CASE;
            ELSE
                CASE FieldNo OF
@cases
                END_CASE;
            END_IF;
            IF Value < Least OR Value > Most THEN
                TableFault := 2;
            ELSE
                Sum := (Sum * @factor + Value / @split) MOD @modulus;
                Sum := (Sum * @factor + Value MOD @split) MOD @modulus;
            END_IF;
        END_FOR;
    END_FOR;
    CheckRow := CheckTo + 1;
    IF CheckRow > Table.LastStep THEN
        CheckRow := 0;
        IF TableFault = 0 AND Sum <> Table.CheckSum THEN
            TableFault := 3;
        END_IF;
    END_IF;
END_IF;
"""


def checking() -> str:
    """The statements."""
    kinds = {"LastStep": "INT", "LastSlot": "INT", "ListSteps": "INT"}
    head = [
        f"{number}: Value := {_as_dint(f'Table.{name}', kinds.get(name, 'DINT'))};"
        for number, name in enumerate(HEAD, start=1)
    ]
    cases = []
    for number, member in enumerate(MEMBERS, start=1):
        place = f"Table.Steps[RowNo].{member.name}"
        if member.type == "BOOL":
            cases += [f"{number}: IF {place} THEN", "    Value := 1;", "END_IF;"]
        else:
            cases.append(f"{number}: Value := {_as_dint(place, member.type)};")
        if member.name in _RANGES:
            low, high = _RANGES[member.name]
            cases += [f"Least := {low};", f"Most := {high};"]
    text = _TEXT.replace("@head_cases", _indented(head)).replace("@cases", _indented(cases))
    for name, value in (
        ("fields", len(MEMBERS)),
        ("head", len(HEAD)),
        ("factor", FACTOR),
        ("split", SPLIT),
        ("modulus", MODULUS),
    ):
        text = text.replace(f"@{name}", str(value))
    return text.lstrip()


def _as_dint(place: str, kind: str) -> str:
    return f"INT_TO_DINT({place})" if kind == "INT" else place


def _indented(lines: list[str]) -> str:
    return "\n".join(" " * 16 + line for line in lines)
