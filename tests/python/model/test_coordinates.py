"""Coordinates in the notations people use."""

import pandas as pd
import pytest
import ridethrough as rt
from optional import there
from ridethrough.files.scenario import load_scenario
from ridethrough.model.coordinates import coordinates, read_coordinate


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("44.5, -110", (44.5, -110)),
        ("44.5 -110", (44.5, -110)),
        ("44.5 N, 110 W", (44.5, -110)),
        ("44.5N 110W", (44.5, -110)),
        ("110 W, 44.5 N", (44.5, -110)),
        ("44°30' N 110° W", (44.5, -110)),
        ("N44 30, W110 0", (44.5, -110)),
        ("44 30 36 S; 3 0 0 E", (-44.51, 3)),
        ("51° 30′ 36″ N, 0° 7′ 12″ W", (51.51, -0.12)),
        ("44.5 north, 110 west", (44.5, -110)),
        ("−33.9, 18.4", (-33.9, 18.4)),
    ],
)
def test_pairs(text, expected):
    assert coordinates(text) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("Paris", "must be two"),
        ("near Paris", "names of places are not known"),
        ("44.5", "must be two"),
        ("-44 S, 3 E", "a minus sign or a letter, not both"),
        ("44.5 N, 3 N", "two of latitude"),
        ("44 75 N, 3 E", "minutes and seconds under 60"),
        ("44.5 30 N, 3 E", "whole degrees before minutes"),
        ("95, 3", "latitude = 95.0: allowed -90 to 90 deg"),
        ("3, 195", "longitude = 195.0: allowed -180 to 180 deg"),
        ("", "must be two"),
    ],
)
def test_refused_pairs(text, message):
    with pytest.raises(rt.InputError, match=message):
        coordinates(text)


def test_one():
    assert read_coordinate("longitude", "110°15' W") == -110.25
    assert read_coordinate("latitude", 44) == 44
    with pytest.raises(rt.InputError, match="latitude = '110 W': that is a longitude; allowed -90 to 90 deg"):
        read_coordinate("latitude", "110 W")
    with pytest.raises(rt.InputError, match="latitude = True: allowed -90 to 90 deg, such as 44.5"):
        read_coordinate("latitude", True)


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [
        (44.5, -110.2),
        ("44.5 N", "W 110.2"),
        ("N 44.5", "110.2W"),
        ("44 30 N", "110 12 W"),
        ("44°30'N", "110°12' W"),
        ("44.5", "-110.2"),
        ("44d30m N", "110 deg 12 min west"),
        ("44 29 60e0", None),
    ],
)
def test_of_a_site(latitude, longitude):
    if longitude is None:
        with pytest.raises(rt.InputError, match="Site.latitude = '44 29 60e0': allowed -90 to 90"):
            rt.Site(latitude=latitude, longitude=0)
        return
    site = rt.Site(latitude=latitude, longitude=longitude)
    assert (site.latitude, site.longitude) == (44.5, -110.2)
    assert site == rt.Site(latitude=44.5, longitude=-110.2)
    assert site == rt.Site(latitude=0, longitude=0).replace(latitude=latitude, longitude=longitude)
    assert rt.Site.from_dict({"latitude": latitude, "longitude": longitude}) == site
    assert site.origin("latitude").type == "given"


def test_of_a_climate_and_of_measured_weather():
    climate = rt.climate_at(44.5, -110)
    assert climate.replace(latitude="44 30 N", longitude="110 W") == climate
    index = pd.date_range("2019-01-01", "2019-12-31", freq="D")
    frame = pd.DataFrame({"ghi_kwh_m2": 2.0, "temp_min_c": 1.0, "temp_max_c": 9.0}, index)
    frame.loc[::2, "ghi_kwh_m2"] = 1.5
    frame.loc[::3, "temp_max_c"] = 8.0
    made, again = (
        rt.Climate.from_daily(frame, latitude=a, longitude=b) for a, b in ((44.5, -110), ("44°30' N", "110 W"))
    )
    assert made == again
    with pytest.raises(rt.InputError, match="^longitude = '44 N': that is a latitude"):
        rt.Climate.from_daily(frame, latitude=44, longitude="44 N")


@pytest.mark.parametrize(
    ("field", "text", "message"),
    [
        ("latitude", "Paris", "allowed -90 to 90 deg, such as 44.5, .*; names of places are not known"),
        ("latitude", "44,5 N", "allowed -90 to 90 deg, such as 44.5, .*; decimals with a point"),
        ("latitude", "110 W", "that is a longitude; allowed -90 to 90 deg"),
        ("longitude", "44 N", "that is a latitude; allowed -180 to 180 deg"),
        ("latitude", "95 N", "allowed -90 to 90 deg"),
        ("longitude", "181 W", "allowed -180 to 180 deg"),
        ("longitude", "-110 W", "allowed a minus sign or a letter, not both"),
        ("longitude", "E 110 W", "allowed one of the letters"),
        ("latitude", "44 60 N", "allowed whole degrees before minutes, minutes and seconds under 60"),
        ("latitude", "44.5 30 N", "allowed whole degrees before minutes"),
        ("latitude", "", "allowed -90 to 90 deg"),
        ("longitude", "110 O", "allowed -180 to 180 deg, such as -110.2"),  # east in German, west in Spanish
    ],
)
def test_refused_by_the_name_of_the_field(field, text, message):
    values = {"latitude": 0.0, "longitude": 0.0, field: text}
    with pytest.raises(rt.InputError, match=f"^Site.{field} = '{text}': .*{message}") as raised:
        rt.Site(**values)
    assert (raised.value.path, raised.value.value) == (f"Site.{field}", text)
    with pytest.raises(rt.InputError, match=f"^Climate.{field} = '{text}': "):
        rt.climate_at(44.5, -110).replace(field, text)


def test_in_files(tmp_path):
    file = tmp_path / "trip.toml"
    text = "[trip]\nstart = '2027-09-25 15:00'\nnights = 2\n[trip.site]\nlatitude = \"{}\"\nlongitude = '110 W'\n"
    file.write_text(text.format("44°30' N"), encoding="utf-8")
    site = there(load_scenario(file).trip.site)
    assert (site.latitude, site.longitude) == (44.5, -110)
    bare = "[trip.site.climate]\nlatitude = '44 30 N'\nlongitude = 'W 110'\n"
    normals = f"ghi_kwh_m2_day = {[2.0] * 12}\nair_temp_c = {[5.0] * 12}\n"
    file.write_text(text.format("44.5 N") + bare + normals, encoding="utf-8")
    climate = there(there(load_scenario(file).trip.site).climate)
    assert (climate.latitude, climate.longitude) == (44.5, -110)
    file.write_text(text.format("Paris"), encoding="utf-8")
    with pytest.raises(rt.InputError, match=r"trip\.site\.latitude = 'Paris': allowed -90 to 90 deg, such as"):
        load_scenario(file)


def test_swapped_coordinates_are_asked_about() -> None:
    with pytest.raises(rt.InputError, match=r"= -110 deg: allowed -90 to 90 deg; are latitude and longitude swapped\?"):
        rt.Site(latitude=-110, longitude=44.5)
    with pytest.raises(rt.InputError) as refused:
        rt.Site(latitude=-110, longitude=-120)
    assert "swapped" not in str(refused.value)
