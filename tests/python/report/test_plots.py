"""The pictures: what they show, that their titles carry the interval, and what is said without matplotlib."""

import subprocess
import sys

import numpy as np
import pytest
import ridethrough as rt
from optional import there
from ridethrough.files.scenario import demo_path, load_scenario
from ridethrough.report.plots import RiskPlots, _nights

matplotlib = pytest.importorskip("matplotlib")
matplotlib.use("Agg")
import matplotlib.pyplot as plt  # noqa: E402

DEMO = load_scenario(demo_path())


@pytest.fixture(scope="module")
def risk():
    return rt.simulate(DEMO.van, DEMO.trip, trials=3000, seed=2)


@pytest.fixture(autouse=True)
def closed():
    yield
    plt.close("all")


def texts(ax):
    return [text.get_text() for text in ax.texts]


@pytest.mark.parametrize("name", ["charge", "survival", "clock"])
def test_titles_carry_probability_interval_and_trials(risk, name):
    ax = getattr(risk.plot, name)()
    title = ax.get_title(loc="left")
    assert f"{100 * risk.cutout.value:.0f}" in title
    assert "sampling error alone" in title and "3,000 trials" in title
    ax.figure.canvas.draw()  # nothing warns: warnings are errors here


@pytest.mark.parametrize("name", ["charge", "survival", "clock"])
def test_draws_on_the_axes_given(risk, name):
    ax = plt.subplots()[1]
    assert getattr(risk.plot, name)(ax) is ax
    assert len(plt.get_fignums()) == 1


def test_charge_shows_median_bands_and_half(risk):
    ax = risk.plot.charge()
    median = next(line for line in ax.lines if line.get_label() == "median trip")
    hours, percent = median.get_data()
    assert hours.tolist() == list(range(1, 121))
    np.testing.assert_array_equal(percent, 100 * risk.soc_quantiles([0.5])[0])
    labels = ax.get_legend_handles_labels()[1]
    assert {"90 % of trips", "50 % of trips"} <= set(labels)
    assert any("half charge" in label for label in labels)
    assert "2026-11-06 15:00" in ax.get_xlabel()
    assert [t.get_text() for t in ax.get_xticklabels()][:2] == ["Sat 7 Nov", "Sun 8 Nov"]


def test_lithium_has_no_half_line_and_drives_are_marked():
    trip = DEMO.trip.replace(drives=[rt.Drive(days=[2])])
    ax = rt.simulate(DEMO.van.replace(battery=rt.LithiumBattery()), trip, trials=300).plot.charge()
    labels = ax.get_legend_handles_labels()[1]
    assert not any("half charge" in label for label in labels)
    drive = next(line for line in ax.lines if line.get_label() == "driving")
    # Day 2, 10 to 12 h, of a start at 15 h.
    assert np.asarray(drive.get_xdata()).tolist() == [24 + 10 - 15, 24 + 12 - 15]


def test_drives_to_stops_and_their_shore_power_are_marked():
    stops = [
        rt.Stop(name="a", site=there(DEMO.trip.site), nights=2),
        rt.Stop(name="b", site=there(DEMO.trip.site), nights=2, power="shore"),
    ]
    trip = rt.Trip(stops=stops, start="2026-06-01 12:00")
    risk = rt.simulate(rt.Van(mains=rt.MainsCharger()), trip, trials=50, seed=1)
    assert np.mean(risk.columns["dc_dc_wh"]) > 10 and np.mean(risk.columns["mains_wh"]) > 10
    lines: dict[str, list[list[float]]] = {"driving": [], "plugged in": []}
    for line in risk.plot.charge().lines:
        if line.get_linewidth() == 4:
            lines["driving" if line.get_color() == "#c55a11" else "plugged in"].append(
                np.asarray(line.get_xdata()).tolist()
            )
    assert lines == {"driving": [[2, 4], [50, 52]], "plugged in": [[52, 96]]}  # arrivals at 16 h, of two hours' drives


@pytest.mark.parametrize(("start", "day_h"), [("2027-03-13 15:00", 23), ("2026-10-31 15:00", 25)])
def test_midnights_and_drives_stand_where_the_clock_has_them(start, day_h):
    """Over a day of 23 h, or of 25: its change is at 2:00 on the second day."""
    trip = DEMO.trip.replace(start=start, nights=3, drives=[rt.Drive(days=2)])
    ax = rt.simulate(DEMO.van, trip, trials=50).plot.charge()
    assert ax.get_xticks().tolist() == [9, 9 + day_h, 33 + day_h]
    sixes = dict(zip(ax.get_xticks(minor=True).tolist(), ax.get_xticklabels(minor=True), strict=True))
    assert sixes[9 + day_h - 6].get_text() == "18:00" and sixes[3].get_text() == "18:00"
    drive = next(line for line in ax.lines if line.get_label() == "driving")
    assert np.asarray(drive.get_xdata()).tolist() == [9 + day_h - 14, 9 + day_h - 12]


