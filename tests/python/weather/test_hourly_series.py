"""Weather frames laid on hours of one clock."""

import numpy as np
import pytest
import ridethrough as rt
from made_up_hours import from_hourly, made_up

pd = pytest.importorskip("pandas")


def test_labels_shift_the_hours():
    frame = made_up()
    left = from_hourly(frame)
    for label, shift in (("right", "1h"), ("centre", "30min")):
        moved = frame.set_axis(frame.index + pd.Timedelta(shift))
        assert from_hourly(moved, label=label).weather_series == left.weather_series
    with pytest.raises(rt.InputError, match="label = 'end'"):
        from_hourly(frame, label="end")
    with pytest.raises(rt.InputError, match=r"30 min off.*right label"):
        from_hourly(frame, label="centre")


def test_gaps_and_nan_say_where_and_may_be_filled():
    frame = made_up()
    holes = frame.copy()
    holes.loc[holes.index[[500, 501, 900]], "ghi"] = np.nan
    with pytest.raises(rt.InputError, match="ghi is missing or not finite in 3 h, first 2021-01-21 20:00"):
        from_hourly(holes)
    filled = from_hourly(holes, fill="interpolate").weather_series
    before, after = frame["ghi"].iloc[499], frame["ghi"].iloc[502]
    assert filled.ghi_w_m2[500] == pytest.approx(before + (after - before) / 3)
    missing = frame.drop(frame.index[[700, 701]])
    with pytest.raises(rt.InputError, match="missing or not finite in 2 h, first 2021-01-30 04:00"):
        from_hourly(missing)
    assert from_hourly(missing, fill="interpolate").weather_series.hours == 8760 * 2
    with pytest.raises(rt.InputError, match=r"gap of 4 h \(from 2021-01-30 04:00"):
        from_hourly(frame.drop(frame.index[700:704]), fill="interpolate")
    with pytest.raises(rt.InputError, match="fill = 'zero'"):
        from_hourly(frame, fill="zero")


def test_a_typical_year_is_recognised_and_leap_days_dropped():
    frame = made_up("2019-01-01", 24 * 731)  # 2019 and 2020
    january_2020 = frame.loc["2020-01-01":"2020-01-31"]
    february_2020 = frame.loc["2020-02-01":"2020-02-29"]
    rest = frame.loc["2019-03-01":"2019-12-31"]
    record = from_hourly(pd.concat([january_2020, february_2020, rest])).weather_series
    assert record.wraps and record.hours == 8760
    assert record.air_temp_c[59 * 24] == rest["temp_air"].iloc[0]  # 1 March after 28 February
    # Right-labelled, every month ends with a stamp of the next.
    moved = pd.concat([january_2020, february_2020, rest])
    moved = moved.set_axis(moved.index + pd.Timedelta("1h"))
    assert from_hourly(moved, label="right").weather_series == record
    with pytest.raises(rt.InputError, match="comes after"):
        from_hourly(pd.concat([january_2020.iloc[::-1], february_2020, rest]))
    with pytest.raises(rt.InputError, match="twelve months"):
        from_hourly(frame, typical_year=True)
    assert not from_hourly(frame).weather_series.wraps
    assert from_hourly(frame).weather_series.hours == 24 * 731  # leap day kept in an actual record


def test_finer_steps_are_averaged_and_zones_with_summer_time_are_laid_on_standard_time():
    frame = made_up(freq="15min", hours=8760 * 4)
    record = from_hourly(frame).weather_series
    assert record.hours == 8760
    assert record.ghi_w_m2[12] == pytest.approx(frame["ghi"].iloc[48:52].mean())
    summer = frame.tz_convert("America/New_York")
    assert from_hourly(summer).weather_series == record
    assert from_hourly(summer).weather_series.utc_offset_h == -5
    assert from_hourly(made_up(tz="Asia/Kolkata")).weather_series.utc_offset_h == 5.5
    india = made_up(tz="UTC", hours=8760 * 2).tz_convert("Asia/Kolkata")
    assert (
        from_hourly(india).weather_series.utc_offset_h == 6
    )  # its hours are full in UTC only: nearest full-hour clock


def test_dni_gives_the_diffuse_part():
    frame = made_up()
    direct = from_hourly(frame.assign(dni=0.0)).weather_series
    assert np.allclose(direct.dhi_w_m2, direct.ghi_w_m2)
    assert np.sum(from_hourly(frame.assign(dni=300.0)).weather_series.dhi_w_m2) < np.sum(direct.dhi_w_m2)
