"""How the block begins afresh and checks its table: every number in range, and the sum."""

from __future__ import annotations

from ...block.fields import between, filled_in, head_cases, row_cases
from ..members import HEAD, MOTION, RELEASE

_TABLE = """
(* 2. Begin afresh, and check the table: every number in range, and the check sum. *)
IF Line.Fresh THEN
    Current := 1;
    Slot := 0;
    CycleNo := 0;
    Clock_ms := 0;
    State := 0;
    Gone := FALSE;
    Come := FALSE;
    DoneBefore := MoveDone;
    RemovedBefore := CarrierRemoved;
    StartMove := FALSE;
    GoTo := FALSE;
    MayTravel := FALSE;
    MustStop := FALSE;
    ListDone := FALSE;
    ListMissed := 0;
    TableFault := 0;
    Sum := 0;
    IF Table.Hoist < FirstHoist OR Table.Hoist > LastHoist
        OR Table.LastMotion < 1 OR Table.LastMotion > MaxMotion
        OR Table.LastRelease < 0 OR Table.LastRelease > MaxRelease
        OR Table.LastStep < 1 OR Table.LastStep > MaxStep
        OR Table.LastSlot < 0 OR Table.LastSlot > MaxSlot
        OR Table.CycleTime_ms < 0 THEN
        TableFault := 1;
    ELSIF Table.CycleTime_ms > LongestTime / (INT_TO_DINT(Table.LastSlot) + 2) THEN
        TableFault := 1;
    ELSE
        FOR RowNo := 0 TO Table.LastMotion + Table.LastRelease DO
            ItemNo := RowNo - Table.LastMotion;
            LastField := @motion_fields;
            IF RowNo = 0 THEN
                LastField := @head_fields;
            ELSIF ItemNo > 0 THEN
                LastField := @release_fields;
            END_IF;
            FOR FieldNo := 1 TO LastField DO
                Least := 0;
                Most := LongestTime;
                Value := 0;
                IF RowNo = 0 THEN
                    CASE FieldNo OF
                    @head_cases
                    END_CASE;
                ELSIF ItemNo < 1 THEN
                    CASE FieldNo OF
                    @motion_cases
                    END_CASE;
                ELSE
                    CASE FieldNo OF
                    @release_cases
                    END_CASE;
                END_IF;
                @summed
            END_FOR;
        END_FOR;
        (* Of a list that is run once the sum goes on: its motions, and that nothing follows. *)
        IF Table.CycleTime_ms = 0 THEN
            FOR RowNo := 0 TO Table.LastMotion + 1 DO
                Least := 0;
                Most := LongestTime;
                Value := 0;
                IF RowNo = 0 THEN
                    Value := INT_TO_DINT(Table.LastMotion);
                END_IF;
                @summed
            END_FOR;
        END_IF;
        IF TableFault = 0 AND Sum <> Table.CheckSum THEN
            TableFault := 3;
        END_IF;
    END_IF;
    KnownSum := Table.CheckSum;
    KnownMotions := Table.LastMotion;
    KnownReleases := Table.LastRelease;
    KnownCycle := Table.CycleTime_ms;
ELSIF Table.CheckSum <> KnownSum OR Table.LastMotion <> KnownMotions
    OR Table.LastRelease <> KnownReleases OR Table.CycleTime_ms <> KnownCycle THEN
    TableFault := 4;
END_IF;
IF Line.Fresh OR TableFault <> 0 THEN
    StartMove := FALSE;
    GoTo := FALSE;
    MayTravel := FALSE;
    RETURN;
END_IF;
"""

_STEPS = between("0", "INT_TO_DINT(Table.LastStep)")
_STATION = [
    # Of an empty travel any place will do: it is no index.
    "IF Table.Motions[RowNo].Step > 0 THEN",
    "    Least := INT_TO_DINT(FirstStation);",
    "    Most := INT_TO_DINT(LastStation);",
    "END_IF;",
]
_RANGES = {
    "StartPlace": _STATION,
    "EndPlace": _STATION,
    "Step": _STEPS,
    "FedByStep": _STEPS,
    "FeedsStep": _STEPS,
    "Boundaries": between("0", "INT_TO_DINT(Table.LastSlot)"),
    "Motion": between("1", "INT_TO_DINT(Table.LastMotion)"),
    "Hoist": between("1", "INT_TO_DINT(LastHoist)"),
    "Before": between("1", "3"),
}
"""Of the members that are used as an index; all others are 0 to LongestTime."""


def checking() -> str:
    """The statements, with a case for each member of the table."""
    parts = {
        "head_cases": head_cases(HEAD, ("CycleTime_ms",)),
        "motion_cases": row_cases("Table.Motions[RowNo]", MOTION, _RANGES),
        "release_cases": row_cases("Table.Releases[ItemNo]", RELEASE, _RANGES),
    }
    counts = {
        "motion_fields": len(MOTION), "head_fields": len(HEAD), "release_fields": len(RELEASE),
    }  # fmt: skip
    return filled_in(_TABLE, parts, counts)
