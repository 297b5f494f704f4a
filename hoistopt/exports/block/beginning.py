"""How the block begins afresh: nothing is left of before, and a preset is looked at for sense.

What begins with a preset comes in the calls after: see `preset`.
"""

BEGINNING = """
(* 2. Begin afresh: with an empty line, or with what the preset says. *)
IF Fresh THEN
    Begun := TRUE;
    FOR RowNo := 1 TO MaxStep DO
        StartLate[RowNo] := 0;
        EndLate[RowNo] := 0;
        StartUsual[RowNo] := 0;
        EndUsual[RowNo] := 0;
        FOR SlotNo := 0 TO MaxSlot DO
            Standing[RowNo, SlotNo] := FALSE;
            Age[RowNo, SlotNo] := 0;
        END_FOR;
    END_FOR;
    FOR StationNo := FirstStation TO LastStation DO
        DwellAt_ms[StationNo] := 0;
        OverstayAt[StationNo] := FALSE;
        AlarmStepAt[StationNo] := 0;
        SinceLift[StationNo] := LongestTime;
    END_FOR;
    Current := 1;
    CurrentSlot := 0;
    CycleNo := 0;
    Clock_ms := 0;
    Committed := FALSE;
    Due := FALSE;
    Moving := FALSE;
    MovingFor := 0;
    MoveClock := 0;
    Moved := 1;
    DownRow := 1;
    DownSlot := 0;
    JustDone := FALSE;
    DoneBefore := MoveDone;
    RemovedBefore := CarrierRemoved;
    LoadsInLine := 0;
    LostTime_ms := 0;
    DriftFor := 0;
    StartMove := FALSE;
    GoToPick := FALSE;
    Late := FALSE;
    Drift := FALSE;
    Alarm := FALSE;
    AlarmStep := 0;
    AlarmStation := 0;
    Overstay := FALSE;
    CarrierMissing := FALSE;
    PlaceBlocked := FALSE;
    RunOutDone := FALSE;
    InList := FALSE;
    ListMissed := 0;
    PresetOk := FALSE;
    PresetFault := 0;
    PresetEntry := 0;
    Presetting := Preset AND TableFault = 0;
    PresetTry := 0;
    PresetBest := 0;
    LeastHarm := LongestTime;
    LeastDelay := LongestTime;
    FailedFault := 0;
    FailedEntry := 0;
    PresetLag := 0;
    IF Presetting AND (PresetLoads < 1 OR PresetLoads > MaxStep) THEN
        PresetFault := 1;
    END_IF;
    IF Presetting AND PresetFault = 0 THEN
        FOR LoadNo := 1 TO PresetLoads DO
            IF PresetFault = 0 THEN
                PresetEntry := LoadNo;
                IF PresetStation[LoadNo] < FirstStation
                    OR PresetStation[LoadNo] > LastStation THEN
                    PresetFault := 2;
                ELSIF PresetAge_ms[LoadNo] < 0 OR PresetAge_ms[LoadNo] > LongestTime THEN
                    PresetFault := 4;
                ELSIF NOT CarrierAt[PresetStation[LoadNo]] THEN
                    PresetFault := 5;
                END_IF;
            END_IF;
        END_FOR;
    END_IF;
    (* A carrier in a tank that the preset does not name. *)
    IF Presetting AND PresetFault = 0 THEN
        PresetEntry := 0;
        FOR RowNo := 1 TO Table.LastStep DO
            StationNo := Table.Steps[RowNo].PickStation;
            IF Table.Steps[RowNo].FedByStep > 0 AND CarrierAt[StationNo] THEN
                Known := FALSE;
                FOR LoadNo := 1 TO PresetLoads DO
                    IF PresetStation[LoadNo] = StationNo THEN
                        Known := TRUE;
                    END_IF;
                END_FOR;
                FOR NextRow := 1 TO Table.LastStep DO
                    IF Table.Steps[NextRow].FedByStep = 0
                        AND Table.Steps[NextRow].PickStation = StationNo THEN
                        Known := TRUE;
                    END_IF;
                END_FOR;
                IF NOT Known THEN
                    PresetFault := 6;
                END_IF;
            END_IF;
        END_FOR;
    END_IF;
    RETURN;
END_IF;
IF TableFault <> 0 OR PresetFault <> 0 THEN
    StartMove := FALSE;
    GoToPick := FALSE;
    RETURN;
END_IF;
"""
