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
    "exceeds its max. dwell; - : no load does, however late. Dwell: min. and max. time at From "
    "before the step; 20+ has no max."
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
        "A load in a tank can no longer keep its max. dwell; its station and step are shown.",
        "Find the cause under the site's rules for entering the line. The step starts by itself as "
        "soon as it can: keep clear of hoist and track. Note which loads waited.",
    ),
    Alarm(
        "Overstay",
        "A load has stood longer than its max. dwell.",
        "Note station, load and time. Whoever answers for the process decides on the load. Do not "
        "make up for it in later baths by hand.",
    ),
    Alarm(
        "Drift",
        "Steps came later than they may every time; the clock of the sequence was put back.",
        "Once: nothing to do. If it stays, fewer loads an hour come out: have the hoist looked at "
        "and the moves measured; plan again with the measured times.",
    ),
    Alarm(
        "CarrierMissing",
        "A carrier that is due is not where it should be.",
        "Find the carrier before anything moves. Report as removed only what has left the line; "
        "otherwise stop the line and clear it under the site's rules.",
    ),
)
"""By the names of the function block's outputs. What to do is common practice, no source."""

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
