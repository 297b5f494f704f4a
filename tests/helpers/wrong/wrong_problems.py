"""Problem files with one thing wrong in each, and what the error must name."""

from __future__ import annotations

GOOD = """\
name = "Line"
unit = "s"
[hoist]
lift = 5
lower = 5
payload = 100
loaded = { speed = 0.5 }
empty = { speed = 0.5 }
[carriers]
count = 4
[[station]]
name = "In"
kind = "load"
position = 0
[[station]]
name = "Bath"
position = 2
[[station]]
name = "Hot"
kind = "dryer"
position = 4
[[station]]
name = "Out"
kind = "unload"
position = 6
[[recipe]]
name = "A"
[[recipe.stage]]
station = "Bath"
min = 30
max = 60
drip = 2
[[recipe.stage]]
station = "Hot"
min = 40
"""


def edit(old: str, new: str) -> str:
    assert old in GOOD
    return GOOD.replace(old, new, 1)


# Each: what is wrong, the file's text, what the one line must name.
PROBLEMS = {
    "minimum above maximum": (edit("max = 60", "max = 29.9"), "stage 1", "max = 29.9", "30"),
    "unknown station in a stage": (edit('"Bath"\nmin', '"Bad"\nmin'), "stage 1", "Bad", "Bath"),
    "unknown unreachable station": (
        edit("payload = 100", 'unreachable = ["Nowhere"]'),
        "hoist, unreachable",
        "Nowhere",
    ),
    "repeated station name": (edit('name = "Hot"', 'name = "Bath"'), "station 3, name", "Bath"),
    "repeated recipe name": (
        GOOD + '[[recipe]]\nname = "A"\n[[recipe.stage]]\nstation = "Bath"\nmin = 1\n',
        "recipe 2, name",
    ),
    "negative dwell": (edit("min = 30", "min = -30"), "stage 1", "min = -30", "at least 0"),
    "nominal dwell below min": (
        edit("min = 30", "min = 30\nnominal = 29"),
        "stage 1",
        "nominal = 29",
        "at least min, which is 30",
    ),
    "nominal dwell above max": (
        edit("min = 30", "min = 30\nnominal = 61"),
        "nominal = 61",
        "at most max, which is 60",
    ),
    "more to give than min": (
        edit("min = 30", "min = 30\nmay_give_min = 31"),
        "stage 1",
        "may_give_min = 31",
        "at most min, which is 30",
    ),
    "no max to give way": (
        edit("min = 40", "min = 40\nmay_give_max = 5"),
        "stage 2",
        "may_give_max = 5",
        "a max that could give way",
    ),
    "negative way to give": (edit("min = 30", "min = 30\nmay_give_min = -1"), "may_give_min = -1"),
    "margin wider than the window": (
        edit("min = 30", "min = 30\nmargin = { slack = 31, float = 0 }"),
        "stage 1",
        "31 below its maximum",
    ),
    "float wider than the window": (
        edit("min = 30", "min = 30\nmargin = { slack = 0, float = 30.1 }"),
        "stage 1",
        "30.1 below its maximum",
    ),
    "negative margin": (edit("min = 30", "min = 30\nmargin = -1"), "margin", "at least 0"),
    "margin in words": (
        edit("min = 30", 'min = 30\nmargin = "some"'),
        "margin",
        "slack and float",
    ),
    "a dwell in words": (edit("min = 30", 'min = "half a minute"'), "stage 1", "25 min"),
    "a dwell in metres": (edit("min = 30", 'min = "25 m"'), "stage 1", '"min" for minutes'),
    "a dwell below 0 in words": (edit("min = 30", 'min = "-30 s"'), "stage 1", "at least 0"),
    "a dwell that could be hours": (
        edit("min = 30", 'min = "1:30"').replace('unit = "s"', 'unit = "min"'),
        "stage 1",
        "1:30:00",
        "one way only",
    ),
    "a dwell that no decimals hold": (
        edit("min = 30", 'min = "20 s"').replace('unit = "s"', 'unit = "min"'),
        "stage 1",
        "it is 1/3 min",
    ),
    "a dwell of 75 seconds on the clock": (edit("min = 30", 'min = "0:75"'), "stage 1", "1:30"),
    "a dwell in months": (edit("min = 30", 'min = "P1M"'), "stage 1", "a duration such as"),
    "thousands in a dwell": (edit("min = 30", 'min = "1,500 ms"'), "nothing between thousands"),
    "a pace by the shift": (GOOD + '[cycle]\nmax = "30/shift"\n', "cycle, max", "a shift"),
    "a pace of none": (GOOD + '[cycle]\nmax = "0/h"\n', "cycle, max", "a rate above 0"),
    "a dwell as a pace": (edit("min = 30", 'min = "4/h"'), "stage 1", "a duration such as"),
    "unknown part of a margin": (
        edit("min = 30", "min = 30\nmargin = { slock = 1 }"),
        "margin, slock",
        "no such key",
    ),
    "scatter in words nobody knows": (
        GOOD + '[scatter]\ntimes = "move sometimes"\n',
        "scatter, times",
        "triangular",
    ),
    "scatter of a part of a move that a table has as a whole": (
        GOOD + '[scatter]\ntimes = "lift times fixed 1.1"\n'
        '[[times.loaded]]\nfrom = "In"\nto = "Bath"\ntime = 14\n',
        "scatter, times",
        "lift times fixed 1.1",
        "the whole move",
    ),
    "scatter that takes more than a lift has": (
        GOOD + '[scatter]\ntimes = "lift plus uniform -5.1 0"\n',
        "scatter, times",
        "takes 5 s",
    ),
    "more loads tolerated than there are": (
        GOOD + '[scatter]\ntimes = "move plus fixed 1"\ntolerated = 1.1\n',
        "scatter, tolerated = 1.1",
        "0 to 1",
    ),
    "negative nominal dwell": (edit("min = 30", "min = 0\nnominal = -1"), "nominal = -1"),
    "infinite dwell": (edit("min = 30", "min = inf"), "min", "finite"),
    "dwell not a number": (edit("min = 30", "min = nan"), "min", "finite"),
    "text for a number": (edit("min = 30", 'min = "30"'), 'min = "30"', "Write 30 as a number"),
    "a comma in a time": (edit("max = 60", 'max = "150,5"'), "Write 150.5 as a number"),
    "thousands in a time": (edit("max = 60", 'max = "1,500"'), "nothing between thousands"),
    "a comma in a place": (edit("position = 2", 'position = "12,5"'), "Write 12.5 as a number"),
    "a place with its unit": (
        edit("position = 2", 'position = "1.4 m"'),
        'position = "1.4 m"',
        "Write a plain number, without a unit",
        "lengths are in m",
    ),
    "infinite maximum": (edit("max = 60", "max = inf"), "Leave max out for no maximum."),
    "maximum not a number": (edit("max = 60", "max = nan"), "Leave max out for no maximum."),
    "no maximum in words": (edit("max = 60", 'max = "none"'), "Leave max out for no maximum."),
    "no station in a stage": (
        edit('station = "Bath"\nmin', "station = []\nmin"),
        "stage 1, station = []",
        "a list of 1 or more stations",
        "Name at least one",
    ),
    "boolean for a number": (edit("min = 30", "min = true"), "min = true", "a number"),
    "date for a number": (edit("min = 30", "min = 2020-01-01"), "min = 2020-01-01", "a number"),
    "list for a number": (edit("min = 30", "min = [30]"), "min", "a number"),
    "too many decimals": (edit("min = 30", "min = 30.1234567"), "min = 30.1234567", "decimals"),
    "decimals beyond any context": (
        edit("min = 30", "min = 30.00000000000000000000000000000000001"),
        "min",
        "decimals",
    ),
    "huge number": (edit("min = 30", "min = 10000001"), "min = 10000001", "10000000"),
    "huge exponent": (edit("max = 60", "max = 1e999999999"), "max", "10000000"),
    "exponent beyond Decimal": (edit("max = 60", f"max = 1e{'9' * 40}"), "max", "10000000"),
    "tiny exponent": (edit("max = 60", "max = 1e-999999999"), "max", "decimals"),
    "tiny exponent beyond Decimal": (edit("max = 60", f"max = 1e-{'9' * 40}"), "max", "decimals"),
    "integer of 5000 digits": (edit("min = 30", f"min = {'9' * 5000}"), "ordinary size"),
    "hexadecimal of 5000 digits": (edit("min = 30", f"min = 0x{'f' * 5000}"), "min", "10000000"),
    "zero speed": (edit("speed = 0.5", "speed = 0"), "hoist, loaded, speed = 0", "above 0"),
    "zero capacity": (edit("position = 2", "position = 2\ncapacity = 0"), "capacity = 0"),
    "fractional capacity": (edit("position = 2", "position = 2\ncapacity = 1.5"), "capacity"),
    "boolean capacity": (edit("position = 2", "position = 2\ncapacity = true"), "capacity = true"),
    "worded capacity": (
        edit("position = 2", 'position = 2\ncapacity = "lots"'),
        'capacity = "lots"',
    ),
    "unlimited tank": (
        edit("position = 2", 'position = 2\ncapacity = "unlimited"'),
        'station 2 ("Bath"), capacity',
    ),
    "occupation of a tank": (
        edit("position = 2", "position = 2\nmin_occupation = 5"),
        'station 2 ("Bath"), min_occupation = 5',
    ),
    "rest of a load station": (
        edit("position = 0", "position = 0\nmin_rest = 5"),
        'station 1 ("In"), min_rest = 5',
        "min_occupation",
    ),
    "rest below zero": (
        edit("position = 2", "position = 2\nmin_rest = -5"),
        'station 2 ("Bath"), min_rest = -5',
    ),
    "zero carriers": (edit("count = 4", "count = 0"), "carriers, count = 0"),
    "unknown way of return": (
        edit("count = 4", 'return = "teleport"'),
        'carriers, return = "teleport"',
        "outside",
    ),
    "return time by hoist": (
        edit("count = 4", 'return = "hoist"\nreturn_time = 5'),
        "carriers, return_time = 5",
    ),
    "recipe that never unloads": (edit('"unload"', '"tank"'), 'recipe "A", unload'),
    "recipe that never loads": (edit('"load"', '"tank"'), 'recipe "A", load'),
    "recipe without stages": (
        GOOD[: GOOD.index("[[recipe.stage]]")] + "stage = []\n",
        'recipe 1 ("A"), stage = []',
        "Write [[recipe.stage]] for each.",
    ),
    "stage at the load station": (edit('"Hot"\nmin', '"In"\nmin'), "stage 2", "kind load"),
    "same station twice in a row": (edit('"Hot"\nmin', '"Bath"\nmin'), "stage 2", "Bath"),
    "two unload stations to choose from": (
        edit('"dryer"', '"unload"').replace('"Hot"\nmin', '"Bath"\nmin'),
        'recipe "A", unload',
        "Hot, Out",
    ),
    "unloading where one loads": (
        edit('name = "A"', 'name = "A"\nunload = "In"'),
        'recipe "A", unload = In',
    ),
    "unknown kind": (edit('"dryer"', '"oven"'), "station 3", 'kind = "oven"', "dryer"),
    "unknown unit": (edit('unit = "s"', 'unit = "days"'), 'unit = "days"'),
    "unknown key": (edit("lift = 5", "lift = 5\nlift_time = 4"), "hoist, lift_time", "no such key"),
    "Python's name of a key": (edit("[[station]]", "[[stations]]"), "stations"),
    "key with control characters": (edit("lift = 5", '"\\u001b[2J" = 4\nlift = 5'), r"\x1b"),
    "name with control characters": (edit('name = "Hot"', 'name = "H\\u001b[2Jt"'), r"H\x1b[2Jt"),
    "name that turns the line round": (edit('"Line"', '"\\u202eLine"'), "name", r"\u202e"),
    "name of a line break": (edit('"Line"', '"a\\nerror: b"'), "name", r"a\nerror: b"),
    "empty name": (edit('"Line"', '""'), "name"),
    "long name": (edit('"Line"', f'"{"x" * 81}"'), "name", "80"),
    "long key": (edit("lift = 5", f"{'x' * 5000} = 5"), "hoist", "..."),
    "station not a table": ('name = "L"\nstation = ["In", "Out"]\nrecipe = []\n', "station 1"),
    "station not a list": ('name = "L"\nstation = 3\nrecipe = []\n', "station"),
    "one station": ('name = "L"\nrecipe = []\n[[station]]\nname = "In"\n', "station", "2"),
    "no speeds": (edit("loaded = { speed = 0.5 }", ""), "hoist, loaded", "In to Bath"),
    "no position": (edit("position = 2", ""), 'station "Bath", position'),
    "no lift time": (edit("lift = 5", ""), "hoist, lift"),
    "mix of an unknown recipe": (GOOD + "[cycle]\nmix = { B = 1 }\n", "cycle, mix = B", "A"),
    "mix of none": (GOOD + "[cycle]\nmix = { A = 0 }\n", "cycle, mix, A = 0"),
    "pace against itself": (GOOD + "[cycle]\nmin = 90\nmax = 80\n", "cycle, max = 80", "90"),
    "order against the mix": (
        GOOD + '[cycle]\nmix = { A = 2 }\norder = ["A"]\n',
        "cycle, order = A",
    ),
    "two recipes without a mix": (
        GOOD + '[[recipe]]\nname = "B"\n[[recipe.stage]]\nstation = "Bath"\nmin = 1\n',
        "cycle, mix",
    ),
    "table entry twice": (
        GOOD + "[times]\nempty = [" + '{ from = "In", to = "Out", time = 3 },' * 2 + "]\n",
        "times, empty 2",
        "In to Out",
    ),
    "table entry without a time": (
        GOOD + '[times]\nempty = [{ from = "In", to = "Out" }]\n',
        "times, empty 1, time",
    ),
    "table entry from a list": (
        GOOD + '[times]\nempty_file = "good.csv"\nempty = [{ from = ["In"], to = "Out" }]\n',
        "times, empty 1, from",
    ),
    "table file not named": (GOOD + "[times]\nempty_file = 3\n", "times, empty_file = 3"),
    "table file missing": (
        GOOD + '[times]\nempty_file = "none.csv"\n',
        "none.csv",
        "there is none",
    ),
    "table file a folder": (GOOD + '[times]\nempty_file = "folder"\n', "folder", "directory"),
    "table of wrong shape": (GOOD + '[times]\nempty_file = "ragged.csv"\n', "ragged.csv: row 3"),
    "table of an unknown station": (
        GOOD + '[times]\nempty_file = "stranger.csv"\n',
        "stranger.csv: column 3 = Elsewhere",
    ),
    "table with a word in it": (
        GOOD + '[times]\nempty_file = "worded.csv"\n',
        'worded.csv: row 2, column "Bath" = soon',
    ),
    "table with a negative time": (
        GOOD + '[times]\nempty_file = "negative.csv"\n',
        'negative.csv: row 2, column "Bath" = -4',
    ),
    "crossing of an unknown station": (
        GOOD + '[[crossing]]\nfrom = ["Bath"]\nover = ["Lake"]\n',
        "crossing 1, over = Lake",
    ),
    "absurd tick": (edit('unit = "s"', "tick = 0"), "tick = 0"),
    "not TOML": ("this is { no TOML", "TOML", "line 1"),
    "key given twice": (edit("lift = 5", "lift = 5\nlift = 6"), "TOML"),
    "nested beyond reason": ("a = " + "[" * 100_000, "TOML"),
    "empty file": ("", "toml: expected a problem, but this file is empty.", "template FILE"),
    "blank file": (" \n\n", "but this file is empty.", "template FILE"),
    "comments only": ("# later\n", "but this file has comments only.", "template FILE"),
    "too many stations": (
        'name = "L"\nrecipe = []\n' + '[[station]]\nname = "x"\n' * 20_000,
        "station",
        "300",
    ),
    "a million stations": (
        'name = "L"\nrecipe = []\n' + '[[station]]\nname = "x"\n' * 1_000_000,
        "5 MB",
    ),
    "10 MB of comment": ("# " + "x" * 10_000_000, "5 MB"),
}
