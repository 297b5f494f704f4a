"""The statements of the block of one of several hoists.

The same for every line and hoist; only the bounds of arrays differ. The block of the first hoist
is called first in every scan and does, once for all, what belongs to the line: time, the clock,
the ages of what stands in tanks.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..checksum import FACTOR, MODULUS, SPLIT
from ..members import Member
from .members import HEAD, MOTION, RELEASE

_LINE = """
(* 1. Once in every scan, in the block of the first hoist: time, clock and ages. *)
IF Table.Hoist = FirstHoist THEN
    Line.Passed_ms := Elapsed_ms;
    IF Elapsed_ms < 0 THEN
        Line.Passed_ms := 0;
    ELSIF Elapsed_ms > LongestTime THEN
        Line.Passed_ms := LongestTime;
    END_IF;
    Line.Fresh := Reset OR NOT Line.Begun;
    Line.Begun := TRUE;
    Line.Admit := AdmitLoads;
    Line.Step_ms := Line.Passed_ms;
    IF HoldClock THEN
        Line.Step_ms := 0;
    END_IF;
    FOR HoistNo := 1 TO LastHoist DO
        IF Line.Holding[HoistNo] THEN
            Line.Step_ms := 0;
        END_IF;
        Line.LeftFor_ms[HoistNo] := Line.LeftFor_ms[HoistNo] + Line.Passed_ms;
        IF Line.LeftFor_ms[HoistNo] > LongestTime THEN
            Line.LeftFor_ms[HoistNo] := LongestTime;
        END_IF;
        IF Line.Fresh THEN
            Line.Arrived[HoistNo] := 0;
            Line.Left[HoistNo] := 0;
            Line.Holding[HoistNo] := FALSE;
            Line.Reserve_ms[HoistNo] := LongestTime;
        END_IF;
    END_FOR;
    FOR RowNo := 1 TO MaxStep DO
        FOR SlotNo := 0 TO MaxSlot DO
            IF Line.Fresh THEN
                Line.Standing[RowNo, SlotNo] := FALSE;
            ELSIF Line.Standing[RowNo, SlotNo] THEN
                Line.Age[RowNo, SlotNo] := Line.Age[RowNo, SlotNo] + Line.Passed_ms;
                IF Line.Age[RowNo, SlotNo] > LongestTime THEN
                    Line.Age[RowNo, SlotNo] := LongestTime;
                END_IF;
            END_IF;
        END_FOR;
    END_FOR;
    IF Line.Back_ms > 0 THEN
        Line.Drift := TRUE;
        Line.DriftFor_ms := 0;
        Line.Step_ms := Line.Step_ms - Line.Back_ms;
        IF Line.LostTime_ms < LongestTime THEN
            Line.LostTime_ms := Line.LostTime_ms + Line.Back_ms;
        END_IF;
    ELSIF Line.Drift THEN
        Line.DriftFor_ms := Line.DriftFor_ms + Line.Passed_ms;
        Line.Drift := Line.DriftFor_ms <= Table.CycleTime_ms;
    END_IF;
    Line.Back_ms := 0;
    IF Line.Fresh THEN
        Line.LoadsInLine := 0;
        Line.LostTime_ms := 0;
        Line.Drift := FALSE;
    END_IF;
