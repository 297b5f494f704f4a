"""What the sheet says in words: how to read it, and what to do at each alarm."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Alarm:
    """A signal of the sequencer: its name, what it means, what to do."""

    name: str
    meaning: str
    action: str


TITLE = "Hoist sequence: step table and alarms"

READING = (
    "Starts count from the start of the step's own cycle and may lie beyond its end. Latest: a "
    "step may start so late every time. Alarm: started later than this, even once, some load "
    "exceeds its maximum dwell unless the clock is put back; - : no load does, however late. "
    "Dwell: minimum and maximum time at From before the step; 20+ has no maximum."
)

READING_SEVERAL = (
    f"{READING} Motions are made in order, with or without a load; one without a step is an empty "
    "travel. After: 2.9 - motion 9 of hoist 2 must have arrived before; 2.9-1 - that of the cycle "
    "before; up to 10 - until then the hoist goes no further than place 10; left - it is enough "
    "that the other has left, and distance control must stop this hoist if the other stops."
)

ALARMS = (
    Alarm(
        "Late",
        "The next step is past its latest start.",
        "Look what it waits for: hoist not free, dwell not over, place taken, carrier not there. "
        "Let the cause be removed. If it comes back cycle after cycle, have the moves measured.",
    ),
    Alarm(
        "Alarm",
        "A load can no longer keep its maximum dwell. AlarmStep lifts it, at AlarmStation.",
        "Find the cause under the site's rules for entering the line. Steps start by themselves as "
        "soon as they can: keep clear of hoist and track. Note load and station.",
    ),
    Alarm(
        "Overstay",
        "A load has stood longer than its maximum dwell.",
        "Note station, load and time. Whoever answers for the process decides on the load. Do not "
        "make up for it in later baths by hand.",
    ),
    Alarm(
        "Drift",
        "The clock of the sequence was put back within the last cycle: the hoist was late.",
        "Once: no action. Again and again: fewer loads an hour come out; have the hoist looked at "
        "and the moves measured, and plan again with the measured times.",
    ),
    Alarm(
        "CarrierMissing",
        "A carrier that is due is not where it should be.",
        "Find the carrier before anything moves. Report as removed only what has left the line; "
        "otherwise stop the line and clear it under the site's rules.",
    ),
    Alarm(
        "PlaceBlocked",
        "The next step waits for a free place where it would set down.",
        "Look what stands there and why. It is cleared only under the site's rules; dwells of the "
        "loads behind it go on meanwhile.",
    ),
    Alarm(
        "TableFault",
        "The step table in the controller is not the one that was checked.",
        "Do not run. Load the table again and compare its check sum with the one below.",
    ),
)
"""By the names of the function block's outputs. What to do is common practice, no source."""

OUT_OF_PLACE = Alarm(
    "OutOfPlace",
    "The hoist does not stand where its next motion begins.",
    "Bring it there under the site's rules, no nearer to another hoist than the clearance; then "
    "make sure of every other hoist too.",
)
"""What is said of that alarm where there are several hoists."""

AFTER_A_STOP_SEVERAL = Alarm(
    "After a stop",
    "Power was off, or hoists or carriers were moved by hand.",
    "Empty the line under the site's rules, bring every hoist to where its first motion begins, "
    "and reset all blocks together before it runs again; or tell them by their preset what stands "
    "where, and bring every hoist to where they say.",
)

AFTER_A_STOP = Alarm(
    "After a stop",
    "Power was off, or hoist or carriers were moved by hand.",
    "The sequence may not know what stands where. Bring both into agreement, or empty the line and "
    "reset, before it runs on.",
)

INTERLOCKS = (
    "This sheet is for information. The machine's interlocks and watchdogs decide, whatever is "
    "printed here; the site's rules for work on the line go before it."
)
