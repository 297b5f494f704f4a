"""How the block looks ahead: which loads can no longer keep their maxima, and what others can bear.

No load is lifted before its planned time, nor before the hoist has made all moves until then,
each in its least time; what exceeds its maximum all the same is certain.
"""

AHEAD = """
(* 8. Look ahead: the earliest time at which each load can be lifted. One that cannot keep its *)
(* maximum raises the alarm. What all others can still stand longer, by plan, is the reserve. *)
FOR StationNo := FirstStation TO LastStation DO
    DwellAt_ms[StationNo] := 0;
    OverstayAt[StationNo] := FALSE;
    AlarmStepAt[StationNo] := 0;
END_FOR;
Overstay := FALSE;
Alarm := FALSE;
AlarmStep := 0;
AlarmStation := 0;
Reserve := LongestTime;
Spare := LongestTime;
Earliest := Clock_ms;
IF Moving AND Table.Steps[Moved].Busy_ms > MovingFor THEN
    Earliest := Clock_ms + Table.Steps[Moved].Busy_ms - MovingFor;
END_IF;
RowNo := Current;
SlotNo := CurrentSlot;
Offset := 0;
Rounds := (Table.LastStep - Table.ListSteps) * (Table.LastSlot + 1);
IF Current <= Table.ListSteps THEN
    Rounds := Rounds + Table.ListSteps + 1 - Current;
END_IF;
FOR Count := 1 TO Rounds DO
    NextRow := Table.Steps[RowNo].FedByStep;
    IF NextRow > 0 THEN
        AheadSlot := SlotNo - Table.Steps[RowNo].Boundaries;
        IF AheadSlot < 0 THEN
            AheadSlot := AheadSlot + Table.LastSlot + 1;
        END_IF;
        IF Standing[NextRow, AheadSlot] THEN
            Lift := Offset + Table.Steps[RowNo].PlannedStart_ms;
            Stood := Age[NextRow, AheadSlot];
            OnItsWay := Moving AND NextRow = DownRow AND AheadSlot = DownSlot;
            StationNo := Table.Steps[RowNo].PickStation;
            IF NOT OnItsWay AND Stood > DwellAt_ms[StationNo] THEN
                DwellAt_ms[StationNo] := Stood;
            END_IF;
            IF Table.Steps[RowNo].DwellLimited AND NOT OnItsWay
                AND Stood > Table.Steps[RowNo].MaxDwell_ms THEN
                OverstayAt[StationNo] := TRUE;
                Overstay := TRUE;
            END_IF;
            (* What it can stand longer: the step that lifts it may be as late as before, *)
            (* and the hoist as late for it as before after the step before. *)
            Room := Table.Steps[RowNo].MaxDwell_ms - Stood - Lift + Clock_ms - StartUsual[RowNo];
            IF Table.Steps[RowNo].DwellLimited AND NOT OnItsWay AND (Count > 1 OR JustDone) THEN
                IF Room < Reserve THEN
                    Reserve := Room;
                END_IF;
                NextRow := RowNo - 1;
                IF NextRow = Table.ListSteps THEN
                    NextRow := Table.LastStep;
                END_IF;
                IF EndUsual[NextRow] > StartUsual[RowNo] THEN
                    Room := Room + StartUsual[RowNo] - EndUsual[NextRow];
                END_IF;
                IF Room < Spare THEN
                    Spare := Room;
                END_IF;
            END_IF;
            IF Lift < Earliest THEN
                Lift := Earliest;
            END_IF;
            IF Table.Steps[RowNo].WaitSourceDwell AND NOT OnItsWay
                AND Stood + Lift - Clock_ms < Table.Steps[RowNo].MinDwell_ms THEN
                Lift := Clock_ms + Table.Steps[RowNo].MinDwell_ms - Stood;
            END_IF;
            IF Table.Steps[RowNo].DwellLimited AND NOT OnItsWay
                AND Stood + Lift - Clock_ms > Table.Steps[RowNo].MaxDwell_ms THEN
                IF AlarmStepAt[StationNo] = 0 THEN
                    AlarmStepAt[StationNo] := RowNo;
                END_IF;
                IF NOT Alarm THEN
                    Alarm := TRUE;
                    AlarmStep := RowNo;
                    AlarmStation := StationNo;
                END_IF;
            END_IF;
            IF Lift < LongestTime THEN
                Earliest := Lift + Table.Steps[RowNo].Busy_ms;
            END_IF;
        END_IF;
    END_IF;
    IF RowNo = Table.ListSteps THEN
        Offset := Offset + Table.ListTime_ms;
    END_IF;
    RowNo := RowNo + 1;
    IF RowNo > Table.LastStep THEN
        RowNo := Table.ListSteps + 1;
        Offset := Offset + Table.CycleTime_ms;
        SlotNo := SlotNo + 1;
        IF SlotNo > Table.LastSlot THEN
            SlotNo := 0;
        END_IF;
    END_IF;
END_FOR;
"""
