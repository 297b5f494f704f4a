"""Rules for the keys of a station, each by itself or among all stations.

Each check takes the problem and raises one InputError, or returns quietly.
"""

from __future__ import annotations

from ...base.errors import InputError
from ..statement import Statement, stages_of


def _station_fields(problem: Statement) -> None:
    for number, station in enumerate(problem.stations, start=1):
        field = f'station {number} ("{station.name}")'
        ends = station.loads or station.unloads
        if station.capacity == "unlimited" and not ends:
            raise InputError(
                "a whole number of carriers",
                field=f"{field}, capacity",
                value=station.capacity,
                way_out="Only load and unload stations can be unlimited buffers.",
            )
        if station.min_occupation and not ends:
            raise InputError(
                "this key at load and unload stations only",
                field=f"{field}, min_occupation",
                value=station.min_occupation,
                way_out="For a tank or dryer set the stage's min.",
            )
        if station.min_rest and station.kind not in ("tank", "dryer"):
            raise InputError(
                "this key at tanks and dryers only",
                field=f"{field}, min_rest",
                value=station.min_rest,
                way_out="For a load or unload station set min_occupation.",
            )


def _out_of_service(problem: Statement) -> None:
    for number, station in enumerate(problem.stations, start=1):
        if station.out_of_service and station.kind not in ("tank", "dryer"):
            raise InputError(
                "this key at tanks and dryers only",
                field=f'station {number} ("{station.name}"), out_of_service',
                value="true",
            )
    for field, _, _, stage in stages_of(problem):
        if all(problem.station_by_name[name].out_of_service for name in stage.station):
            raise InputError(
                "a station in service",
                field=f"{field}, station",
                value=", ".join(stage.station),
                way_out="It is out of service, and no other serves the stage: name one, or take "
                "out_of_service away.",
            )


def _numbers_differ(problem: Statement) -> None:
    seen: dict[int, str] = {}
    for place, station in enumerate(problem.stations, start=1):
        if station.number is None:
            continue
        if station.number in seen:
            raise InputError(
                f'a number of its own; "{seen[station.number]}" has this one',
                field=f'station {place} ("{station.name}"), number',
                value=station.number,
            )
        seen[station.number] = station.name


ALL = (_station_fields, _out_of_service, _numbers_differ)
