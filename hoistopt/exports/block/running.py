"""What the block does while the line runs: ageing, the clock, the order of the steps."""

RUNNING = """
(* 3. Carriers stand longer, and places are empty longer, whether the clock runs or not. *)
FOR RowNo := 1 TO Table.LastStep DO
    FOR SlotNo := 0 TO Table.LastSlot DO
        IF Standing[RowNo, SlotNo]
            AND NOT (Moving AND RowNo = DownRow AND SlotNo = DownSlot) THEN
            Age[RowNo, SlotNo] := Age[RowNo, SlotNo] + Passed;
            @at_most_longest Age[RowNo, SlotNo]
        END_IF;
    END_FOR;
END_FOR;
FOR StationNo := FirstStation TO LastStation DO
    SinceLift[StationNo] := SinceLift[StationNo] + Passed;
    @at_most_longest SinceLift[StationNo]
END_FOR;

(* 4. The clock counts from the start of the next step's cycle, or of the list run once; it is *)
(* below 0 before that. *)
(* It stands while the line is empty and no load is about to be lifted. *)
LineEmpty := LoadsInLine = 0 AND NOT Moving;
IF NOT HoldClock AND NOT (LineEmpty AND NOT Committed) THEN
    Clock_ms := Clock_ms + Passed;
    @at_most_longest Clock_ms
    MoveClock := MoveClock + Passed;
    @at_most_longest MoveClock
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
    @advance
END_FOR;
RemovedBefore := CarrierRemoved;
LineEmpty := LoadsInLine = 0 AND NOT Moving;
"""
