"""How the block finds its place in the cycle from loads that stand in the tanks.

A preset is a list of what stands where and for how long. The block tries every step as the next
one, a step in each call, and gives each load to the step of its station, recipe and stage that
lifts it with the least harm; of two loads that are alike the older one is lifted sooner. The
cycle then begins so late that no load is lifted before its minimum dwell: a step that waits for
one would delay the steps after it, and loads set down later would stand too long. The block
begins with the step for which all loads together exceed their maxima least, and of those with
the one for which it waits least.

A table with a list run once begins with the list. The preset is then what the list begins with:
each step of it that is fed by itself lifts the oldest load of its station, recipe and stage, and
the list begins so late that none is lifted before its minimum dwell.
"""

PRESET = """
IF Presetting AND PresetLag < LongestTime THEN
    PresetLag := PresetLag + Passed;
END_IF;
IF Presetting AND Table.ListSteps > 0 THEN
    PresetDelay := 0;
    FOR LoadNo := 1 TO PresetLoads DO
        PresetDone[LoadNo] := FALSE;
    END_FOR;
    FOR RowNo := 1 TO Table.ListSteps DO
        Oldest := 0;
        IF Table.Steps[RowNo].FedByStep = RowNo THEN
            FOR LoadNo := 1 TO PresetLoads DO
                IF NOT PresetDone[LoadNo]
                    AND Table.Steps[RowNo].PickStation = PresetStation[LoadNo]
                    AND Table.Steps[RowNo].Recipe = PresetRecipe[LoadNo]
                    AND Table.Steps[RowNo].Stage = PresetStage[LoadNo] THEN
                    IF Oldest = 0 THEN
                        Oldest := LoadNo;
                    ELSIF PresetAge_ms[LoadNo] > PresetAge_ms[Oldest] THEN
                        Oldest := LoadNo;
                    END_IF;
                END_IF;
            END_FOR;
        END_IF;
        IF Oldest > 0 THEN
            PresetDone[Oldest] := TRUE;
            Standing[RowNo, Table.LastSlot] := TRUE;
            Age[RowNo, Table.LastSlot] := PresetAge_ms[Oldest] + PresetLag;
            @at_most_longest Age[RowNo, Table.LastSlot]
            Value := Table.Steps[RowNo].MinDwell_ms - PresetAge_ms[Oldest]
                - Table.Steps[RowNo].PlannedStart_ms;
            IF Value > PresetDelay THEN
                PresetDelay := Value;
            END_IF;
        END_IF;
    END_FOR;
    FOR LoadNo := 1 TO PresetLoads DO
        IF PresetFault = 0 AND NOT PresetDone[LoadNo] THEN
            PresetFault := 3;
            PresetEntry := LoadNo;
        END_IF;
    END_FOR;
    IF PresetFault = 0 THEN
        Clock_ms := PresetLag - PresetDelay;
        LoadsInLine := PresetLoads;
        Presetting := FALSE;
        PresetOk := TRUE;
    END_IF;
    RETURN;
END_IF;

IF Presetting THEN
    PresetTry := PresetTry + 1;
    Candidate := PresetTry;
    IF PresetTry > Table.LastStep THEN
        Candidate := PresetBest;
    END_IF;
    FOR RowNo := 1 TO Table.LastStep DO
        FOR SlotNo := 0 TO Table.LastSlot DO
            Standing[RowNo, SlotNo] := FALSE;
        END_FOR;
    END_FOR;
    Harm := 0;
    PresetDelay := 0;
    Failed := FALSE;
    FOR LoadNo := 1 TO PresetLoads DO
        Known := FALSE;
        BestRow := 0;
        BestSlot := 0;
        BestHarm := LongestTime;
        BestWait := LongestTime;
        FOR RowNo := 1 TO Table.LastStep DO
            Feeder := Table.Steps[RowNo].FedByStep;
            IF Feeder > 0 AND Table.Steps[RowNo].PickStation = PresetStation[LoadNo]
                AND Table.Steps[RowNo].Recipe = PresetRecipe[LoadNo]
                AND Table.Steps[RowNo].Stage = PresetStage[LoadNo] THEN
                Known := TRUE;
                (* Lifted so many cycles from now: set down already, and not yet lifted. *)
                FOR SlotNo := 0 TO Table.Steps[RowNo].Boundaries DO
                    FedSlot := SlotNo - Table.Steps[RowNo].Boundaries;
                    Fitting := SlotNo > 0 OR RowNo >= Candidate;
                    IF FedSlot = 0 AND Feeder >= Candidate THEN
                        Fitting := FALSE;
                    END_IF;
                    IF FedSlot < 0 THEN
                        FedSlot := FedSlot + Table.LastSlot + 1;
                    END_IF;
                    IF Fitting AND NOT Standing[Feeder, FedSlot] THEN
                        Lift := INT_TO_DINT(SlotNo) * Table.CycleTime_ms
                            + Table.Steps[RowNo].PlannedStart_ms
                            - Table.Steps[Candidate].PlannedStart_ms
                            + Table.Steps[Candidate].Approach_ms;
                        Value := PresetAge_ms[LoadNo] + Lift;
                        Most := 0;
                        IF Value < Table.Steps[RowNo].MinDwell_ms THEN
                            Most := Table.Steps[RowNo].MinDwell_ms - Value;
                        END_IF;
                        IF Table.Steps[RowNo].DwellLimited
                            AND Value > Table.Steps[RowNo].MaxDwell_ms THEN
                            Most := Value - Table.Steps[RowNo].MaxDwell_ms;
                        END_IF;
                        IF Most < BestHarm OR (Most = BestHarm AND Lift < BestWait) THEN
                            BestRow := Feeder;
                            BestSlot := FedSlot;
                            BestHarm := Most;
                            BestWait := Lift;
                        END_IF;
                    END_IF;
                END_FOR;
            END_IF;
        END_FOR;
        IF BestRow > 0 THEN
            Standing[BestRow, BestSlot] := TRUE;
            PresetRow[LoadNo] := BestRow;
            PresetSlot[LoadNo] := BestSlot;
            PresetLift[LoadNo] := BestWait;
            PresetDone[LoadNo] := FALSE;
        ELSIF NOT Failed THEN
            Failed := TRUE;
            (* What is told in the end: the first load without a place where most have one. *)
            IF LoadNo > FailedEntry THEN
                FailedEntry := LoadNo;
                FailedFault := 3;
                IF NOT Known THEN
                    FailedFault := 2;
                END_IF;
            END_IF;
        END_IF;
    END_FOR;
    IF NOT Failed THEN
        (* Of loads of one kind the oldest is lifted first. The cycle begins so late that none *)
        (* stands too short; some may then stand too long. *)
        FOR Count := 1 TO PresetLoads DO
            Oldest := 0;
            FOR LoadNo := 1 TO PresetLoads DO
                IF NOT PresetDone[LoadNo] THEN
                    IF Oldest = 0 THEN
                        Oldest := LoadNo;
                    ELSIF PresetAge_ms[LoadNo] > PresetAge_ms[Oldest] THEN
                        Oldest := LoadNo;
                    END_IF;
                END_IF;
            END_FOR;
            Soonest := Oldest;
            FOR LoadNo := 1 TO PresetLoads DO
                IF NOT PresetDone[LoadNo] AND PresetLift[LoadNo] < PresetLift[Soonest]
                    AND PresetStation[LoadNo] = PresetStation[Oldest]
                    AND PresetRecipe[LoadNo] = PresetRecipe[Oldest]
                    AND PresetStage[LoadNo] = PresetStage[Oldest] THEN
                    Soonest := LoadNo;
                END_IF;
            END_FOR;
            BestRow := PresetRow[Soonest];
            BestSlot := PresetSlot[Soonest];
            BestWait := PresetLift[Soonest];
            PresetRow[Soonest] := PresetRow[Oldest];
            PresetSlot[Soonest] := PresetSlot[Oldest];
            PresetLift[Soonest] := PresetLift[Oldest];
            PresetRow[Oldest] := BestRow;
            PresetLift[Oldest] := BestWait;
            PresetDone[Oldest] := TRUE;
            Age[BestRow, BestSlot] := PresetAge_ms[Oldest];
            Value := Table.Steps[Table.Steps[BestRow].FeedsStep].MinDwell_ms
                - PresetAge_ms[Oldest] - BestWait;
            IF Value > PresetDelay THEN
                PresetDelay := Value;
            END_IF;
        END_FOR;
        FOR LoadNo := 1 TO PresetLoads DO
            RowNo := Table.Steps[PresetRow[LoadNo]].FeedsStep;
            Value := PresetAge_ms[LoadNo] + PresetLift[LoadNo] + PresetDelay
                - Table.Steps[RowNo].MaxDwell_ms;
            IF Table.Steps[RowNo].DwellLimited AND Value > 0 AND Harm < LongestTime THEN
                Harm := Harm + Value;
            END_IF;
        END_FOR;
    END_IF;
    IF PresetTry <= Table.LastStep THEN
        IF NOT Failed AND (PresetBest = 0 OR Harm < LeastHarm
            OR (Harm = LeastHarm AND PresetDelay < LeastDelay)) THEN
            LeastHarm := Harm;
            LeastDelay := PresetDelay;
            PresetBest := PresetTry;
        END_IF;
        IF PresetTry = Table.LastStep AND PresetBest = 0 THEN
            PresetFault := FailedFault;
            PresetEntry := FailedEntry;
        END_IF;
        RETURN;
    END_IF;
    FOR RowNo := 1 TO Table.LastStep DO
        FOR SlotNo := 0 TO Table.LastSlot DO
            IF Standing[RowNo, SlotNo] THEN
                Age[RowNo, SlotNo] := Age[RowNo, SlotNo] + PresetLag;
                @at_most_longest Age[RowNo, SlotNo]
            END_IF;
        END_FOR;
    END_FOR;
    Current := Candidate;
    Clock_ms := Table.Steps[Candidate].PlannedStart_ms - Table.Steps[Candidate].Approach_ms;
    IF PresetDelay > PresetLag THEN
        Clock_ms := Clock_ms - PresetDelay + PresetLag;
    END_IF;
    LoadsInLine := PresetLoads;
    Presetting := FALSE;
    PresetOk := TRUE;
    RETURN;
END_IF;
"""
