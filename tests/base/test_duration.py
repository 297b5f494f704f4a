"""Durations and rates in every spelling: the same exact time, or one clear refusal."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

import hoistopt
from hoistopt import InputError
from hoistopt.base.numbers.duration import SECONDS, duration
from hoistopt.base.numbers.rate import pace, rate

pytestmark = pytest.mark.quick


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("25 min", 1500),
        ("90s", 90),
        ("1.5 h", 5400),
        ("1,5 h", 5400),
        ("1 h 20 min", 4800),
        ("2d 1ms", 172_800 + Fraction(1, 1000)),
        ("1:30", 90),
        ("90:00", 5400),
        ("00:07:54", 474),
        ("0:00:01.25", Fraction(5, 4)),
        ("-22 s", -22),
        # As in the tables of duration literals of IEC 61131-3.
        ("T#14ms", Fraction(14, 1000)),
        ("t#14.7s", Fraction(147, 10)),
        ("T#25h_15m", 90_900),
        ("TIME#5d14h12m18s3.5ms", 483_138 + Fraction(35, 10_000)),
        ("T#22s900ms", Fraction(229, 10)),
        ("LT#1s_5us", 1 + Fraction(5, 10**6)),
        ("T#-14ms", Fraction(-14, 1000)),
        # As in ISO 8601.
        ("PT1H30M", 5400),
        ("P1DT12H", 129_600),
        ("PT36H", 129_600),
        ("PT0.5S", Fraction(1, 2)),
        ("P2W", 1_209_600),
    ],
)
def test_every_spelling_means_its_exact_time(text: str, seconds: Fraction) -> None:
    assert duration(text).seconds == seconds


@pytest.mark.parametrize(
    "text",
    """,25,25 m,1 m 20 s,1.5 h 20 min,20 min 1 h,5 s 5 s,1:60,1:5,1:2:3:4,:30,12:,T#,T#5,T#1m90s,
    T#1s1m,T#1x,P,PT,P1M,P1Y,PT1.5H30M,PTS,1e3 s,1_000 s,25 minutes,+5 s,inf s,½ h,٣ s,T#1.5m3s,
    5s;,- s,P1,1:30 min""".replace("\n", "").split(","),
)
def test_what_is_no_duration_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"a |units|each|decimals|less|min"):
        duration(text.strip())


def test_what_could_be_thousands_is_refused_and_other_commas_are_decimals() -> None:
    with pytest.raises(ValueError, match="nothing between thousands"):
        duration("1,234 s")
    assert duration("0,234 s").seconds == Fraction(234, 1000)
    assert duration("1,2345 s").seconds == Fraction(12_345, 10_000)


def test_two_fields_are_minutes_and_seconds_only_where_hours_are_no_likely_reading() -> None:
    read = duration("1:30")
    assert read.in_unit("s") == 90
    assert read.in_unit("ms") == 90_000
    for unit in ("min", "h"):
        with pytest.raises(ValueError, match="one way only"):
            read.in_unit(unit)
    with pytest.raises(ValueError, match="one way only"):
        read.in_unit("s", of_day=True)
    assert duration("0:01:30").in_unit("min", of_day=True) == Decimal("1.5")


def test_a_time_that_no_decimals_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="1/3 min"):
        duration("20 s").in_unit("min")
    with pytest.raises(InputError, match="duration"):
        hoistopt.in_unit("20 s", "h")


MICROSECONDS = st.integers(0, 9_000_000 * 10**6)


@given(MICROSECONDS)
def test_a_time_in_any_spelling_comes_back(us: int) -> None:
    """Outside source: the standard library takes the time apart, and writes it."""
    time = timedelta(microseconds=us)
    exact = Fraction(us, 10**6)
    minutes, seconds = divmod(time, timedelta(minutes=1))
    hours, rest = divmod(minutes, 60)
    tail = f"{seconds.seconds:02}.{seconds.microseconds:06}"
    spelled = [
        f"{hours} h {rest} min {tail} s",
        f"{hours}:{rest:02}:{tail}",
        f"{minutes}:{tail}",
        f"T#{hours}h{rest}m{tail}s",
        f"T#{minutes}m_{tail}s",
        f"PT{hours}H{rest}M{tail}S",
        f"PT{hours}H{rest}M0{tail.replace('.', ',')}S",
    ]
    for text in spelled:
        assert duration(text).seconds == exact, text
    assert duration(str(time % timedelta(days=1))).seconds == exact % 86_400


@given(st.text(alphabet="0123456789.,:hminsdPTWHMSt#_- ", max_size=14))
def test_any_text_is_a_time_or_one_complaint(text: str) -> None:
    try:
        read = duration(text)
    except ValueError:
        return
    assert isinstance(read.seconds, Fraction)
    assert read.seconds >= 0 or "-" in text


@given(st.decimals(0, 10**6, places=6, allow_nan=False), st.sampled_from(sorted(SECONDS)))
def test_a_number_with_its_unit_is_the_number(number: Decimal, unit: str) -> None:
    assert hoistopt.in_unit(f"{number:f} {unit}", unit) == number


@given(st.integers(1, 10**9), st.integers(1, 50), st.sampled_from(["ms", "s", "min", "h"]))
def test_a_pace_is_rounded_to_the_side_that_keeps_it(
    millionths: int, loads: int, unit: str
) -> None:
    text = f"{Decimal(millionths).scaleb(-6):f}/h"
    read = rate(text)
    exact = Fraction(loads * 3600 * 10**6, millionths) / Fraction(SECONDS[unit])
    if exact > 10**6:
        return
    below, above = read.time_of(loads, unit, "down"), read.time_of(loads, unit, "up")
    assert below <= exact <= above
    assert above - below <= Decimal("0.000001")
    assert (above == below) == (exact == below)


def test_a_rate_is_by_the_hour_or_minute() -> None:
    assert rate("0.5/min").per_second == rate("30 / h").per_second == Fraction(1, 120)
    assert pace("8 min") == duration("8 min")
    for text, said in (
        ("108/day", "how long a day"),
        ("12/shift", "how long a shift"),
        ("4.5 per hour", r"such as 4\.5/h or 0\.2/min$"),
        ("0/h", "above 0"),
        ("1,500/h", "thousands"),
        ("-4/h", "4.5/h"),
    ):
        with pytest.raises(ValueError, match=said):
            pace(text)
