"""Where a climate is from."""

from typing import Any

import pytest
import ridethrough as rt
import typical_years
from ridethrough.weather.weather_files import read_weather
from verdict_text import details


def trip_to(*sites, **more):
    if len(sites) == 1:
        return rt.Trip(site=sites[0], start="2027-09-25 15:00", nights=3, **more)
    stops = [rt.Stop(name=f"stop {i}", site=site, nights=2) for i, site in enumerate(sites)]
    return rt.Trip(stops=stops, start="2027-09-25 15:00", **more)


def said_of(climate, **more):
    risk = rt.simulate(
        rt.Van(), trip_to(rt.Site(latitude=36.1, longitude=-79.95, climate=climate), **more), trials=200, progress=False
    )
    (line,) = [line for line in details(risk).splitlines() if line.startswith("Climate")]
    return line, risk.to_dict()["places"][0]["climate"]


def test_given_normals_are_told_from_measured_weather():
    ghi, air = typical_years.normals("TMY3 723170")
    line, plain = said_of(rt.Climate(ghi_kwh_m2_day=ghi, air_temp_c=air))
    assert line == "Climate: twelve normals as given, source not named; no error of theirs is drawn."
    nothing: dict[str, Any] = {"less_sure": [], "sun_sd": None, "air_temp_sd_k": None}
    assert plain == {"kind": "normals", "source": None, **nothing}
    line, plain = said_of(
        rt.Climate(ghi_kwh_m2_day=ghi, air_temp_c=air, source="TMY3", air_temp_offset_k=rt.spreads.normal(0, 1.3))
    )
    assert line == (
        "Climate: twelve normals as given, TMY3; their error, 1.3 K (standard deviation), is drawn in the trials."
    )
    assert (plain["source"], plain["sun_sd"], plain["air_temp_sd_k"]) == ("TMY3", None, pytest.approx(1.3, rel=1e-3))
    measured = read_weather(typical_years.FILES["TMY3 723170"])
    line, plain = said_of(measured)
    file = "TMY3 file 723170TYA.CSV"
    assert line == f"Climate: days like those measured, {file}; no error of theirs is drawn."
    assert plain == {"kind": "weather", "source": file, **nothing}
    assert said_of(measured, weather="replayed") == (f"Climate: measured days, {file}.", plain)
