"""What the block sees ahead: loads that cannot keep their maximum, and the reserve of time."""

from ...block.fields import filled_in

NEXT_ROW = """\
RowNo := RowNo + 1;
IF RowNo > Table.LastMotion THEN
    RowNo := 1;
    Offset := Offset + Table.CycleTime_ms;
    SlotNo := SlotNo + 1;
    IF SlotNo > Table.LastSlot THEN
        SlotNo := 0;
    END_IF;
END_IF;"""
"""On to the motion after, in the next cycle once all of this one's are seen."""

_AHEAD = """
(* 5. Look ahead: the earliest time at which each load that this hoist lifts can be lifted. One *)
(* that cannot keep its maximum raises the alarm. What all can still stand longer, by plan, is *)
(* the reserve; this hoist itself leaves out the load that it is about to lift. *)
FOR StationNo := FirstStation TO LastStation DO
    DwellAt_ms[StationNo] := 0;
    OverstayAt[StationNo] := FALSE;
    AlarmStepAt[StationNo] := 0;
END_FOR;
Overstay := FALSE;
Alarm := FALSE;
AlarmStep := 0;
AlarmStation := 0;
Line.Reserve_ms[Table.Hoist] := LongestTime;
Reserve := LongestTime;
Earliest := Clock_ms;
IF State > 0 AND NOT JustDone AND Table.Motions[Current].Busy_ms > MovingFor THEN
    (* Without a load a move takes less, and so it is not counted. *)
    IF State = 1 OR Table.Motions[Current].Step = 0 THEN
        Earliest := Clock_ms + Table.Motions[Current].Busy_ms - MovingFor;
    END_IF;
END_IF;
RowNo := Current;
SlotNo := Slot;
Offset := 0;
FOR Count := 1 TO Table.LastMotion * (Table.LastSlot + 1) DO
    IF Table.Motions[RowNo].FedByStep > 0
        AND (Table.CycleTime_ms > 0 OR Count <= Table.LastMotion + 1 - Current) THEN
        AheadSlot := SlotNo - Table.Motions[RowNo].Boundaries;
        IF AheadSlot < 0 THEN
            AheadSlot := AheadSlot + Table.LastSlot + 1;
        END_IF;
        IF Line.Standing[Table.Motions[RowNo].FedByStep, AheadSlot]
            AND (Count > 1 OR State = 0) THEN
            Lift := Offset + Table.Motions[RowNo].PlannedStart_ms;
            Stood := Line.Age[Table.Motions[RowNo].FedByStep, AheadSlot];
            StationNo := Table.Motions[RowNo].StartPlace;
            IF Stood > DwellAt_ms[StationNo] THEN
                DwellAt_ms[StationNo] := Stood;
            END_IF;
            IF Table.Motions[RowNo].DwellLimited
                AND Stood > Table.Motions[RowNo].MaxDwell_ms THEN
                OverstayAt[StationNo] := TRUE;
                Overstay := TRUE;
            END_IF;
            Room := Table.Motions[RowNo].MaxDwell_ms - Stood - Lift + Clock_ms;
            IF Table.Motions[RowNo].DwellLimited THEN
                IF Room < Line.Reserve_ms[Table.Hoist] THEN
                    Line.Reserve_ms[Table.Hoist] := Room;
                END_IF;
                IF Count > 1 AND Room < Reserve THEN
                    Reserve := Room;
                END_IF;
            END_IF;
            IF Lift < Earliest THEN
                Lift := Earliest;
            END_IF;
            IF Table.Motions[RowNo].WaitSourceDwell
                AND Stood + Lift - Clock_ms < Table.Motions[RowNo].MinDwell_ms THEN
                Lift := Clock_ms + Table.Motions[RowNo].MinDwell_ms - Stood;
            END_IF;
            IF Table.Motions[RowNo].DwellLimited
                AND Stood + Lift - Clock_ms > Table.Motions[RowNo].MaxDwell_ms THEN
                IF AlarmStepAt[StationNo] = 0 THEN
                    AlarmStepAt[StationNo] := Table.Motions[RowNo].Step;
                END_IF;
                IF NOT Alarm THEN
                    Alarm := TRUE;
                    AlarmStep := Table.Motions[RowNo].Step;
                    AlarmStation := StationNo;
                END_IF;
            END_IF;
            IF Lift < LongestTime THEN
                Earliest := Lift + Table.Motions[RowNo].Busy_ms;
            END_IF;
        END_IF;
    END_IF;
    @next_row
END_FOR;
FOR HoistNo := 1 TO LastHoist DO
    IF HoistNo <> Table.Hoist AND Line.Reserve_ms[HoistNo] < Reserve THEN
        Reserve := Line.Reserve_ms[HoistNo];
    END_IF;
END_FOR;
IF Reserve < 0 THEN
    Reserve := 0;
END_IF;
"""


def ahead() -> str:
    """The statements of every block."""
    return filled_in(_AHEAD, {"next_row": NEXT_ROW.splitlines()}, {})
