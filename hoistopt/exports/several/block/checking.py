"""How the block begins afresh and checks its table: every number in range, and the sum."""

from __future__ import annotations

from collections.abc import Sequence

from ...checksum import FACTOR, MODULUS, SPLIT
from ...members import Member
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
    TableFault := 0;
    Sum := 0;
    IF Table.Hoist < FirstHoist OR Table.Hoist > LastHoist
        OR Table.LastMotion < 1 OR Table.LastMotion > MaxMotion
        OR Table.LastRelease < 0 OR Table.LastRelease > MaxRelease
        OR Table.LastStep < 1 OR Table.LastStep > MaxStep
        OR Table.LastSlot < 0 OR Table.LastSlot > MaxSlot
        OR Table.CycleTime_ms < 1 THEN
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
                IF Value < Least OR Value > Most THEN
                    TableFault := 2;
                ELSE
                    Sum := (Sum * @factor + Value / @split) MOD @modulus;
                    Sum := (Sum * @factor + Value MOD @split) MOD @modulus;
                END_IF;
            END_FOR;
        END_FOR;
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

_RANGES = {
    "Step": ("0", "INT_TO_DINT(Table.LastStep)"),
    "FedByStep": ("0", "INT_TO_DINT(Table.LastStep)"),
    "FeedsStep": ("0", "INT_TO_DINT(Table.LastStep)"),
    "Boundaries": ("0", "INT_TO_DINT(Table.LastSlot)"),
    "Motion": ("1", "INT_TO_DINT(Table.LastMotion)"),
    "Hoist": ("1", "INT_TO_DINT(LastHoist)"),
    "Before": ("1", "3"),
}
"""Of the members that are used as an index; all others are 0 to LongestTime."""
_STATION = ("INT_TO_DINT(FirstStation)", "INT_TO_DINT(LastStation)")
_DINTS = ("CycleTime_ms",)


def checking() -> str:
    """The statements, with a case for each member of the table."""
    head = [
        f"{number}: Value := {_as_dint(f'Table.{name}', 'DINT' if name in _DINTS else 'INT')};"
        for number, name in enumerate(HEAD, start=1)
    ]
    text = _TABLE
    for name, lines in (
        ("head", head),
        ("motion", _cases("Table.Motions[RowNo]", MOTION)),
        ("release", _cases("Table.Releases[ItemNo]", RELEASE)),
    ):
        text = text.replace(f"@{name}_cases", "\n".join(" " * 20 + line for line in lines))
    for name, value in (
        ("motion_fields", len(MOTION)),
        ("head_fields", len(HEAD)),
        ("release_fields", len(RELEASE)),
        ("factor", FACTOR),
        ("split", SPLIT),
        ("modulus", MODULUS),
    ):
        text = text.replace(f"@{name}", str(value))
    return text


def _cases(place: str, members: Sequence[Member]) -> list[str]:
    found = []
    for number, member in enumerate(members, start=1):
        whole = f"{place}.{member.name}"
        if member.type == "BOOL":
            found += [f"{number}: IF {whole} THEN", "    Value := 1;", "END_IF;"]
            continue
        found.append(f"{number}: Value := {_as_dint(whole, member.type)};")
        if member.name in ("StartPlace", "EndPlace"):
            # Of an empty travel any place will do: it is no index.
            found += [
                "IF Table.Motions[RowNo].Step > 0 THEN",
                f"    Least := {_STATION[0]};",
                f"    Most := {_STATION[1]};",
                "END_IF;",
            ]
        elif member.name in _RANGES:
            low, high = _RANGES[member.name]
            found += [f"Least := {low};", f"Most := {high};"]
    return found


def _as_dint(place: str, kind: str) -> str:
    return f"INT_TO_DINT({place})" if kind == "INT" else place
