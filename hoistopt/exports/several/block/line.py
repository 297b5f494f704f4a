"""What the block of the first hoist does once in a scan for the line: time, clock, ages."""

from __future__ import annotations

from .preset import COPYING

_LINE = """
(* 1. Once in every scan, in the block of the first hoist: time, clock and ages. *)
IF Table.Hoist = FirstHoist THEN
    Line.Passed_ms := Elapsed_ms;
    IF Elapsed_ms < 0 THEN
        Line.Passed_ms := 0;
    ELSIF Elapsed_ms > LongestTime THEN
        Line.Passed_ms := LongestTime;
    END_IF;
    Line.Fresh := Reset OR NOT Line.Begun;
    Line.Begun := TRUE;
    Line.Admit := AdmitLoads;
    Line.Step_ms := Line.Passed_ms;
    IF HoldClock THEN
        Line.Step_ms := 0;
    END_IF;
    FOR HoistNo := 1 TO LastHoist DO
        IF Line.Holding[HoistNo] THEN
            Line.Step_ms := 0;
        END_IF;
        Line.LeftFor_ms[HoistNo] := Line.LeftFor_ms[HoistNo] + Line.Passed_ms;
        IF Line.LeftFor_ms[HoistNo] > LongestTime THEN
            Line.LeftFor_ms[HoistNo] := LongestTime;
        END_IF;
        IF Line.Fresh THEN
            Line.Arrived[HoistNo] := 0;
            Line.Left[HoistNo] := 0;
            Line.Holding[HoistNo] := FALSE;
            Line.Reserve_ms[HoistNo] := LongestTime;
        END_IF;
    END_FOR;
    FOR RowNo := 1 TO MaxStep DO
        FOR SlotNo := 0 TO MaxSlot DO
            IF Line.Fresh THEN
                Line.Standing[RowNo, SlotNo] := FALSE;
            ELSIF Line.Standing[RowNo, SlotNo] THEN
                Line.Age[RowNo, SlotNo] := Line.Age[RowNo, SlotNo] + Line.Passed_ms;
                IF Line.Age[RowNo, SlotNo] > LongestTime THEN
                    Line.Age[RowNo, SlotNo] := LongestTime;
                END_IF;
            END_IF;
        END_FOR;
    END_FOR;
    IF Line.Back_ms > 0 THEN
        Line.Drift := TRUE;
        Line.DriftFor_ms := 0;
        Line.Step_ms := Line.Step_ms - Line.Back_ms;
        IF Line.LostTime_ms < LongestTime THEN
            Line.LostTime_ms := Line.LostTime_ms + Line.Back_ms;
        END_IF;
    ELSIF Line.Drift THEN
        Line.DriftFor_ms := Line.DriftFor_ms + Line.Passed_ms;
        Line.Drift := Line.DriftFor_ms <= Table.CycleTime_ms;
    END_IF;
    Line.Back_ms := 0;
    IF Line.Fresh THEN
        Line.LoadsInLine := 0;
        Line.LostTime_ms := 0;
        Line.Drift := FALSE;
    END_IF;
@copying
END_IF;
"""


def line() -> str:
    """Structured text of what the block of the first hoist does once in a scan for the line."""
    return _LINE.replace("@copying", COPYING.strip("\n"))
