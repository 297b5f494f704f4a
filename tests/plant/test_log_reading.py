"""Logs in the dialects and encodings in which controllers and people write them."""

from __future__ import annotations

import gzip
import io
from datetime import UTC, datetime, timedelta
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hoistopt
from hoistopt.plant import content
from hoistopt.plant.events import EventLog, read_log
from hoistopt.plant.mapping import LogMapping, read_mapping

pl = pytest.importorskip("polars")

PROBLEM = hoistopt.load_problem("problems/three_tanks_dryer.toml")
START = datetime(2025, 3, 1, 6, tzinfo=UTC)
EVENTS = [
    ("lift", "Bench", "C1", 0),
    ("lower", "Wash", "C1", 19_250_000),
    ("lift", "Wash", "C1", 119_500_000),
    ("lower", "Passivate", "C1", 140_000_000),
]


def mapping(**stated: object) -> LogMapping:
    return read_mapping(PROBLEM, **stated)  # type: ignore[arg-type]


def read(tmp_path: Path, data: bytes | str, name: str = "log.csv", **stated: object) -> EventLog:
    path = tmp_path / name
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return read_log([path], mapping(**stated))


def events(log: EventLog) -> list[tuple[str, str, str, int]]:
    start = int(START.timestamp()) * 1_000_000
    columns = log.frame.select("event", "station", "carrier", pl.col("time") - start)
    return [(str(e), str(s), str(c), t) for e, s, c, t in columns.rows()]


def at(microseconds: int, form: str) -> str:
    return (START + timedelta(microseconds=microseconds)).strftime(form)


FORMS = (
    "%Y-%m-%dT%H:%M:%S.%f",
    "%Y-%m-%dT%H:%M:%S.%f+00:00",
    "%Y-%m-%d %H:%M:%S.%fZ",
    "%d.%m.%Y %H:%M:%S.%f",
    "%Y/%m/%d %H:%M:%S,%f",
)
ENCODINGS = ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "latin-1")


@settings(max_examples=25, deadline=None)
@given(
    separator=st.sampled_from(",;\t|"),
    encoding=st.sampled_from(ENCODINGS),
    ends=st.sampled_from(("\n", "\r\n", "\r")),
    form=st.sampled_from(FORMS),
    quotes=st.sampled_from(("none", "all", "needed")),
    order=st.permutations(("Träger", "Zeit", "Text", "event", "station")),
    above=st.integers(0, 3),
    packed=st.booleans(),
)
def test_every_common_dialect_is_read_alike(
    tmp_path_factory: pytest.TempPathFactory,
    separator: str,
    encoding: str,
    ends: str,
    form: str,
    quotes: str,
    order: list[str],
    above: int,
    packed: bool,
) -> None:
    def written(cell: str) -> str:
        needed = separator in cell or '"' in cell
        return '"' + cell.replace('"', '""') + '"' if quotes == "all" or needed else cell

    lines = ["exported by a line that is not there"] * above
    lines.append(separator.join(map(written, order)))
    note = 'a "word", or; two\tor | three' if quotes == "needed" else "nothing"
    for event, station, carrier, time in EVENTS:
        cells = {
            "Träger": carrier,
            "Zeit": at(time, form),
            "Text": note,
            "event": event,
            "station": station,
        }
        lines.append(separator.join(written(cells[name]) for name in order))
    data = (ends.join(lines) + ends).encode(encoding)
    log = read(
        tmp_path_factory.mktemp("dialect"),
        gzip.compress(data) if packed else data,
        columns=[("time", "Zeit"), ("carrier", "Träger")],
    )
    assert events(log) == EVENTS
    assert log.faults == []
    assert log.frame.get_column("line").to_list() == [above + 2 + n for n in range(4)]


@pytest.mark.parametrize(
    ("unit", "divisor", "decimals"),
    [("us", 1, 0), ("ms", 1_000, 3), ("s", 1_000_000, 6)],
)
def test_times_that_are_counted_are_exact(
    tmp_path: Path, unit: str, divisor: int, decimals: int
) -> None:
    start = int(START.timestamp()) * 1_000_000
    rows = []
    for event, station, carrier, time in EVENTS:
        whole, rest = divmod(start + time, divisor)
        text = f"{whole},{rest:0{decimals}d}" if decimals else f"{whole}"
        rows.append(f"{text};{event};{station};{carrier}")
    text = "time;event;station;carrier\n" + "\n".join(rows)
    assert events(read(tmp_path, text, time_unit=unit)) == EVENTS


