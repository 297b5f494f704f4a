"""The commented problem file that `hoistopt template` writes.

In it a line that starts with ``#`` and a space is prose. A line that starts with ``#``
directly followed by text is an option switched off: take the ``#`` away and the file
is still valid.
"""

from __future__ import annotations

import tomllib
from decimal import Decimal
from textwrap import fill

from ...base.text import STANDING
from ..problem import Problem

_CAUTION = fill(STANDING, 88, initial_indent="# ", subsequent_indent="# ")

TEMPLATE = f"""\
# A problem file for hoistopt: the line, the recipes, and what is to run.
#
{_CAUTION}
#
# Lines that start with "# " explain. Lines that start with "#" directly before a key
# are options switched off; the value shown is an example. Take the "#" away to use one.
# Numbers are plain decimals with at most 6 places. Unknown keys are refused.
# The figures below are invented: replace every one of them by your own.

# Name of the line. Required.
name = "My line"
# For people: what this line is. Default: empty.
#note = "Invented figures, to be replaced."
# Where the data come from. Default: empty.
#source = "Stopwatch, second shift"
# Unit of every time in this file: "ms", "s", "min" or "h". Default: "s". A time may also be
# written as text: "25 min", "1 h 20 min", "1.5 h", "0:07:54", "T#22s900ms" (IEC 61131-3),
# "PT1H30M" (ISO 8601), or "1:30", which is minutes and seconds, and refused where the unit
# is min or h, as it could be hours there.
unit = "s"
# Grid of all planned times, in that unit. Default: the coarsest power of ten that
# divides every given time; at most 0.1 s where speeds are used.
#tick = 0.1
# Unit of every position; a word for the labels, nothing is converted. Default: "m".
length_unit = "m"
# How late a start may be without harm, asked of every schedule: slack, once; float, in
# every cycle. A plain number asks for both; a table of the two for one each. Default: 0.
#margin = {{ slack = 5, float = 2 }}

# ---------------------------------------------------------------- the hoist
# Where there are several: one [[hoist]] for each instead of [hoist], in the order in which
# they stand along the track, from the least position on, and a [track] below them.
[hoist]
# Name of the hoist; required where there are several. Default: none.
name = "Hoist A"
# The part of the track it may be in, as positions or names of stations. Default: all of
# it, less what the other hoists need.
#from = "Load"
#to = 12
# Time to lift a carrier clear of a station, and to lower it in. No default; not needed
# where every loaded move has an entry in a table of times (below).
lift = 8
lower = 7
# Travel with a carrier: top speed (length unit per time unit), required;
# acceleration, used for braking too (default: top speed at once);
# settling, time for the swing to die down after travelling (default 0).
loaded = {{ speed = 0.4, acceleration = 0.3, settling = 2 }}
# Travel without a carrier; same keys.
empty = {{ speed = 0.6, acceleration = 0.5 }}
# Maximum mass the hoist may lift. Default: no limit.
#payload = 300
# Stations this hoist cannot serve. Default: none.
#unreachable = ["Parking"]

# The track, where several hoists share it.
#[track]
# Least distance between the middles of two neighbouring hoists. Required.
#clearance = 1.5
# Positions between which the middle of a hoist can be. Default: the outermost stations.
#from = -1.5
#to = 9

# ---------------------------------------------------------------- the carriers
[carriers]
# How many carriers there are. Default: as many as it takes.
#count = 6
# How empty carriers get back to the load station: "outside" (conveyor, by hand) or
# "hoist" (the hoist carries them, one more move per load). Default: "outside".
return = "outside"
# Time the way back outside takes after the minimum occupation of the unload station.
# Default: 0. Not allowed with return = "hoist".
#return_time = 60

# ---------------------------------------------------------------- the stations
# One [[station]] per place on the track, in any order.
[[station]]
# Name, each one once. Required.
name = "Load"
# "tank" (default), "dryer", "load", "unload", "load-unload" (one place for both ends)
# or "park" (a place where the hoist may stand but no recipe goes).
kind = "load"
# Position along the track in length_unit. Needed wherever travel times are worked out.
position = 0
# Carriers held at once, 1 to 200. At load and unload stations also "unlimited": a
# buffer in which carriers never wait for a place. Default: 1.
#capacity = "unlimited"
# Load and unload stations only: minimum time a carrier stands there. Default: 0.
min_occupation = 60
# Its number on the controller, 0 to 9999, by which tables of moves and states may name it.
# Default: none.
#number = 1

[[station]]
name = "Clean"
position = 1.5
# These three replace the hoist's times at this station. Default: the hoist's.
#lift = 10
#lower = 9
#settling = 3

[[station]]
name = "Rinse"
position = 2.5

[[station]]
name = "Passivate 1"
position = 3.5
#capacity = 2
# Whether carriers leave a station with several places in the order in which they came,
# "fifo", or in any order, "any". Default: "fifo".
#order = "any"

# Tanks and dryers only: minimum time that a place stays empty, from the start of lifting a
# carrier until the next one is set down there, as a bath may need to get back its
# temperature. Each place rests by itself. Default: 0.
#min_rest = 30

[[station]]
name = "Passivate 2"
position = 4.5
# Whether no load is set down here for now, as while a tank is mended. Default: false.
#out_of_service = true
# Where the windows of its stages come from, shown beside them. Default: none.
#source = "Data sheet of the bath, page 2"

[[station]]
name = "Dryer"
kind = "dryer"
position = 6

[[station]]
name = "Unload"
kind = "unload"
position = 7.5
min_occupation = 30

[[station]]
name = "Parking"
kind = "park"
position = 9

# ---------------------------------------------------------------- the recipes
# One [[recipe]] per kind of load, each followed by its stages in order.
[[recipe]]
# Name, each one once. Required.
name = "Housings"
# Where loads enter and leave the line. May be left out while there is one such station.
#load = "Load"
#unload = "Unload"
# Mass lifted, carrier included; compared with the hoist's payload. Default: not compared.
#mass = 120

# Loading and unloading are not stages.
[[recipe.stage]]
# The station that serves this stage, or a list of stations any of which may. Required.
station = "Clean"
# Minimum dwell time, from set down to lifted. Required.
min = 180
# Maximum dwell time. Default: none. A fixed time has max = min: it is then never shorter,
# and longer by less than a tick.
max = 300
# Dwell time aimed at where the cycle leaves a choice, from min to max; only
# `hoistopt robust` asks for it. Default: none.
#nominal = 240
# By how much each end would give way if it had to, from the datasheet of the bath: what
# `hoistopt conflict` and `hoistopt levers` may suggest. 0: not at all. Default: not said.
#may_give_min = 10
#may_give_max = 45
# Margin of this stage, in place of the line's: slack kept below max, and float of the
# move that lifts the load out. Default: the line's.
#margin = 10
# Of several hoists the one that brings loads here, or a list of those that may. Default:
# any that can.
#hoist = "Hoist A"
# Pause over the station after lifting, to drip. Default: 0.
drip = 5
# Where this window comes from, shown beside it. Default: that of the station.
#source = "Data sheet of the cleaner, page 3"

[[recipe.stage]]
# Name of the stage, for tables and drawings. Default: its station's name, or all of theirs.
name = "Rinse after cleaning"
station = "Rinse"
min = 30
max = 90
drip = 3

[[recipe.stage]]
name = "Passivate"
station = ["Passivate 1", "Passivate 2"]
min = 600
max = 720
drip = 5

# A station may serve several stages.
[[recipe.stage]]
name = "Rinse after passivating"
station = "Rinse"
min = 30
max = 90
drip = 3

[[recipe.stage]]
station = "Dryer"
min = 240

# Further recipes may follow, each with stages of its own, or like one of this file with
# some of its stages changed. With several recipes the table [cycle] below must say how
# many loads of each enter together.
#[[recipe]]
#name = "Housings, thick"
# Name of the recipe that it is like; load, unload and mass are the same too, if not stated.
#like = "Housings"
# One for each stage that changes: which, by its number or its name in that recipe, and any
# keys of a stage in place of those there; or left_out, for a stage that this recipe skips.
#[[recipe.change]]
#stage = "Passivate"
#min = 700
#max = 800
#[[recipe.change]]
#stage = 2
#left_out = true

# ---------------------------------------------------------------- the cycle
# How many loads of each recipe one set brings into the line; a cycle of degree K
# carries K sets. Required where there are several recipes. Default: one load.
[cycle]
mix = {{ "Housings" = 1 }}
# Order in which the loads of a set enter; must agree with mix where both are given.
# Default: the solver chooses.
#order = ["Housings"]
# Minimum and maximum mean cycle time per set, for a line that must keep pace with what
# stands before or after it; or a rate in loads, such as max = "4.5/h" for at least so many
# an hour. Default: 0 and none.
#min = 120
#max = 7200

# ---------------------------------------------------------------- tables of times
# Measured times. An entry replaces what speeds and distances would give. With several hoists
# loaded moves only, for all of them alike; each is then taken to be anywhere that its top speed
# allows while such a move is under way.
[times]
# loaded: from the start of lifting to the end of lowering; drip is added to it.
#loaded = [ {{ from = "Load", to = "Clean", time = 24.5 }} ]
# empty: travel only.
#empty = [ {{ from = "Dryer", to = "Load", time = 13 }} ]
# Or as CSV files beside this one, cells separated by commas, semicolons or tabs (with the
# latter two a comma may mark decimals): a list with the columns from, to and time, or a
# matrix, whose header row names the stations gone to and first column those come from;
# empty cells have no entry. Entries above go first.
# loaded_file = "loaded.csv"
# empty_file = "empty.csv"

# ---------------------------------------------------------------- scatter
# How the hoist's times scatter about the planned ones; `solve` looks for the shortest cycle
# that can be run so. Default: an assumed scatter, and every output says that it is assumed.
#[scatter]
# In the words of `hoistopt jitter --help`; one text or a list. Required.
#times = "move times triangular 0.97 1 1.15"
# Share of loads, 0 to 1, that may stand longer than a maximum. Default: 0; one in ten thousand
# counts as none.
#tolerated = 0.001
# Where the figures come from. Default: empty.
#source = "Stopwatch, second shift"

# ---------------------------------------------------------------- crossings
# Baths over which a dripping load may not simply be carried.
#[[crossing]]
# Stations the load was lifted from, and stations it would pass over. Required.
#from = ["Clean"]
#over = ["Rinse"]
# Drip that makes it allowed. Default: never allowed.
#min_drip = 15
"""


def invented() -> Problem:
    """The line of the template, for a form without comments of its own."""
    data = tomllib.loads(TEMPLATE, parse_float=Decimal)
    note = "Invented figures, to be replaced by those of your line."
    return Problem.from_data({**data, "note": note})
