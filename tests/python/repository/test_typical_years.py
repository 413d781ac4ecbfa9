"""Places in notebooks and scenarios are those of their source; the place whose file pvlib does not carry is left to
`tests/long/notebook_places.py`."""

from __future__ import annotations

import pytest

pytest.importorskip("pvlib")

import typical_years  # noqa: E402


@pytest.mark.parametrize(
    "station", [s for s, file in typical_years.FILES.items() if file.parent.parent.name == "pvlib"]
)
def test_written_normals_are_those_of_their_typical_year(station: str) -> None:
    made = typical_years.normals(station)
    found = [w for w in typical_years.written() if w.station == station]
    assert found
    for w in found:
        sun, air = w.misses(made)
        assert sun < 0.0055 and air < 0.055, w.where


def test_every_place_names_a_file_that_it_can_be_worked_out_from() -> None:
    found = typical_years.written()
    assert {w.where for w in found} >= {"first_trip.ipynb", "agm_or_lithium.ipynb", "panel_wattage.ipynb", "demo.toml"}
    assert {w.station for w in found} == set(typical_years.FILES)
