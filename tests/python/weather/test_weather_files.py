"""Weather files of the usual formats."""

import sys
from pathlib import Path

import pytest
import ridethrough as rt
from ridethrough.weather import weather_files

pd = pytest.importorskip("pandas")


pvlib = pytest.importorskip("pvlib")


TMY3 = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"  # Greensboro (US public domain)


def test_files_must_exist_and_be_what_their_ending_says(tmp_path):
    with pytest.raises(rt.InputError, match="no such file"):
        weather_files.read_weather(tmp_path / "nothing.epw")
    (tmp_path / "a.txt").write_text("x")
    with pytest.raises(rt.InputError, match=r"unknown ending '\.txt'"):
        weather_files.read_weather(tmp_path / "a.txt")
    (tmp_path / "a.epw").write_bytes(TMY3.read_bytes()[:5000])
    with pytest.raises(rt.InputError, match="not an EPW file; its content looks like TMY3"):
        weather_files.read_weather(tmp_path / "a.epw")
    (tmp_path / "a.csv").write_text("time,ghi\n1,2\n")
    with pytest.raises(
        rt.InputError, match="not a TMY3 file; a daily one has the columns date, ghi_kwh_m2, temp_min_c, temp_max_c$"
    ):
        weather_files.read_weather(tmp_path / "a.csv")
    (tmp_path / "b.csv").write_bytes(TMY3.read_bytes()[:20000])
    with pytest.raises(rt.InputError):
        weather_files.read_weather(tmp_path / "b.csv")


def test_without_pvlib_the_error_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "pvlib", None)
    with pytest.raises(rt.InputError, match=r"pip install '\.\[weather\]' in a checkout"):
        weather_files.read_weather(TMY3)


def test_epw_is_read_with_its_own_label(tmp_path):
    # The Greensboro year rewritten in the EPW column order (EnergyPlus documentation, auxiliary programs).
    frame, _ = pvlib.iotools.read_tmy3(TMY3, map_variables=True)
    head = "LOCATION,Greensboro,NC,USA,TMY3,723170,36.10,-79.95,-5.0,273.0\n" + "x\n" * 7
    lines = []
    for stamp, row in zip(frame.index - pd.Timedelta("1h"), frame.itertuples(), strict=True):
        day = 28 if (stamp.month, stamp.day) == (2, 29) else stamp.day
        cells = ["0"] * 35
        cells[:5] = [str(stamp.year), str(stamp.month), str(day), str(stamp.hour + 1), "60"]
        cells[6], cells[13], cells[14], cells[15] = str(row.temp_air), str(row.ghi), str(row.dni), str(row.dhi)
        lines.append(",".join(cells))
    (tmp_path / "g.epw").write_text(head + "\n".join(lines) + "\n")
    c = weather_files.read_weather(tmp_path / "g.epw")
    assert c.weather_series == weather_files.read_weather(TMY3).weather_series
    assert c.name == "Greensboro"
