"""How the blocks begin with loads in the line: where each hoist goes on, and what stands where.

The operator says which step of the cycle comes next, and of every load the step that lifts it and
for how long it has stood. The first block copies that, and then all blocks go through phases;
each begins when all of them agreed in one scan:

2. The hoist of the step says when it is planned.
3. Each hoist goes, motion by motion, to the first that is planned no earlier, or to the one that
   the operator says is its next, as after a stop in which some were late.
4. Each hoist goes back over motions whose release signals would not have come, until none is
   left. What is left made is all that it waited for, so it is a state that the hoists can be in
   anyway when some are late: none is too close to another, and none waits for ever (`releases`).
   Where the operator said it of a hoist, that is a fault, and nothing begins.
5. The hoist that lifts a load finds the cycle in which it was set down; of one step the oldest
   load is lifted first.
6. All hoists must stand where they go on. Meanwhile the blocks work out the time at which the
   clock begins: no motion is late, and no load is lifted before its minimum dwell.
7. The clocks are set. From the next scan on all is as ever.

A list that is run once begins with its first motions: phases 3 and 4 leave all where they are.
"""

from __future__ import annotations

from ...block.fields import filled_in
from .ahead import NEXT_ROW

COPYING = """
    (* What is told of loads in the line counts from the reset on. *)
    Line.PresetOk := Line.PresetOk AND NOT Line.Fresh;
    IF Line.Fresh THEN
        Line.Phase := 0;
        Line.PresetFault := 0;
        Line.PresetEntry := 0;
        IF Preset THEN
            Line.Phase := 1;
            Line.Agreed := LastHoist - FirstHoist + 1;
            Line.NextStep := NextStep;
            Line.Loads := PresetLoads;
            IF PresetLoads < 0 OR PresetLoads > MaxStep THEN
                Line.PresetFault := 1;
                Line.Loads := 0;
            ELSIF NextStep < 1 OR NextStep > Table.LastStep THEN
                Line.PresetFault := 7;
            END_IF;
            FOR LoadNo := 1 TO Line.Loads DO
                Line.LoadStep[LoadNo] := PresetStep[LoadNo];
                Line.LoadAge_ms[LoadNo] := PresetAge_ms[LoadNo];
                Line.Placed[LoadNo] := FALSE;
                IF Line.PresetFault = 0 THEN
                    Line.PresetEntry := LoadNo;
                    IF PresetStep[LoadNo] < 1 OR PresetStep[LoadNo] > Table.LastStep THEN
                        Line.PresetFault := 2;
                    ELSIF PresetAge_ms[LoadNo] < 0 OR PresetAge_ms[LoadNo] > LongestTime THEN
                        Line.PresetFault := 4;
                    END_IF;
                END_IF;
            END_FOR;
            IF Line.PresetFault = 0 OR Line.PresetFault = 7 THEN
                Line.PresetEntry := 0;
            END_IF;
            FOR StationNo := FirstStation TO LastStation DO
                Line.Named[StationNo] := FALSE;
            END_FOR;
        END_IF;
    ELSIF Line.Phase > 0 THEN
        FOR LoadNo := 1 TO Line.Loads DO
            IF Line.LoadAge_ms[LoadNo] <= LongestTime - Line.Passed_ms THEN
                Line.LoadAge_ms[LoadNo] := Line.LoadAge_ms[LoadNo] + Line.Passed_ms;
            END_IF;
        END_FOR;
        IF Line.PresetFault = 0 AND Line.Agreed = LastHoist - FirstHoist + 1 THEN
            Line.Phase := Line.Phase + 1;
            IF Line.Phase > 7 THEN
                Line.Phase := 0;
            END_IF;
            Line.PresetOk := Line.Phase = 7 OR Line.Phase = 0;
        END_IF;
        Line.Agreed := 0;
        IF Line.Phase = 6 THEN
            Line.BeginAt_ms := LongestTime;
        END_IF;
    END_IF;
"""

