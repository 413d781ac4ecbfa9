"""Coordinates in the notations people use."""

import pytest
import ridethrough as rt
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
        ("Paris", "allowed two of them"),
        ("near Paris", "names of places are not known"),
        ("44.5", "allowed two of them"),
        ("-44 S, 3 E", "a minus sign or a letter, not both"),
        ("44.5 N, 3 N", "two of latitude"),
        ("44 75 N, 3 E", "minutes and seconds under 60"),
        ("44.5 30 N, 3 E", "whole degrees before minutes"),
        ("95, 3", "latitude = 95.0: allowed -90 to 90 deg"),
        ("3, 195", "longitude = 195.0: allowed -180 to 180 deg"),
        ("", "allowed two of them"),
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
    with pytest.raises(rt.InputError, match="latitude = True: allowed degrees"):
        read_coordinate("latitude", True)


def test_in_files(tmp_path):
    file = tmp_path / "trip.toml"
    text = "[trip]\nstart = '2027-09-25 15:00'\nnights = 2\n[trip.site]\nlatitude = \"{}\"\nlongitude = '110 W'\n"
    file.write_text(text.format("44°30' N"), encoding="utf-8")
    site = load_scenario(file).trip.site
    assert (site.latitude, site.longitude) == (44.5, -110)
    file.write_text(text.format("Paris"), encoding="utf-8")
    with pytest.raises(rt.InputError, match=r"trip\.site\.latitude = 'Paris': allowed degrees, such as"):
        load_scenario(file)