@pytest.mark.parametrize("zone", [None, "UTC", "Europe/Berlin"])
def test_parquet_with_times_numbers_and_text(tmp_path: Path, zone: str | None) -> None:
    number = {"Bench": 0, "Wash": 1, "Passivate": 3}
    frame = pl.DataFrame(
        {
            "time": [START + timedelta(microseconds=time) for *_, time in EVENTS],
            "event": [event for event, *_ in EVENTS],
            "station": [number[station] for _, station, *_ in EVENTS],
            "carrier": [carrier for *_, carrier, _ in EVENTS],
        }
    )
    frame = frame.with_columns(
        pl.col("time").dt.replace_time_zone(None)
        if zone is None
        else pl.col("time").dt.convert_time_zone(zone)
    )
    stream = io.BytesIO()
    frame.write_parquet(stream)
    stations = [(str(n), name) for name, n in number.items()]
    assert events(read(tmp_path, stream.getvalue(), stations=stations)) == EVENTS


def test_rows_that_cannot_be_read_are_told_and_the_rest_is_kept(tmp_path: Path) -> None:
    text = (
        "time,event,station,carrier\n"
        "2025-03-01T06:00:00,lift,Bench,C1\n"
        "\n"
        "yesterday,lower,Wash,C1\n"
        "2025-03-01T06:00:20,drop,Wash,C1\n"
        "2025-03-01T06:00:21,alarm,Wash,C1\n"
        "2025-03-01T06:00:22,lower,Wahs,C1\n"
        '2025-03-01T06:00:23,lower,"Wash,C1\n'
        "2025-03-01T06:00:24,lower,Wash,C1,and,more\n"
        "2025-03-01T06:00:25,LOWER, wash ,C1\n"
    )
    log = read(tmp_path, text, events=[("alarm", "")])
    assert [(fault.line, fault.field, fault.value) for fault in log.faults] == [
        (4, "time", "yesterday"),
        (5, "event", "drop"),
        (7, "station", "Wahs"),
        (8, "row", ""),
        (9, "row", ""),
    ]
    assert log.left_out == 1
    assert [
        (line, str(station)) for line, station in log.frame.select("line", "station").rows()
    ] == [
        (2, "Bench"),
        (10, "Wash"),
    ]


AUTUMN = "2025-10-26T{}"


def test_the_hour_that_happens_twice_is_told_apart_by_the_order_of_the_log(tmp_path: Path) -> None:
    clock = ["01:59:00", "02:10:00", "02:50:00", "02:05:00", "02:55:00", "03:01:00"]
    rows = [f"{AUTUMN.format(time)},lift,Wash" for time in clock]
    log = read(tmp_path, "time,event,station\n" + "\n".join(rows), zone="Europe/Berlin")
    # The zone's own rule, from the standard library: summer time is fold 0.
    minutes = [
        (datetime.fromisoformat("2025-10-26T00:00:00+02:00") + timedelta(minutes=m)).timestamp()
        for m in (119, 130, 170, 185, 235, 241)
    ]
    assert log.frame.get_column("time").to_list() == [int(m * 1_000_000) for m in minutes]
    assert log.frame.get_column("clock").max() == 0


def test_a_local_time_that_the_order_does_not_tell_is_named(tmp_path: Path) -> None:
    clock = ["01:59:00", "02:10:00", "03:01:00"]
    rows = [f"{AUTUMN.format(time)},lift,Wash" for time in clock]
    rows.append("2026-03-29T02:30:00,lift,Wash")
    log = read(tmp_path, "time,event,station\n" + "\n".join(rows), zone="Europe/Berlin")
    assert [(fault.line, fault.value) for fault in log.faults] == [
        (3, "2025-10-26T02:10:00"),
        (5, "2026-03-29T02:30:00"),
    ]
    assert "happens twice" in log.faults[0].why and "set forward" in log.faults[1].why


def test_a_clock_set_back_is_counted_and_the_order_of_the_file_kept(tmp_path: Path) -> None:
    rows = "2025-03-01T06:{},lift,Wash"
    text = "\n".join(rows.format(time) for time in ("00:00", "10:00", "05:00", "06:00", "01:00"))
    log = read(tmp_path, "time,event,station\n" + text)
    assert log.frame.get_column("clock").to_list() == [0, 0, 1, 1, 2]
    assert log.frame.get_column("line").to_list() == [2, 3, 4, 5, 6]


def test_files_are_merged_and_what_two_of_them_share_is_taken_once(tmp_path: Path) -> None:
    head = "time,event,station\n"
    rows = [f"2025-03-01T06:0{minute}:00,lift,Wash\n" for minute in range(6)]
    parts = [rows[3:], rows[:4], rows[4:5]]
    paths = []
    for number, part in enumerate(parts):
        paths.append(tmp_path / f"{number}.csv")
        paths[-1].write_text(head + "".join(part), encoding="utf-8")
    log = read_log(paths, mapping())
    times = log.frame.get_column("time").to_list()
    assert len(times) == 6 and times == sorted(times)
    assert any("2 rows stand in two files" in note for note in log.notes)