_PRESET = """
(* 2a. Begin with loads in the line, in phases; nothing moves before all blocks agree. *)
PresetOk := Line.PresetOk;
PresetFault := Line.PresetFault;
PresetEntry := Line.PresetEntry;
IF PresetFault <> 0 THEN
    RETURN;
END_IF;
IF Line.Phase > 0 THEN
    Offset := CycleNo * Table.CycleTime_ms;
    GoOn := FALSE;
    GoBack := FALSE;
    IF Line.Phase = 2 THEN
        FOR RowNo := 1 TO Table.LastMotion DO
            IF Table.Motions[RowNo].Step = Line.NextStep THEN
                Line.BeginAt_ms := Table.Motions[RowNo].PlannedStart_ms;
            END_IF;
        END_FOR;
    ELSIF Table.CycleTime_ms = 0 AND (Line.Phase = 3 OR Line.Phase = 4) THEN
        (* A list begins with its first motions. *)
        IF NextMotion <> 0 THEN
            Line.PresetFault := 8;
            Line.PresetEntry := Table.Hoist;
        END_IF;
    ELSIF Line.Phase = 3 THEN
        GoOn := Table.Motions[Current].PlannedStart_ms + Offset < Line.BeginAt_ms;
        IF NextMotion <> 0 THEN
            IF NextMotion < 1 OR NextMotion > Table.LastMotion OR CyclesAhead + 9 < 0
                OR CyclesAhead > 9 THEN
                Line.PresetFault := 8;
                Line.PresetEntry := Table.Hoist;
            ELSE
                Needed := CycleNo - INT_TO_DINT(CyclesAhead);
                GoOn := Needed < 0 OR (Needed = 0 AND Current < NextMotion);
                GoBack := Needed > 0 OR (Needed = 0 AND Current > NextMotion);
            END_IF;
        ELSIF Current > 1 THEN
            GoBack := Table.Motions[Current - 1].PlannedStart_ms + Offset >= Line.BeginAt_ms;
        ELSE
            GoBack := Table.Motions[Table.LastMotion].PlannedStart_ms + Offset
                - Table.CycleTime_ms >= Line.BeginAt_ms;
        END_IF;
    ELSIF Line.Phase = 4 THEN
        FOR ItemNo := 1 TO Table.LastRelease DO
            Needed := CycleNo - INT_TO_DINT(Table.Releases[ItemNo].CyclesBefore);
            IF Table.Releases[ItemNo].Motion >= Current THEN
                Needed := Needed - 1;
            END_IF;
            Needed := Needed * INT_TO_DINT(Table.Releases[ItemNo].HoistMotions)
                + INT_TO_DINT(Table.Releases[ItemNo].HoistMotion);
            IF Line.Arrived[Table.Releases[ItemNo].Hoist] < Needed THEN
                GoBack := TRUE;
            END_IF;
        END_FOR;
        IF GoBack AND NextMotion <> 0 THEN
            GoBack := FALSE;
            IF Line.PresetFault = 0 THEN
                Line.PresetFault := 8;
                Line.PresetEntry := Table.Hoist;
            END_IF;
        END_IF;
    ELSIF Line.Phase = 5 THEN
        FOR RowNo := 1 TO Table.LastMotion DO
            IF Table.Motions[RowNo].Step > 0 THEN
                StationNo := Table.Motions[RowNo].StartPlace;
                Feeder := Table.Motions[RowNo].FedByStep;
                SlotNo := Slot;
                Due := 0;
                Lift := Table.Motions[RowNo].PlannedStart_ms + Offset;
                IF Feeder > 0 THEN
                    Due := Line.NextCycle[Feeder] - CycleNo
                        + INT_TO_DINT(Table.Motions[RowNo].Boundaries);
                ELSE
                    Line.Named[StationNo] := TRUE;
                END_IF;
                IF RowNo < Current THEN
                    Due := Due - 1;
                    SlotNo := SlotNo + 1;
                    Lift := Lift + Table.CycleTime_ms;
                END_IF;
                SlotNo := SlotNo - Table.Motions[RowNo].Boundaries;
                IF SlotNo < 0 THEN
                    SlotNo := SlotNo + Table.LastSlot + 1;
                END_IF;
                Spare := Due;
                FOR LoadNo := 1 TO Line.Loads DO
                    IF Line.LoadStep[LoadNo] = Table.Motions[RowNo].Step THEN
                        Spare := Spare - 1;
                    END_IF;
                END_FOR;
                Oldest := 1;
                FOR Count := 1 TO Line.Loads DO
                    IF Oldest > 0 THEN
                        Oldest := 0;
                        FOR LoadNo := 1 TO Line.Loads DO
                            IF Line.LoadStep[LoadNo] = Table.Motions[RowNo].Step
                                AND NOT Line.Placed[LoadNo] THEN
                                IF Oldest = 0 THEN
                                    Oldest := LoadNo;
                                ELSIF Line.LoadAge_ms[LoadNo] > Line.LoadAge_ms[Oldest] THEN
                                    Oldest := LoadNo;
                                END_IF;
                            END_IF;
                        END_FOR;
                        IF Oldest > 0 THEN
                            (* Where fewer stand than can: one too young is lifted later. *)
                            FOR AheadSlot := 1 TO Table.LastSlot DO
                                IF Spare > 0 AND Line.LoadAge_ms[Oldest] + Lift - Line.BeginAt_ms
                                    < Table.Motions[RowNo].MinDwell_ms THEN
                                    Spare := Spare - 1;
                                    @next_cycle
                                END_IF;
                            END_FOR;
                            Line.Placed[Oldest] := TRUE;
                            Line.Named[StationNo] := TRUE;
                            IF Line.PresetFault = 0 THEN
                                Line.PresetEntry := Oldest;
                                IF Feeder = 0 THEN
                                    Line.PresetFault := 2;
                                ELSIF Due < 1 THEN
                                    Line.PresetFault := 3;
                                ELSIF NOT CarrierAt[StationNo] THEN
                                    Line.PresetFault := 5;
                                ELSE
                                    Line.PresetEntry := 0;
                                    Line.Standing[Feeder, SlotNo] := TRUE;
                                    Line.Age[Feeder, SlotNo] := Line.LoadAge_ms[Oldest];
                                    Line.LoadsInLine := Line.LoadsInLine + 1;
                                    @next_cycle
                                END_IF;
                            END_IF;
                        END_IF;
                    END_IF;
                END_FOR;
            END_IF;
        END_FOR;
    ELSIF Line.Phase = 6 THEN
        Lift := Table.Motions[Current].PlannedStart_ms + Offset;
        IF Lift < Line.BeginAt_ms THEN
            Line.BeginAt_ms := Lift;
        END_IF;
        RowNo := Current;
        SlotNo := Slot;
        FOR Count := 1 TO Table.LastMotion * (Table.LastSlot + 1) DO
            Feeder := Table.Motions[RowNo].FedByStep;
            IF Feeder > 0
                AND (Table.CycleTime_ms > 0 OR Count <= Table.LastMotion) THEN
                IF CarrierAt[Table.Motions[RowNo].StartPlace]
                    AND NOT Line.Named[Table.Motions[RowNo].StartPlace] THEN
                    Line.PresetFault := 6;
                END_IF;
                AheadSlot := SlotNo - Table.Motions[RowNo].Boundaries;
                IF AheadSlot < 0 THEN
                    AheadSlot := AheadSlot + Table.LastSlot + 1;
                END_IF;
                Lift := Table.Motions[RowNo].PlannedStart_ms + Offset
                    + Line.Age[Feeder, AheadSlot] - Table.Motions[RowNo].MinDwell_ms;
                IF Line.Standing[Feeder, AheadSlot] AND Lift < Line.BeginAt_ms THEN
                    Line.BeginAt_ms := Lift;
                END_IF;
            END_IF;
            @next_row
        END_FOR;
    ELSIF Line.Phase = 7 THEN
        Clock_ms := Line.BeginAt_ms - Offset;
    END_IF;
    IF GoOn THEN
        Current := Current + 1;
        IF Current > Table.LastMotion THEN
            Current := 1;
            CycleNo := CycleNo + 1;
            Slot := Slot + 1;
            IF Slot > Table.LastSlot THEN
                Slot := 0;
            END_IF;
        END_IF;
    ELSIF GoBack THEN
        Current := Current - 1;
        IF Current < 1 THEN
            Current := Table.LastMotion;
            CycleNo := CycleNo - 1;
            Slot := Slot - 1;
            IF Slot < 0 THEN
                Slot := Table.LastSlot;
            END_IF;
        END_IF;
    END_IF;
    Line.Arrived[Table.Hoist] := CycleNo * INT_TO_DINT(Table.LastMotion)
        + INT_TO_DINT(Current) - 1;
    Line.Left[Table.Hoist] := Line.Arrived[Table.Hoist];
    FOR RowNo := 1 TO Table.LastMotion DO
        StepNo := Table.Motions[RowNo].Step;
        IF StepNo > 0 THEN
            Line.NextCycle[StepNo] := CycleNo;
            IF RowNo < Current THEN
                Line.NextCycle[StepNo] := CycleNo + 1;
            END_IF;
        END_IF;
    END_FOR;
    MotionNo := Current;
    StepNo := Table.Motions[Current].Step;
    StartPlace := Table.Motions[Current].StartPlace;
    EndPlace := Table.Motions[Current].EndPlace;
    OutOfPlace := NOT HoistIdle OR HoistAt <> StartPlace;
    IF NOT GoOn AND NOT GoBack AND (Line.Phase <> 6 OR NOT OutOfPlace) THEN
        Line.Agreed := Line.Agreed + 1;
    END_IF;
    DoneBefore := MoveDone;
    RemovedBefore := CarrierRemoved;
    LoadsInLine := Line.LoadsInLine;
    RETURN;
END_IF;
"""

_NEXT_CYCLE = """\
Due := Due - 1;
Lift := Lift + Table.CycleTime_ms;
SlotNo := SlotNo + 1;
IF SlotNo > Table.LastSlot THEN
    SlotNo := 0;
END_IF;"""
"""To the load that is lifted a cycle later."""


def preset() -> str:
    """The statements of every block."""
    parts = {"next_cycle": _NEXT_CYCLE.splitlines(), "next_row": NEXT_ROW.splitlines()}
    return filled_in(_PRESET, parts, {})
