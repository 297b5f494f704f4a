"""How the block starts a motion, and what it tells."""

STARTING = """
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
    IF Table.CycleTime_ms = 0 AND Table.Motions[Current].Step > 0 AND Feeder = 0 AND NOT Has THEN
        ListMissed := ListMissed + 1;
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
IF State > 0 AND State < 3 AND LiftFree AND WayFree THEN
    MayTravel := TRUE;
END_IF;
MotionNo := Current;
StepNo := Table.Motions[Current].Step;
StartPlace := Table.Motions[Current].StartPlace;
EndPlace := Table.Motions[Current].EndPlace;
Drip_ms := Table.Motions[Current].Drip_ms;
StartMove := Enable AND State = 1;
GoTo := Enable AND State = 2;
Waits := WaitsFor > 0 AND State < 3
    AND (State > 0 OR Clock_ms >= Table.Motions[Current].PlannedStart_ms);
LoadsInLine := Line.LoadsInLine;
Drift := Line.Drift;
LostTime_ms := Line.LostTime_ms;
RunOutDone := NOT Line.Admit AND Line.LoadsInLine = 0;
"""
