"""How the block starts a step when it is time, and puts the clock back for what is late."""

STARTING = """
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
    IF SinceLift[Table.Steps[Current].PlaceStation] < Table.Steps[Current].PlaceRest_ms THEN
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
(* so far in any case that no load set down from now on exceeds its maximum: unless it was as *)
(* late in the two cycles before. The hoist is slower then, and makes them late alike. *)
LateRow := Current;
Lateness := Clock_ms - Table.Steps[Current].PlannedStart_ms;
Known := Lateness <= StartUsual[Current];
IF JustDone THEN
    LateRow := Moved;
    Lateness := MoveClock - Table.Steps[Moved].Move_ms;
    Known := Lateness <= EndUsual[Moved];
    EndUsual[Moved] := Lateness;
    IF EndLate[Moved] < Lateness THEN
        EndUsual[Moved] := EndLate[Moved];
    END_IF;
    EndLate[Moved] := Lateness;
END_IF;
IF Ready THEN
    StartUsual[Current] := Lateness;
    IF StartLate[Current] < Lateness THEN
        StartUsual[Current] := StartLate[Current];
    END_IF;
    StartLate[Current] := Lateness;
END_IF;
IF (Ready OR JustDone) AND Lateness
    > Table.Steps[LateRow].ClockLimit_ms - Table.Steps[LateRow].PlannedStart_ms THEN
    Back := Lateness;
    IF Reserve < 0 THEN
        Reserve := 0;
    END_IF;
    IF Spare < 0 THEN
        Spare := 0;
    END_IF;
    IF NOT JustDone THEN
        Spare := Spare / 2;
    END_IF;
    IF Back > Spare THEN
        Back := Spare;
    END_IF;
    IF Table.Steps[LateRow].LastingLimited THEN
        Allowed := Table.Steps[LateRow].LastingLimit_ms - Table.Steps[LateRow].PlannedStart_ms;
        IF Lateness - Back > Allowed THEN
            Back := Lateness - Allowed;
            IF Known AND Back > Reserve THEN
                Back := Reserve;
            END_IF;
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
    SinceLift[Pick] := 0;
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
    @advance
END_IF;
StartMove := Enable AND Moving;
GoToPick := Enable AND Due AND NOT Moving AND NOT (HoistIdle AND HoistAt = Pick);
InList := Current <= Table.ListSteps;
RunOutDone := NOT AdmitLoads AND LineEmpty AND NOT Moving;
"""
