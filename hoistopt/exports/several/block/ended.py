"""What the block does when a motion has ended: the clock put back, the next motion.

After the last one of a list that is run once there is none: the state is 3 until a reset.
"""

ENDED = """
(* 6. A move that has ended late puts the clock back, as far as that hurts no load; and so far *)
(* in any case that no load set down later exceeds its maximum. *)
IF JustDone AND State = 1 AND Lateness > Allowed THEN
    Back := Lateness;
    IF Back > Reserve THEN
        Back := Reserve;
    END_IF;
    IF Table.Motions[Current].LastingLimited THEN
        Allowed := Table.Motions[Current].LastingLimit_ms
            - Table.Motions[Current].PlannedStart_ms;
        IF Lateness - Back > Allowed THEN
            Back := Lateness - Allowed;
        END_IF;
    END_IF;
END_IF;
IF JustDone THEN
    State := 0;
    Gone := FALSE;
    Come := FALSE;
    MayTravel := FALSE;
    IF Current < Table.LastMotion THEN
        Current := Current + 1;
    ELSIF Table.CycleTime_ms = 0 THEN
        ListDone := TRUE;
        State := 3;
    ELSE
        Current := 1;
        CycleNo := CycleNo + 1;
        Clock_ms := Clock_ms - Table.CycleTime_ms;
        Slot := Slot + 1;
        IF Slot > Table.LastSlot THEN
            Slot := 0;
        END_IF;
    END_IF;
END_IF;
"""