def test_a_file_that_begins_with_the_latest_event_is_turned_round(tmp_path: Path) -> None:
    rows = [f"2025-03-01T06:0{minute}:00,lift,Wash" for minute in range(5, -1, -1)]
    log = read(tmp_path, "time,event,station\n" + "\n".join(rows))
    assert log.frame.get_column("line").to_list() == [7, 6, 5, 4, 3, 2]
    assert log.frame.get_column("clock").max() == 0


def test_days_and_months_are_told_apart_where_one_row_can(tmp_path: Path) -> None:
    head = "time,event,station\n"
    both = "03/04/2025 06:00:00,lift,Wash\n"
    with pytest.raises(hoistopt.InputError, match="read in one way only"):
        read(tmp_path, head + both)
    rows = both * 3000 + "13/04/2025 06:00:00,lift,Wash\n"
    first = read(tmp_path, head + rows).frame.get_column("time")[0]
    assert first == datetime(2025, 4, 3, 6, tzinfo=UTC).timestamp() * 1_000_000
    given = read(tmp_path, head + both, time_format="%m/%d/%Y %H:%M:%S").frame
    assert given.get_column("time")[0] == datetime(2025, 3, 4, 6, tzinfo=UTC).timestamp() * 1e6


def test_a_packed_file_is_never_unpacked_beyond_its_bound(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(content, "MOST_BYTES", 1_000_000)
    with pytest.raises(hoistopt.InputError, match="at most 1 MB, unpacked"):
        read(tmp_path, gzip.compress(b"0" * 50_000_000), "log.csv.gz")
    with pytest.raises(hoistopt.InputError, match="whole gzip file"):
        read(tmp_path, gzip.compress(b"time,event,station\n" * 999)[:-9], "log.csv.gz")


def test_columns_by_number_without_a_header_and_a_time_of_two_columns(tmp_path: Path) -> None:
    path = tmp_path / "map.toml"
    path.write_text(
        "[file]\nheader = false\n[columns]\ntime = [2, 3]\nevent = 1\nstation = 4\n"
        '[events]\n1 = "lift"\n0 = "lower"\n[stations]\n7 = "Wash"\n99 = false\n',
        encoding="utf-8",
    )
    text = "1;01.03.2025;06:00:00;7\n0;01.03.2025;06:00:30;7\n1;01.03.2025;06:01:00;99\n"
    log = read(tmp_path, text, path=path)
    assert [(str(e), line) for e, line in log.frame.select("event", "line").rows()] == [
        ("lift", 1),
        ("lower", 2),
    ]
    assert log.left_out == 1


def test_a_name_with_a_plus_is_two_columns_where_no_column_has_it(tmp_path: Path) -> None:
    text = "Day,Clock,Day+Clock,event,station\n01.03.2025,06:00:00,02.03.2025 06:00:00,lift,Wash\n"
    begun = int(START.timestamp()) * 1_000_000
    for named, days in (("day+clock", 1), ("Clock+Day", None), ("Day+Nothing", None)):
        path = tmp_path / "map.toml"
        path.write_text(f'[columns]\ntime = "{named}"\n[time]\nformat = "%d.%m.%Y %H:%M:%S"\n')
        if days is None:
            with pytest.raises(hoistopt.InputError):
                read(tmp_path, text, path=path)
            continue
        assert read(tmp_path, text, path=path).frame["time"][0] == begun + days * 86400 * 1_000_000
        without = text.replace(",Day+Clock", "").replace(",02.03.2025 06:00:00", "")
        assert read(tmp_path, without, path=path).frame["time"][0] == begun


def test_a_column_that_stands_twice_is_refused_unless_its_number_is_given(tmp_path: Path) -> None:
    text = "time,event,station,Station\n2025-03-01T06:00:00,lift,Wash,Rinse\n"
    with pytest.raises(hoistopt.InputError, match="station: expected each column once"):
        read(tmp_path, text)
    log = read(tmp_path, text, columns=[("station", "4")])
    assert log.frame["station"].to_list() == ["Rinse"]


def test_a_log_kept_in_a_workbook_is_read_as_its_table(tmp_path: Path) -> None:
    rows = ["time,event,station,carrier"]
    book = openpyxl.Workbook()
    book.active.title = "Log"
    book.active.append(rows[0].split(","))
    for event, station, carrier, when in EVENTS:
        moment = START.replace(tzinfo=None) + timedelta(microseconds=when)
        rows.append(f"{moment.isoformat()},{event},{station},{carrier}")
        book.active.append([moment, event, station, carrier])
    book.save(tmp_path / "log.xlsx")
    table = read(tmp_path, "\n".join(rows) + "\n", zone="UTC")
    log = read_log([tmp_path / "log.xlsx"], mapping(zone="UTC"))
    assert events(log) == events(table) == EVENTS
    assert not log.faults and not table.faults
