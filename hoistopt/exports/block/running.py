"""What the block does while the line runs: age, clock, order of the steps, alarms, starts."""

RUNNING = """
(* 3. Carriers stand longer, whether the clock runs or not. *)
FOR RowNo := 1 TO Table.LastStep DO
    FOR SlotNo := 0 TO Table.LastSlot DO
        IF Standing[RowNo, SlotNo]
            AND NOT (Moving AND RowNo = DownRow AND SlotNo = DownSlot) THEN
            Age[RowNo, SlotNo] := Age[RowNo, SlotNo] + Passed;
            IF Age[RowNo, SlotNo] > LongestTime THEN
                Age[RowNo, SlotNo] := LongestTime;
            END_IF;
        END_IF;
    END_FOR;
END_FOR;

(* 4. The clock counts from the start of the next step's cycle, or of the list run once; it is *)
(* below 0 before that. *)
(* It stands while the line is empty and no load is about to be lifted. *)
LineEmpty := LoadsInLine = 0 AND NOT Moving;
IF NOT HoldClock AND NOT (LineEmpty AND NOT Committed) THEN
    Clock_ms := Clock_ms + Passed;
    IF Clock_ms > LongestTime THEN
        Clock_ms := LongestTime;
    END_IF;
    MoveClock := MoveClock + Passed;
    IF MoveClock > LongestTime THEN
        MoveClock := LongestTime;
    END_IF;
END_IF;
IF Drift THEN
    IF DriftFor < LongestTime THEN
        DriftFor := DriftFor + Passed;
    END_IF;
    Drift := DriftFor <= Table.CycleTime_ms;
END_IF;
IF Moving AND MovingFor < LongestTime THEN
    MovingFor := MovingFor + Passed;
END_IF;

(* 5. The hoist reports that the carrier is down. No step starts in the same call, so that *)
(* StartMove falls before it rises again. *)
JustDone := Moving AND MoveDone AND NOT DoneBefore;
IF JustDone THEN
    Moving := FALSE;
    IF Table.Steps[Moved].FeedsStep = 0 THEN
        LoadsInLine := LoadsInLine - 1;
    END_IF;
END_IF;
DoneBefore := MoveDone;
LineEmpty := LoadsInLine = 0 AND NOT Moving;

(* 6. On an empty line the next step is one for which a load is ready, and its time is now. *)
(* The loads of a list come in its order. *)
IF LineEmpty AND AdmitLoads AND NOT Committed THEN
    RowNo := Current;
    Wrapped := FALSE;
    FOR Count := 1 TO Table.LastStep DO
        IF NOT Committed THEN
            Pick := Table.Steps[RowNo].PickStation;
            IF Table.Steps[RowNo].FedByStep = 0
                AND LoadReleasedAt[Pick] = Table.Steps[RowNo].Recipe THEN
                Committed := TRUE;
                Current := RowNo;
                Clock_ms := Table.Steps[RowNo].PlannedStart_ms;
                IF NOT (HoistIdle AND HoistAt = Pick) THEN
                    Clock_ms := Clock_ms - Table.Steps[RowNo].Approach_ms;
                END_IF;
                IF Wrapped THEN
                    CycleNo := CycleNo + 1;
                    CurrentSlot := CurrentSlot + 1;
                    IF CurrentSlot > Table.LastSlot THEN
                        CurrentSlot := 0;
                    END_IF;
                END_IF;
            ELSIF Table.Steps[RowNo].FedByStep = 0 AND RowNo <= Table.ListSteps THEN
                EXIT;
            END_IF;
            RowNo := RowNo + 1;
            IF RowNo > Table.LastStep THEN
                RowNo := Table.ListSteps + 1;
                Wrapped := TRUE;
            END_IF;
        END_IF;
    END_FOR;
END_IF;

(* 7. Skip steps whose carrier is not there. Their time is kept, as the clock goes on. A new *)
(* load is taken if it is ready while the hoist can still be there by the latest start; a load *)
(* of the list, which has no next cycle, by the clock limit. *)
FOR Count := 1 TO Table.LastStep DO
    Feeder := Table.Steps[Current].FedByStep;
    Pick := Table.Steps[Current].PickStation;
    IF Feeder = 0 THEN
        CarrierMissing := FALSE;
        Deadline := Table.Steps[Current].LatestStart_ms;
        IF Current <= Table.ListSteps THEN
            Deadline := Table.Steps[Current].ClockLimit_ms;
        END_IF;
        InTime := Clock_ms <= Deadline;
        IF NOT Moving AND NOT JustDone AND NOT (HoistIdle AND HoistAt = Pick) THEN
            InTime := Clock_ms + Table.Steps[Current].Approach_ms <= Deadline;
        END_IF;
        Committed := (Committed OR InTime) AND AdmitLoads
            AND LoadReleasedAt[Pick] = Table.Steps[Current].Recipe;
        IF Committed AND Table.Steps[Current].AlarmLimited AND NOT LineEmpty
            AND Clock_ms > Table.Steps[Current].AlarmLimit_ms THEN
            Committed := FALSE;
        END_IF;
        Due := Committed;
        Skip := NOT Due AND NOT LineEmpty AND (NOT InTime OR NOT AdmitLoads);
    ELSE
        FedSlot := CurrentSlot - Table.Steps[Current].Boundaries;
        IF FedSlot < 0 THEN
            FedSlot := FedSlot + Table.LastSlot + 1;
        END_IF;
        IF CarrierMissing AND CarrierRemoved AND NOT RemovedBefore THEN
            Standing[Feeder, FedSlot] := FALSE;
            CarrierMissing := FALSE;
            LoadsInLine := LoadsInLine - 1;
            LineEmpty := LoadsInLine = 0 AND NOT Moving;
        END_IF;
        Due := Standing[Feeder, FedSlot];
        Skip := NOT Due;
    END_IF;
    IF NOT Skip OR (Clock_ms < 0 AND Current = Table.LastStep) THEN
        EXIT;
    END_IF;
    CarrierMissing := FALSE;
    Committed := FALSE;
    IF Feeder = 0 AND Current <= Table.ListSteps THEN
        ListMissed := ListMissed + 1;
    END_IF;
    IF Current = Table.ListSteps THEN
        Current := Current + 1;
        Clock_ms := Clock_ms - Table.ListTime_ms;
    ELSIF Current < Table.LastStep THEN
        Current := Current + 1;
    ELSE
        Current := Table.ListSteps + 1;
        CycleNo := CycleNo + 1;
        Clock_ms := Clock_ms - Table.CycleTime_ms;
        CurrentSlot := CurrentSlot + 1;
        IF CurrentSlot > Table.LastSlot THEN
            CurrentSlot := 0;
        END_IF;
    END_IF;
END_FOR;
RemovedBefore := CarrierRemoved;
LineEmpty := LoadsInLine = 0 AND NOT Moving;

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
            IF Table.Steps[RowNo].DwellLimited AND NOT OnItsWay AND (Count > 1 OR JustDone)
                AND Table.Steps[RowNo].MaxDwell_ms - Stood - Lift + Clock_ms < Reserve THEN
                Reserve := Table.Steps[RowNo].MaxDwell_ms - Stood - Lift + Clock_ms;
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

(* 9. Start the step when it is time and its wait condition is met. *)
Ready := FALSE;
CarrierMissing := FALSE;
PlaceBlocked := FALSE;
Late := FALSE;
IF Due AND Clock_ms >= Table.Steps[Current].PlannedStart_ms THEN
    Ready := Enable AND NOT Moving AND NOT JustDone
        AND HoistIdle AND HoistAt = Pick AND CarrierAt[Pick];
    IF Table.Steps[Current].WaitTargetEmpty
        AND NOT PlaceFreeAt[Table.Steps[Current].PlaceStation] THEN
        Ready := FALSE;
        PlaceBlocked := NOT Moving;
    END_IF;
    IF Feeder > 0 THEN
        IF Table.Steps[Current].WaitSourceDwell
            AND Age[Feeder, FedSlot] < Table.Steps[Current].MinDwell_ms THEN
            Ready := FALSE;
        END_IF;
        CarrierMissing := NOT Moving AND NOT CarrierAt[Pick];
    END_IF;
    Late := NOT Ready AND Clock_ms > Table.Steps[Current].LatestStart_ms;
END_IF;
NextStep := Current;
NextPick := Table.Steps[Current].PickStation;

(* 10. A late start, or end of a move, puts the clock back: as far as that hurts no load, and *)
(* so far in any case that no load set down from now on exceeds its maximum. *)
LateRow := Current;
Lateness := Clock_ms - Table.Steps[Current].PlannedStart_ms;
IF JustDone THEN
    LateRow := Moved;
    Lateness := MoveClock - Table.Steps[Moved].Move_ms;
END_IF;
IF (Ready OR JustDone) AND Lateness
    > Table.Steps[LateRow].ClockLimit_ms - Table.Steps[LateRow].PlannedStart_ms THEN
    Back := Lateness;
    IF Reserve < 0 THEN
        Reserve := 0;
    END_IF;
    IF Back > Reserve / 2 THEN
        Back := Reserve / 2;
    END_IF;
    IF Table.Steps[LateRow].LastingLimited THEN
        Allowed := Table.Steps[LateRow].LastingLimit_ms - Table.Steps[LateRow].PlannedStart_ms;
        IF Lateness - Back > Allowed THEN
            Back := Lateness - Allowed;
        END_IF;
    END_IF;
    IF Back > 0 THEN
        Clock_ms := Clock_ms - Back;
        Drift := TRUE;
        DriftFor := 0;
        IF LostTime_ms < LongestTime THEN
            LostTime_ms := LostTime_ms + Back;
        END_IF;
    END_IF;
END_IF;
IF Ready THEN
    (* What the list sets down for the cycle counts as set down by the step of the cycle that *)
    (* would have done so, in a cycle before the first. *)
    Moved := Current;
    DownRow := Current;
    DownSlot := CurrentSlot;
    NextRow := Table.Steps[Current].FeedsStep;
    IF Current <= Table.ListSteps AND NextRow > Table.ListSteps THEN
        IF Table.Steps[NextRow].FedByStep > 0 THEN
            DownRow := Table.Steps[NextRow].FedByStep;
            DownSlot := Table.Steps[Current].LiftedIn - Table.Steps[NextRow].Boundaries;
            IF DownSlot < 0 THEN
                DownSlot := DownSlot + Table.LastSlot + 1;
            END_IF;
        END_IF;
    END_IF;
    Moving := TRUE;
    MovingFor := 0;
    MoveClock := Clock_ms - Table.Steps[Current].PlannedStart_ms;
    StepNo := Current;
    PickStation := Pick;
    PlaceStation := Table.Steps[Current].PlaceStation;
    Drip_ms := Table.Steps[Current].Drip_ms;
    IF Feeder = 0 THEN
        LoadsInLine := LoadsInLine + 1;
    ELSE
        Standing[Feeder, FedSlot] := FALSE;
    END_IF;
    IF NextRow > 0 THEN
        Standing[DownRow, DownSlot] := TRUE;
        Age[DownRow, DownSlot] := 0;
    END_IF;
    Due := FALSE;
    Committed := FALSE;
    IF Current = Table.ListSteps THEN
        Current := Current + 1;
        Clock_ms := Clock_ms - Table.ListTime_ms;
    ELSIF Current < Table.LastStep THEN
        Current := Current + 1;
    ELSE
        Current := Table.ListSteps + 1;
        CycleNo := CycleNo + 1;
        Clock_ms := Clock_ms - Table.CycleTime_ms;
        CurrentSlot := CurrentSlot + 1;
        IF CurrentSlot > Table.LastSlot THEN
            CurrentSlot := 0;
        END_IF;
    END_IF;
END_IF;
StartMove := Enable AND Moving;
GoToPick := Enable AND Due AND NOT Moving AND NOT (HoistIdle AND HoistAt = Pick);
InList := Current <= Table.ListSteps;
RunOutDone := NOT AdmitLoads AND LineEmpty AND NOT Moving;
"""
