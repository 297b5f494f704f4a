"""What the block does while its hoist moves: its clock, and signals for the other hoists."""

UNDER_WAY = """
(* 3. The clock of the next motion's cycle goes on as that of the line does. *)
Clock_ms := Clock_ms + Line.Step_ms;
IF Clock_ms > LongestTime THEN
    Clock_ms := LongestTime;
END_IF;
IF State > 0 AND MovingFor < LongestTime THEN
    MovingFor := MovingFor + Line.Passed_ms;
END_IF;

(* 4. The hoist leaves, arrives, and is done: signals for the others. *)
JustDone := FALSE;
IF State > 0 AND MayTravel AND NOT Gone AND HoistAt <> Table.Motions[Current].StartPlace THEN
    Gone := TRUE;
    Line.Left[Table.Hoist] := Line.Left[Table.Hoist] + 1;
    Line.LeftFor_ms[Table.Hoist] := 0;
END_IF;
IF Gone AND NOT Come AND HoistAt = Table.Motions[Current].EndPlace THEN
    Come := TRUE;
    Line.Arrived[Table.Hoist] := Line.Arrived[Table.Hoist] + 1;
END_IF;
IF State = 1 AND Come AND MoveDone AND NOT DoneBefore THEN
    JustDone := TRUE;
    IF Table.Motions[Current].FeedsStep = 0 THEN
        Line.LoadsInLine := Line.LoadsInLine - 1;
    ELSE
        Line.Standing[Table.Motions[Current].Step, Slot] := TRUE;
        Line.Age[Table.Motions[Current].Step, Slot] := 0;
    END_IF;
ELSIF State = 2 AND Come AND HoistIdle THEN
    JustDone := TRUE;
END_IF;
DoneBefore := MoveDone;
Lateness := Clock_ms - Table.Motions[Current].PlannedStart_ms - Table.Motions[Current].Lasts_ms;
Allowed := Table.Motions[Current].ClockLimit_ms - Table.Motions[Current].PlannedStart_ms;
Back := 0;
"""
