"""The block checks its table: every number in range, and the check sum."""

from __future__ import annotations

from ..members import HEAD, MEMBERS
from .fields import between, filled_in, head_cases, row_cases

_RANGES = {
    "PickStation": between("INT_TO_DINT(FirstStation)", "INT_TO_DINT(LastStation)"),
    "PlaceStation": between("INT_TO_DINT(FirstStation)", "INT_TO_DINT(LastStation)"),
    "FedByStep": between("0", "INT_TO_DINT(Table.LastStep)"),
    "FeedsStep": between("0", "INT_TO_DINT(Table.LastStep)"),
    "Boundaries": between("0", "INT_TO_DINT(Table.LastSlot)"),
    "LiftedIn": between("0", "INT_TO_DINT(Table.LastSlot)"),
}
"""Of the members that are used as an index; all others are 0 to LongestTime."""
_LONG = ("CycleTime_ms", "ListTime_ms")

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
            @summed
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
    parts = {
        "head_cases": head_cases(HEAD, _LONG),
        "cases": row_cases("Table.Steps[RowNo]", MEMBERS, _RANGES),
    }
    return filled_in(_TEXT, parts, {"fields": len(MEMBERS), "head": len(HEAD)}).lstrip()
