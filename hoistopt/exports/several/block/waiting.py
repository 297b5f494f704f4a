"""What the motion waits for: the release signals of other hoists."""

WAITING = """
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
