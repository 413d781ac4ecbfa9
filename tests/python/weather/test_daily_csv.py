"""Daily weather in plain CSV files."""

import datetime

import numpy as np
import pandas as pd
import pytest
import ridethrough as rt
from ridethrough.weather.daily_csv import read_daily_csv
from ridethrough.weather.weather_files import read_weather

HEAD = "# latitude: 44°30' N\n# longitude: 110 W\n# name: Valley\n"
DAYS = [datetime.date(2019, 1, 1) + datetime.timedelta(days=i) for i in range(365)]
SUN = [1.5 + 4.5 * np.sin(np.pi * i / 365) ** 2 for i in range(365)]


def text(head=HEAD, columns="date,ghi_kwh_m2,temp_min_c,temp_max_c", scale=1.0, **changed):
    lines = [f"{d},{s * scale:.4f},{-5 + i % 7},{6 + i % 5}" for i, (d, s) in enumerate(zip(DAYS, SUN, strict=True))]
    for number, line in changed.items():
        lines[int(number[1:])] = line
    return head + columns + "\n" + "\n".join(lines) + "\n"


@pytest.fixture
def file(tmp_path):
    def write(content):
        path = tmp_path / "days.csv"
        path.write_text(content, encoding="utf-8")
        return path

    return write


def test_as_from_a_frame(file):
    climate = read_weather(file(text()))
    columns = {"ghi_kwh_m2": np.round(SUN, 4), "temp_min_c": [-5 + i % 7 for i in range(365)]}
    frame = pd.DataFrame(columns | {"temp_max_c": [6 + i % 5 for i in range(365)]}, index=pd.DatetimeIndex(DAYS))
    expected = rt.Climate.from_daily(frame, latitude=44.5, longitude=-110, name="Valley", source="daily file days.csv")
    assert climate == expected
    assert climate.name == "Valley"


def test_megajoules_other_columns_and_their_order(file):
    expected = read_weather(file(text()))
    # 3.6 MJ are 1 kWh by definition.
    mega = read_weather(file(text(columns="Date,ghi_MJ_m2,temp_min_c,temp_max_c", scale=3.6)))
    np.testing.assert_allclose(mega.ghi_kwh_m2_day, expected.ghi_kwh_m2_day, rtol=1e-4)
    swapped = "\n".join(
        ",".join([*(c := line.split(","))[:1], c[3], "x", c[2], c[1]]) if line[0] in "2d" else line
        for line in text().splitlines()
    )
    assert read_weather(file("\ufeff" + swapped)) == expected


def test_the_place_is_the_trips_where_the_file_has_none(file):
    path = file(text(head=""))
    climate = read_weather(path, latitude=44.5, longitude=-110)
    assert (climate.latitude, climate.longitude) == (44.5, -110)
    with pytest.raises(
        rt.InputError, match=r"days.csv: latitude: must be given; write a line such as '# latitude: 44.5'"
    ):
        read_weather(path)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (
            text(columns="date,sun,temp_min_c,temp_max_c"),
            "line 4: needs one of ghi_kwh_m2, ghi_mj_m2; it has date, sun",
        ),
        (text(columns="date,ghi_kwh_m2,low,temp_max_c"), "line 4: no column temp_min_c; it has"),
        (text(r3="2019-01-04,,1,2"), "line 8: ghi_kwh_m2 = '': allowed a number"),
        (text(r3="2019-01-04,1.0,nan,2"), "line 8: temp_min_c = 'nan': allowed a number"),
        (text(r3='2019-01-04,"1,5",1,2'), "line 8: ghi_kwh_m2 = '1,5': allowed a number; decimals with a point"),
        (text(r3="2019-01-04,1.5"), "line 8: 2 cells; the header has 4"),
        (text(r3="4.1.2019,1.5,1,2"), "line 8: date = '4.1.2019': allowed YYYY-MM-DD"),
        (text(r3="2019-01-05,1.5,1,2"), "line 8: date = '2019-01-05': comes after 2019-01-03; days must be in a row"),
        (text(r3="2019-01-04,1.5,3,2"), "temp_max_c is below temp_min_c"),
        (text(head="# latitude: Paris\n# longitude: 2\n"), "latitude = 'Paris': allowed -90 to 90 deg"),
        ("\n".join(text().splitlines()[:90]), "fewer than 5 whole days in"),
        ("# latitude: 3\n", "it has no header"),
    ],
)
def test_each_mistake_is_named_with_its_line(file, content, message):
    with pytest.raises(rt.InputError, match=message) as raised:
        read_daily_csv(file(content))
    assert "days.csv: " in str(raised.value)