END_IF;
"""

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

_UNDER_WAY = """
(* 3. The clock of the next motion's cycle goes on as that of the line does. *)
Clock_ms := Clock_ms + Line.Step_ms;
IF Clock_ms > LongestTime THEN
    Clock_ms := LongestTime;
END_IF;
IF State > 0 AND MovingFor < LongestTime THEN
    MovingFor := MovingFor + Line.Passed_ms;
END_IF;

(* 4. The hoist leaves, arrives, and is done: signals for the others. *)
JustDone := FALSE;
IF State > 0 AND MayTravel AND NOT Gone AND HoistAt <> Table.Motions[Current].StartPlace THEN
    Gone := TRUE;
    Line.Left[Table.Hoist] := Line.Left[Table.Hoist] + 1;
    Line.LeftFor_ms[Table.Hoist] := 0;
END_IF;
IF Gone AND NOT Come AND HoistAt = Table.Motions[Current].EndPlace THEN
    Come := TRUE;
    Line.Arrived[Table.Hoist] := Line.Arrived[Table.Hoist] + 1;
END_IF;
IF State = 1 AND Come AND MoveDone AND NOT DoneBefore THEN
    JustDone := TRUE;
    IF Table.Motions[Current].FeedsStep = 0 THEN
        Line.LoadsInLine := Line.LoadsInLine - 1;
    ELSE
        Line.Standing[Table.Motions[Current].Step, Slot] := TRUE;
        Line.Age[Table.Motions[Current].Step, Slot] := 0;
    END_IF;
ELSIF State = 2 AND Come AND HoistIdle THEN
    JustDone := TRUE;
END_IF;
DoneBefore := MoveDone;
Lateness := Clock_ms - Table.Motions[Current].PlannedStart_ms - Table.Motions[Current].Lasts_ms;
Allowed := Table.Motions[Current].ClockLimit_ms - Table.Motions[Current].PlannedStart_ms;
Back := 0;
"""

_AHEAD = """
(* 5. Look ahead: the earliest time at which each load that this hoist lifts can be lifted. One *)
(* that cannot keep its maximum raises the alarm. What all can still stand longer, by plan, is *)
(* the reserve. *)
FOR StationNo := FirstStation TO LastStation DO
    DwellAt_ms[StationNo] := 0;
    OverstayAt[StationNo] := FALSE;
    AlarmStepAt[StationNo] := 0;
END_FOR;
Overstay := FALSE;
Alarm := FALSE;
AlarmStep := 0;
AlarmStation := 0;
Line.Reserve_ms[Table.Hoist] := LongestTime;
Earliest := Clock_ms;
IF State > 0 AND NOT JustDone AND Table.Motions[Current].Busy_ms > MovingFor THEN
    (* Without a load a move takes less, and so it is not counted. *)
    IF State = 1 OR Table.Motions[Current].Step = 0 THEN
        Earliest := Clock_ms + Table.Motions[Current].Busy_ms - MovingFor;
    END_IF;
END_IF;
RowNo := Current;
SlotNo := Slot;
Offset := 0;
FOR Count := 1 TO Table.LastMotion * (Table.LastSlot + 1) DO
    IF Table.Motions[RowNo].FedByStep > 0 THEN
        AheadSlot := SlotNo - Table.Motions[RowNo].Boundaries;
        IF AheadSlot < 0 THEN
            AheadSlot := AheadSlot + Table.LastSlot + 1;
        END_IF;
        IF Line.Standing[Table.Motions[RowNo].FedByStep, AheadSlot]
            AND (Count > 1 OR State = 0) THEN
            Lift := Offset + Table.Motions[RowNo].PlannedStart_ms;
            Stood := Line.Age[Table.Motions[RowNo].FedByStep, AheadSlot];
            StationNo := Table.Motions[RowNo].StartPlace;
            IF Stood > DwellAt_ms[StationNo] THEN
                DwellAt_ms[StationNo] := Stood;
            END_IF;
            IF Table.Motions[RowNo].DwellLimited
                AND Stood > Table.Motions[RowNo].MaxDwell_ms THEN
                OverstayAt[StationNo] := TRUE;
                Overstay := TRUE;
            END_IF;
            Room := Table.Motions[RowNo].MaxDwell_ms - Stood - Lift + Clock_ms;
            IF Table.Motions[RowNo].DwellLimited AND (Count > 1 OR JustDone)
                AND Room < Line.Reserve_ms[Table.Hoist] THEN
                Line.Reserve_ms[Table.Hoist] := Room;
            END_IF;
            IF Lift < Earliest THEN
                Lift := Earliest;
            END_IF;
            IF Table.Motions[RowNo].WaitSourceDwell
                AND Stood + Lift - Clock_ms < Table.Motions[RowNo].MinDwell_ms THEN
                Lift := Clock_ms + Table.Motions[RowNo].MinDwell_ms - Stood;
            END_IF;
            IF Table.Motions[RowNo].DwellLimited
                AND Stood + Lift - Clock_ms > Table.Motions[RowNo].MaxDwell_ms THEN
                IF AlarmStepAt[StationNo] = 0 THEN
                    AlarmStepAt[StationNo] := Table.Motions[RowNo].Step;
                END_IF;
                IF NOT Alarm THEN
                    Alarm := TRUE;
                    AlarmStep := Table.Motions[RowNo].Step;
                    AlarmStation := StationNo;
                END_IF;
            END_IF;
            IF Lift < LongestTime THEN
                Earliest := Lift + Table.Motions[RowNo].Busy_ms;
            END_IF;
        END_IF;
    END_IF;
    RowNo := RowNo + 1;
    IF RowNo > Table.LastMotion THEN
        RowNo := 1;
        Offset := Offset + Table.CycleTime_ms;
        SlotNo := SlotNo + 1;
        IF SlotNo > Table.LastSlot THEN
            SlotNo := 0;
        END_IF;
    END_IF;
END_FOR;
Reserve := LongestTime;
FOR HoistNo := 1 TO LastHoist DO
    IF Line.Reserve_ms[HoistNo] < Reserve THEN
        Reserve := Line.Reserve_ms[HoistNo];
    END_IF;
END_FOR;
IF Reserve < 0 THEN
    Reserve := 0;
END_IF;

(* 6. A move that has ended late puts the clock back, as far as that hurts no load; and so far *)
(* in any case that no load set down later exceeds its maximum. *)
IF JustDone AND State = 1 AND Lateness > Allowed THEN
    Back := Lateness;
    IF Back > Reserve THEN
        Back := Reserve;
    END_IF;
    IF Table.Motions[Current].LastingLimited THEN
        Allowed := Table.Motions[Current].LastingLimit_ms
            - Table.Motions[Current].PlannedStart_ms;
        IF Lateness - Back > Allowed THEN
            Back := Lateness - Allowed;
        END_IF;
    END_IF;
END_IF;
IF JustDone THEN
    State := 0;
    Gone := FALSE;
    Come := FALSE;
    MayTravel := FALSE;
    IF Current < Table.LastMotion THEN
        Current := Current + 1;
    ELSE
        Current := 1;
        CycleNo := CycleNo + 1;
        Clock_ms := Clock_ms - Table.CycleTime_ms;
        Slot := Slot + 1;
        IF Slot > Table.LastSlot THEN
            Slot := 0;
        END_IF;
    END_IF;
END_IF;
"""

_RELEASES = """
(* 7. What the motion still waits for. Those it waits for on its way are listed the nearest *)
(* first. *)
LiftFree := TRUE;
WayFree := TRUE;
MustStop := FALSE;
WaitsFor := 0;
FOR ItemNo := 1 TO Table.LastRelease DO
    IF Table.Releases[ItemNo].Motion = Current THEN
        HoistNo := Table.Releases[ItemNo].Hoist;
        Needed := (CycleNo - INT_TO_DINT(Table.Releases[ItemNo].CyclesBefore))
            * INT_TO_DINT(Table.Releases[ItemNo].HoistMotions)
            + INT_TO_DINT(Table.Releases[ItemNo].HoistMotion);
        Met := Line.Arrived[HoistNo] >= Needed;
        IF Table.Releases[ItemNo].Follow AND Line.Left[HoistNo] >= Needed
            AND Line.LeftFor_ms[HoistNo] >= Table.Releases[ItemNo].LeftFor_ms THEN
            Met := TRUE;
        END_IF;
        IF NOT Met THEN
            IF Table.Releases[ItemNo].Before = 1 THEN
                LiftFree := FALSE;
                WaitsFor := HoistNo;
            ELSIF Table.Releases[ItemNo].Before = 2 THEN
                WayFree := FALSE;
                WaitsFor := HoistNo;
            ELSIF NOT MustStop THEN
                MustStop := TRUE;
                StopAt := Table.Releases[ItemNo].StopAt;
                IF WaitsFor = 0 THEN
                    WaitsFor := HoistNo;
                END_IF;
            END_IF;
        END_IF;
    END_IF;
END_FOR;
"""

_STARTING = """
(* 8. Start the motion when it is time and nothing keeps it. *)
Ready := FALSE;
CarrierMissing := FALSE;
PlaceBlocked := FALSE;
Late := FALSE;
Has := FALSE;
Line.Holding[Table.Hoist] := FALSE;
Here := State = 0 AND NOT JustDone AND HoistIdle
    AND HoistAt = Table.Motions[Current].StartPlace;
OutOfPlace := State = 0 AND HoistIdle AND HoistAt <> Table.Motions[Current].StartPlace;
Feeder := Table.Motions[Current].FedByStep;
FedSlot := Slot - Table.Motions[Current].Boundaries;
IF FedSlot < 0 THEN
    FedSlot := FedSlot + Table.LastSlot + 1;
END_IF;
IF State = 0 AND Clock_ms >= Table.Motions[Current].PlannedStart_ms THEN
    StationNo := Table.Motions[Current].StartPlace;
    IF Table.Motions[Current].Step = 0 THEN
        Ready := Here AND Enable AND LiftFree AND WayFree;
    ELSIF Here THEN
        IF Feeder = 0 THEN
            Has := Line.Admit AND LoadReleasedAt[StationNo] = Table.Motions[Current].Recipe;
            IF Table.Motions[Current].AlarmLimited AND Line.LoadsInLine > 0
                AND Clock_ms > Table.Motions[Current].AlarmLimit_ms THEN
                Has := FALSE;
            END_IF;
        ELSE
            Has := Line.Standing[Feeder, FedSlot];
            IF Has AND NOT CarrierAt[StationNo] THEN
                CarrierMissing := TRUE;
                IF CarrierRemoved AND NOT RemovedBefore THEN
                    CarrierMissing := FALSE;
                    Has := FALSE;
                    Line.Standing[Feeder, FedSlot] := FALSE;
                    Line.LoadsInLine := Line.LoadsInLine - 1;
                END_IF;
            END_IF;
        END_IF;
        IF Has THEN
            Ready := Enable AND LiftFree AND CarrierAt[StationNo];
            IF Table.Motions[Current].WaitTargetEmpty
                AND NOT PlaceFreeAt[Table.Motions[Current].EndPlace] THEN
                Ready := FALSE;
                PlaceBlocked := TRUE;
            END_IF;
            IF Feeder > 0 AND Table.Motions[Current].WaitSourceDwell THEN
                IF Line.Age[Feeder, FedSlot] < Table.Motions[Current].MinDwell_ms THEN
                    Ready := FALSE;
                END_IF;
            END_IF;
        ELSE
            (* Without a load the hoist goes the same way when it would leave. On an empty *)
            (* line the clock waits for a load. *)
            IF Feeder = 0 AND Line.LoadsInLine = 0 THEN
                Line.Holding[Table.Hoist] := TRUE;
                FOR RowNo := FirstStation TO LastStation DO
                    IF Line.Admit AND LoadReleasedAt[RowNo] > 0 THEN
                        Line.Holding[Table.Hoist] := FALSE;
                    END_IF;
                END_FOR;
            END_IF;
            Ready := Enable AND LiftFree AND WayFree AND NOT Line.Holding[Table.Hoist]
                AND Clock_ms >= Table.Motions[Current].PlannedLeave_ms;
            IF Feeder = 0 AND Line.Admit
                AND Clock_ms <= Table.Motions[Current].LatestStart_ms THEN
                Ready := FALSE;
            END_IF;
        END_IF;
    END_IF;
    Late := NOT Ready AND Clock_ms > Table.Motions[Current].LatestStart_ms
        AND NOT Line.Holding[Table.Hoist];
END_IF;
RemovedBefore := CarrierRemoved;
IF Ready THEN
    Lateness := Clock_ms - Table.Motions[Current].PlannedStart_ms;
    IF Table.Motions[Current].Step > 0 AND NOT Has THEN
        Lateness := Clock_ms - Table.Motions[Current].PlannedLeave_ms;
    END_IF;
    Allowed := Table.Motions[Current].ClockLimit_ms - Table.Motions[Current].PlannedStart_ms;
    IF Lateness > Allowed THEN
        Back := Lateness;
        IF Back > Reserve / 2 THEN
            Back := Reserve / 2;
        END_IF;
        IF Table.Motions[Current].LastingLimited THEN
            Allowed := Table.Motions[Current].LastingLimit_ms
                - Table.Motions[Current].PlannedStart_ms;
            IF Lateness - Back > Allowed THEN
                Back := Lateness - Allowed;
            END_IF;
        END_IF;
    END_IF;
    State := 2;
    MovingFor := 0;
    IF Has THEN
        State := 1;
        IF Feeder = 0 THEN
            Line.LoadsInLine := Line.LoadsInLine + 1;
        ELSE
            Line.Standing[Feeder, FedSlot] := FALSE;
        END_IF;
    END_IF;
END_IF;
IF Back > Line.Back_ms THEN
    Line.Back_ms := Back;
END_IF;
IF State > 0 AND LiftFree AND WayFree THEN
    MayTravel := TRUE;
END_IF;
MotionNo := Current;
StepNo := Table.Motions[Current].Step;
StartPlace := Table.Motions[Current].StartPlace;
EndPlace := Table.Motions[Current].EndPlace;
Drip_ms := Table.Motions[Current].Drip_ms;
StartMove := Enable AND State = 1;
GoTo := Enable AND State = 2;
Waits := WaitsFor > 0 AND (State > 0 OR Clock_ms >= Table.Motions[Current].PlannedStart_ms);
LoadsInLine := Line.LoadsInLine;
Drift := Line.Drift;
LostTime_ms := Line.LostTime_ms;
RunOutDone := NOT Line.Admit AND Line.LoadsInLine = 0;
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


def body() -> str:
    """The statements of a hoist's block, without its declarations."""
    parts = (_LINE, _checked(), _UNDER_WAY, _AHEAD, _RELEASES, _STARTING)
    return "\n\n".join(part.strip() for part in parts) + "\n"


def _checked() -> str:
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
