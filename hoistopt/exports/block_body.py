"""What the function block does, once per call: the sequencer in structured text.

``@Name`` stands for a time: of the table where it follows a step, else a variable of the
block. Everything inside the block is in ms, or in TIME.
"""

from __future__ import annotations

import re

from .st_types import Dialect

_BODY = """
IF Reset THEN
    FOR RowNo := 1 TO LastStep DO
        FOR SlotNo := 0 TO LastSlot DO
            Standing[RowNo, SlotNo] := FALSE;
            Age[RowNo, SlotNo] := @zero;
        END_FOR;
    END_FOR;
    Current := 1;
    CurrentSlot := 0;
    CycleNo := 0;
    @Clock := @zero;
    Ahead := FALSE;
    Blocked := FALSE;
    Moving := FALSE;
    FreeFor := LongestAge;
    DoneBefore := MoveDone;
    RemovedBefore := CarrierRemoved;
    LoadsInLine := 0;
    GoToPick := FALSE;
    StartMove := FALSE;
    Late := FALSE;
    Alarm := FALSE;
    Overstay := FALSE;
    CarrierMissing := FALSE;
    RunOutDone := FALSE;
    RETURN;
END_IF;

(* 1. Carriers stand longer, whether the clock runs or not. *)
Overstay := FALSE;
FOR RowNo := 1 TO LastStep DO
    NextRow := Steps[RowNo].FeedsStep;
    IF NextRow > 0 THEN
        FOR SlotNo := 0 TO LastSlot DO
            IF Standing[RowNo, SlotNo]
                AND NOT (Moving AND RowNo = Moved AND SlotNo = MovedSlot) THEN
                IF Age[RowNo, SlotNo] < LongestAge THEN
                    Age[RowNo, SlotNo] := Age[RowNo, SlotNo] + @Elapsed;
                END_IF;
                IF Steps[NextRow].DwellLimited
                    AND Age[RowNo, SlotNo] > Steps[NextRow].@GreatestDwell THEN
                    Overstay := TRUE;
                END_IF;
            END_IF;
        END_FOR;
    END_IF;
END_FOR;

(* 2. The clock counts from the start of the next step's cycle, or of the one before it. *)
(* It stands while there is an alarm, so that the plan moves with the line. *)
IF Enable AND NOT Alarm AND @Clock < LongestAge THEN
    @Clock := @Clock + @Elapsed;
END_IF;
IF Ahead AND @Clock >= @CycleTime THEN
    @Clock := @Clock - @CycleTime;
    Ahead := FALSE;
END_IF;
IF NOT Moving AND FreeFor < LongestAge THEN
    FreeFor := FreeFor + @Elapsed;
END_IF;

(* 3. The hoist reports that the carrier is down. No step starts in the same call, so that *)
(* StartMove falls before it rises again. *)
JustDone := Moving AND MoveDone AND NOT DoneBefore;
IF JustDone THEN
    Moving := FALSE;
    StartMove := FALSE;
    FreeFor := @zero;
    IF Steps[Moved].FeedsStep = 0 THEN
        LoadsInLine := LoadsInLine - 1;
    END_IF;
END_IF;
DoneBefore := MoveDone;

(* 4. Skip steps whose carrier is not there. Their time is kept, as the clock goes on. *)
FOR RowNo := 1 TO LastStep DO
    Feeder := Steps[Current].FedByStep;
    Pick := Steps[Current].PickStation;
    IF Feeder = 0 THEN
        Due := AdmitLoads AND LoadReleasedAt[Pick] = Steps[Current].Recipe;
        Skip := NOT Due AND NOT Ahead AND @Clock >= Steps[Current].@LatestStart;
        IF NOT AdmitLoads AND LoadsInLine > 0 THEN
            Skip := TRUE;
        END_IF;
    ELSE
        FedSlot := CurrentSlot - Steps[Current].Boundaries;
        IF FedSlot < 0 THEN
            FedSlot := FedSlot + LastSlot + 1;
        END_IF;
        IF CarrierMissing AND CarrierRemoved AND NOT RemovedBefore THEN
            Standing[Feeder, FedSlot] := FALSE;
            CarrierMissing := FALSE;
            LoadsInLine := LoadsInLine - 1;
        END_IF;
        Due := Standing[Feeder, FedSlot];
        Skip := NOT Due;
    END_IF;
    IF NOT Skip OR (Ahead AND Current = LastStep) THEN
        EXIT;
    END_IF;
    CarrierMissing := FALSE;
    IF Current < LastStep THEN
        Current := Current + 1;
    ELSE
        Current := 1;
        CycleNo := CycleNo + 1;
        Ahead := TRUE;
        CurrentSlot := CurrentSlot + 1;
        IF CurrentSlot > LastSlot THEN
            CurrentSlot := 0;
        END_IF;
    END_IF;
END_FOR;
RemovedBefore := CarrierRemoved;

(* 5. Start the step when it is time and its wait condition is met. *)
Ready := FALSE;
Blocked := FALSE;
CarrierMissing := FALSE;
Late := FALSE;
Alarm := FALSE;
IF Due AND NOT Ahead AND @Clock >= Steps[Current].@PlannedStart THEN
    Ready := Enable AND NOT Moving AND NOT JustDone
        AND HoistIdle AND HoistAt = Pick AND CarrierAt[Pick];
    IF Steps[Current].WaitTargetEmpty AND NOT PlaceFreeAt[Steps[Current].PlaceStation] THEN
        Ready := FALSE;
    END_IF;
    IF Steps[Current].WaitSourceDwell THEN
        IF Age[Feeder, FedSlot] < Steps[Current].@LeastDwell THEN
            Ready := FALSE;
        END_IF;
    END_IF;
    IF NOT Ready THEN
        Blocked := TRUE;
        CarrierMissing := Feeder > 0 AND NOT Moving AND NOT CarrierAt[Pick];
        Late := @Clock > Steps[Current].@LatestStart;
        IF Steps[Current].AlarmLimited THEN
            (* Not for what it is late only because the hoist, or its carrier, came late. *)
            Margin := Steps[Current].@AlarmLimit
                - Steps[Current].@PlannedStart;
            Alarm := NOT Moving AND NOT JustDone AND FreeFor >= Margin
                AND @Clock >= Steps[Current].@AlarmLimit;
            IF Steps[Current].WaitSourceDwell THEN
                IF Age[Feeder, FedSlot]
                    < Steps[Current].@LeastDwell + Margin THEN
                    Alarm := FALSE;
                END_IF;
            END_IF;
        END_IF;
    END_IF;
END_IF;
NextPick := Pick;
IF Ready THEN
    Moved := Current;
    MovedSlot := CurrentSlot;
    Moving := TRUE;
    StartMove := TRUE;
    StepNo := Current;
    PickStation := Pick;
    PlaceStation := Steps[Current].PlaceStation;
    @DripOut := Steps[Current].@Drip;
    IF Feeder = 0 THEN
        LoadsInLine := LoadsInLine + 1;
    ELSE
        Standing[Feeder, FedSlot] := FALSE;
    END_IF;
    IF Steps[Current].FeedsStep > 0 THEN
        Standing[Moved, MovedSlot] := TRUE;
        Age[Moved, MovedSlot] := @zero;
    END_IF;
    Due := FALSE;
    IF Current < LastStep THEN
        Current := Current + 1;
    ELSE
        Current := 1;
        CycleNo := CycleNo + 1;
        Ahead := TRUE;
        CurrentSlot := CurrentSlot + 1;
        IF CurrentSlot > LastSlot THEN
            CurrentSlot := 0;
        END_IF;
    END_IF;
END_IF;
GoToPick := Due AND NOT Moving AND NOT (HoistIdle AND HoistAt = Pick);
RunOutDone := NOT AdmitLoads AND LoadsInLine = 0 AND NOT Moving;
"""


def body(dialect: Dialect) -> str:
    """The statements of the function block, without its declarations."""
    text = re.sub(
        r"(Steps\[\w+\])\.@(\w+)", lambda found: _of_step(dialect, *found.groups()), _BODY
    )
    text = text.replace("@zero", dialect.zero)
    text = text.replace("@CycleTime", _in_ms(dialect, f"CycleTime{dialect.suffix}"))
    text = text.replace("@DripOut", f"Drip{clock_suffix(dialect)}")
    text = re.sub(r"@(\w+)", lambda found: found[1] + clock_suffix(dialect), text)
    return text.strip() + "\n"


def clock_suffix(dialect: Dialect) -> str:
    """What ends the names of times that are inputs or outputs of the block."""
    return "" if dialect.literal else "_ms"


def scaled(dialect: Dialect) -> bool:
    """Whether the table's unit is another than that of the block's clock."""
    return not dialect.literal and dialect.table.unit.milliseconds != 1


def _of_step(dialect: Dialect, step: str, name: str) -> str:
    return _in_ms(dialect, f"{step}.{name}{dialect.suffix}")


def _in_ms(dialect: Dialect, time: str) -> str:
    return f"{time} * MsPerUnit" if scaled(dialect) else time