def test_night_is_between_sunset_and_sunrise(risk):
    """Against pvlib's solar position algorithm (NREL SPA); our spans are cut to 5 minutes."""
    pd, pvlib = pytest.importorskip("pandas"), pytest.importorskip("pvlib")
    site = risk.trip.site
    days = pd.date_range("2026-11-06", periods=6, freq="D", tz="Etc/GMT+5")
    almanac = pvlib.solarposition.sun_rise_set_transit_spa(days, site.latitude, site.longitude)
    begin = pd.Timestamp("2026-11-06 15:00", tz="Etc/GMT+5")
    set_h, rise_h = ((almanac[k] - begin) / pd.Timedelta(hours=1) for k in ("sunset", "sunrise"))
    nights = np.array(_nights(risk))
    np.testing.assert_allclose(nights, np.column_stack([set_h[:-1], rise_h[1:]]), atol=0.1)


def test_survival_shows_estimates_and_intervals(risk):
    ax = risk.plot.survival()
    line, _, bars = ax.containers[0].lines
    estimates = risk.survival()
    np.testing.assert_allclose(line.get_ydata(), [100 * e.value for e in estimates], rtol=1e-12)
    low, high = np.array([segment[:, 1] for segment in bars[0].get_segments()]).T
    np.testing.assert_allclose(low, [100 * e.low for e in estimates], rtol=1e-12)
    np.testing.assert_allclose(high, [100 * e.high for e in estimates], rtol=1e-12)
    assert f"{100 * estimates[-1].value:.1f}" in texts(ax)


def test_two_vans_on_one_survival_picture(risk):
    other = rt.simulate(DEMO.van.replace(battery=rt.LithiumBattery()), DEMO.trip, trials=300)
    ax = risk.plot.survival(label="AGM")
    other.plot.survival(ax, label="lithium")
    assert [text.get_text() for text in ax.get_legend().get_texts()] == ["AGM", "lithium"]
    assert "AGM: cut-out" in ax.get_title(loc="left") and "lithium: cut-out" in ax.get_title(loc="left")
    assert ax.get_ylim()[0] <= 100 * min(e.low for e in risk.survival() + other.survival())


def test_clock_cells_are_shares_of_all_trips(risk):
    ax = risk.plot.clock()
    cells = np.asarray(ax.collections[0].get_array())
    assert cells.sum() == pytest.approx(100 * risk.cutout.value, rel=1e-12)
    since = np.floor(risk.columns["first_cutout_h"][risk.columns["cutout_cause"] > 0]).astype(int)
    since = np.minimum(since, risk.hours - 1)  # one at the very end belongs to the last hour
    by_hour = np.bincount((int(risk.start_hour) + since) % 24, minlength=24) * 100 / risk.trials
    np.testing.assert_allclose(cells.reshape(-1, 24).sum(axis=0), np.roll(by_hour, -12), atol=1e-9)
    labels = [t.get_text() for t in ax.get_xticklabels()]
    assert labels[0] == "12:00" and labels[4] == "00:00"
    assert sum(text.endswith(" %") for text in texts(ax)) == len(ax.get_yticklabels())


def test_no_cutout_is_drawn_too():
    safe = rt.simulate(DEMO.van, DEMO.trip.replace(nights=1), trials=300)
    assert safe.cutout.events == 0
    for name in ("charge", "survival", "clock"):
        getattr(safe.plot, name)().figure.canvas.draw()


def test_near_zero_and_near_all_are_not_rounded_away():
    from ridethrough.report.plots import _percent

    assert [_percent(x) for x in (0, 0.01, 12.34, 99.99, 100)] == ["0.0", "<0.1", "12.3", ">99.9", "100.0"]


def test_without_matplotlib_the_error_says_what_to_install(risk, monkeypatch):
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    monkeypatch.setitem(sys.modules, "matplotlib.pyplot", None)
    with pytest.raises(rt.InputError, match=r"pip install '\.\[plot\]' in a checkout"):
        RiskPlots(risk).charge()


def test_matplotlib_is_imported_only_to_draw():
    code = "import sys, ridethrough, ridethrough.report.plots; sys.exit('matplotlib' in sys.modules)"
    paths = {"PYTHONPATH": ":".join(p for p in sys.path if p)}
    assert subprocess.run([sys.executable, "-c", code], env=paths).returncode == 0
