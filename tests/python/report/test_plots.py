"""The pictures of a risk: the numbers that they draw, their facts, their files, and what is said without matplotlib."""

import html
import re
import subprocess
import sys
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import ridethrough as rt
from optional import there
from picture_boxes import texts_of
from ridethrough.files.scenario import demo_path, load_scenario
from ridethrough.report.pictures import bad_trip, charge, dates, first_cutout, ledger, survival, temperatures
from ridethrough.report.plots import KINDS, RiskPlots

pytest.importorskip("matplotlib")

DEMO = load_scenario(demo_path())
QUICK = [kind for kind in KINDS if kind not in ("changes", "sizes")]


@pytest.fixture(scope="module")
def risk():
    return rt.simulate(DEMO.van, DEMO.trip, trials=3000, seed=2)


def words(picture) -> str:
    return " ".join(text for text, _ in texts_of(picture.figure))


def named(ax, label):
    return next(line for line in ax.lines if line.get_label() == label)


@pytest.mark.parametrize("kind", QUICK)
def test_each_names_chance_interval_trials_van_place_and_dates(risk, kind):
    picture = getattr(risk.plot, kind)(size="desk", title="Our trip")
    for said in (words(picture), picture.alt):
        assert f"{100 * risk.cutout.value:.0f} % (" in said and "3,000 trips" in said and "model's error" in said
        assert "150 Ah AGM" in said and "220 W" in said
        assert "Greensboro" in said and "36.1 N" in said and "Fri 6 Nov 2026 15:00 to Wed 11 Nov" in said
    assert words(picture).startswith("Our trip") and picture.figure.axes == picture.axes


def test_charge_shows_median_bands_half_and_where_cutouts_came(risk):
    picture = risk.plot.charge()
    (ax,) = picture.axes
    hours, percent = named(ax, "median trip").get_data()
    assert np.asarray(hours).tolist() == list(range(1, 121))
    np.testing.assert_array_equal(percent, 100 * risk.soc_quantiles([0.5])[0])
    level = there(charge.cutout_level(risk))
    failing = np.flatnonzero(risk.columns["cutout_cause"] > 0)[: charge.SAMPLE]
    again = rt.simulate(DEMO.van, DEMO.trip, trials=3000, seed=2, time_series=["soc"])
    hour = np.minimum(np.floor(risk.columns["first_cutout_h"][failing]).astype(int), risk.hours - 1)
    soc = again.time_series_values["soc"][failing, hour]
    assert (level.low, level.high) == pytest.approx(tuple(np.quantile(soc, [0.05, 0.95])), abs=0.004)
    assert level.trips == len(failing)
    assert f"{100 * level.low:.0f} to {100 * level.high:.0f} % charge" in words(picture)
    band = next(patch for patch in ax.patches if patch.get_label() == "cut-outs")
    assert (band.get_y(), band.get_height()) == pytest.approx((100 * level.low, 100 * (level.high - level.low)))
    assert "half charge" in words(picture) and "10.4 V at the fridge" in words(picture)
    assert "Sat 7 Nov" in words(picture) and "Sun 8 Nov" in words(picture)


def test_lithium_has_no_half_line_and_drives_are_marked():
    trip = DEMO.trip.replace(drives=[rt.Drive(days=[2])])
    picture = rt.simulate(DEMO.van.replace(battery=rt.LithiumBattery()), trip, trials=300).plot.charge()
    assert "half charge" not in words(picture) and "driving" in words(picture)
    (drive,) = spans(picture)["driving"]
    assert drive == (24 + 10 - 15, 24 + 12 - 15)  # day 2, 10 to 12 h, of a start at 15 h


def spans(picture):
    lane = next(ax for ax in picture.axes if ax.get_gid() == "plan")
    found: dict[str, list[tuple[float, float]]] = {}
    for patch in lane.patches:
        found.setdefault(str(patch.get_label()), []).append((patch.get_x(), patch.get_x() + patch.get_width()))
    return found


def test_drives_to_stops_and_their_shore_power_are_marked():
    stops = [
        rt.Stop(name="a", site=there(DEMO.trip.site), nights=2),
        rt.Stop(name="b", site=there(DEMO.trip.site), nights=2, power="shore"),
    ]
    trip = rt.Trip(stops=stops, start="2026-06-01 12:00")
    risk = rt.simulate(rt.Van(mains=rt.MainsCharger()), trip, trials=50, seed=1)
    assert np.mean(risk.columns["dc_dc_wh"]) > 10 and np.mean(risk.columns["mains_wh"]) > 10
    # Arrivals at 16 h, of two hours' drives.
    assert spans(risk.plot.charge()) == {"driving": [(2, 4), (50, 52)], "plugged in": [(52, 96)]}


@pytest.mark.parametrize(("start", "day_h"), [("2027-03-13 15:00", 23), ("2026-10-31 15:00", 25)])
def test_midnights_and_drives_stand_where_the_clock_has_them(start, day_h):
    """Over a day of 23 h, or of 25: its change is at 2:00 on the second day."""
    trip = DEMO.trip.replace(start=start, nights=2, drives=[rt.Drive(days=2)])
    picture = rt.simulate(DEMO.van, trip, trials=50).plot.charge()
    ax = picture.axes[-1]
    assert ax.get_xticks().tolist() == [9, 9 + day_h]
    evening = [getattr(text, "xy")[0] for text in ax.texts if text.get_text() == "18:00"]  # noqa: B009
    assert evening == [3, 9 + day_h - 6]
    assert spans(picture) == {"driving": [(9 + day_h - 14, 9 + day_h - 12)]}


def test_night_is_between_sunset_and_sunrise(risk):
    """Against pvlib's solar position algorithm (NREL SPA); our spans are cut to 5 minutes."""
    pd, pvlib = pytest.importorskip("pandas"), pytest.importorskip("pvlib")
    site = risk.trip.site
    days = pd.date_range("2026-11-06", periods=6, freq="D", tz="Etc/GMT+5")
    almanac = pvlib.solarposition.sun_rise_set_transit_spa(days, site.latitude, site.longitude)
    begin = pd.Timestamp("2026-11-06 15:00", tz="Etc/GMT+5")
    set_h, rise_h = ((almanac[k] - begin) / pd.Timedelta(hours=1) for k in ("sunset", "sunrise"))
    np.testing.assert_allclose(np.array(dates.nights(risk)), np.column_stack([set_h[:-1], rise_h[1:]]), atol=0.1)


def lines(ax):
    """Heights of the points and ends of their bars, line by line."""
    found = []
    for container in ax.containers:
        line, _, bars = container.lines
        low, high = np.array([segment[:, 1] for segment in bars[0].get_segments()]).T
        found.append((line.get_ydata(), low, high))
    return found


def test_survival_shows_estimates_and_intervals_from_0(risk):
    picture = risk.plot.survival()
    (ax,) = picture.axes
    ((value, low, high),) = lines(ax)
    estimates = risk.survival()
    np.testing.assert_allclose(value, [100 * e.value for e in estimates], rtol=1e-12)
    np.testing.assert_allclose(low, [100 * e.low for e in estimates], rtol=1e-12)
    np.testing.assert_allclose(high, [100 * e.high for e in estimates], rtol=1e-12)
    assert f"5\n{100 * estimates[-1].value:.1f}" in [text.get_text() for text in ax.texts]
    assert ax.get_ylim()[0] == 0 and "the axis starts at 0" in words(picture)
    low, high = zip(*survival._with_model_error(risk), strict=True)
    assert 1 - low[-1] >= risk.likely_range[1] - 1e-9 and 1 - high[-1] <= risk.likely_range[0] + 1e-9


def test_an_axis_that_is_cut_says_so(risk):
    picture = rt.simulate(DEMO.van, DEMO.trip.replace(nights=1), trials=2000).plot.survival()
    assert picture.axes[0].get_ylim()[0] > 0
    assert re.search(r"the axis is cut: it starts at 9\d %", words(picture))


def test_several_vans_on_one_survival_picture(risk):
    other = rt.simulate(DEMO.van.replace(battery=rt.LithiumBattery()), DEMO.trip, trials=300)
    picture = risk.plot.survival({"lithium": other}, label="AGM")
    assert len(lines(picture.axes[0])) == 2 and picture.axes[0].get_ylim()[0] == 0
    said = words(picture).replace("\n", " ")
    for text in (said, picture.alt):
        assert "AGM: cut-out" in text and "lithium: cut-out" in text and "300 trips" in text
        assert "AGM: 150 Ah AGM" in text and "lithium: 120 Ah lithium" in text, "each with its parts"
        assert text.count("with the model's error") == 2
    drawn = [container.lines[0] for container in picture.axes[0].containers]
    assert len({line.get_marker() for line in drawn}) == len({line.get_linestyle() for line in drawn}) == 2
    with pytest.raises(rt.InputError, match=r"others\['x'\].*allowed a risk"):
        risk.plot.survival({"x": 3})


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_first_cutouts_are_shares_of_all_trips(risk, size):
    (ax,) = risk.plot.first_cutout(size=size).axes
    cells = np.asarray(ax.collections[0].get_array())
    assert cells.sum() == pytest.approx(100 * risk.cutout.value, rel=1e-12)
    since = np.floor(risk.columns["first_cutout_h"][risk.columns["cutout_cause"] > 0]).astype(int)
    since = np.minimum(since, risk.hours - 1)  # one at the very end belongs to the last hour
    by_hour = np.bincount((int(risk.start_hour) + since) % 24, minlength=24) * 100 / risk.trials
    columns = cells.shape[1]
    assert columns == {"phone": 6, "desk": 24}[size]
    wanted = np.roll(by_hour, -12).reshape(columns, -1).sum(axis=1)
    np.testing.assert_allclose(cells.sum(axis=0), wanted, atol=1e-9)
    labels = [t.get_text() for t in ax.get_xticklabels()]
    assert labels[0] == "12:00" and "00:00" in labels


def test_without_a_cutout_there_is_a_sentence():
    safe = rt.simulate(DEMO.van, DEMO.trip.replace(nights=1), trials=300)
    assert safe.cutout.events == 0
    picture = safe.plot.first_cutout()
    assert picture.axes == [] and "a cut-out in none of 300 trips, at most" in words(picture)
    assert "reached in none of the trips looked at" in words(safe.plot.charge())
    assert "No trip failed" in words(safe.plot.bad_trip()) and "The hardest trip" in words(safe.plot.bad_trip())
    assert "no trip failed" in words(safe.plot.changes())


def test_quiet_nights_at_the_start_share_a_row(risk):
    table = np.zeros((6, 24))
    table[4, 3] = 0.5
    short, names = first_cutout._without_quiet_start(table, list("abcdef"))
    assert names == ["nights 1 to 4", "e", "f"] and short.sum() == 0.5 and len(short) == 3


def test_the_ledger_s_fillings_are_told_apart_in_grey() -> None:
    """Luminance of sRGB by its weights (ITU-R BT.709); black is 0."""
    from matplotlib.colors import to_rgb

    fills = (ledger._IN, ledger._OUT, ledger._REST)
    grey = [float(np.dot(to_rgb(fill["facecolor"]), (0.2126, 0.7152, 0.0722))) for fill in fills]
    assert min(abs(a - b) for a, b in combinations(grey, 2)) > 0.2


def test_the_ledger_adds_up(risk):
    picture = risk.plot.ledger()
    for ax, day in zip(picture.axes, risk.day_balances, strict=True):
        stairs = ledger.steps(day, risk.day_balances)
        drawn = [(bar.get_x(), bar.get_width()) for bar in ax.patches]
        np.testing.assert_allclose(drawn, [(begin, end - begin) for _, begin, end, _ in stairs])
        into = day.solar_wh + day.dc_dc_wh + day.mains_wh - day.fridge_wh - day.other_loads_wh - day.cables_wh
        rest = next(begin for _, begin, _, kind in stairs if kind == "rest")  # from there to 0
        assert rest == pytest.approx(into) == pytest.approx(-day.battery_wh, abs=0.5)
    assert f"{risk.day_balances[1].solar_wh:+.0f}" in words(picture)


def test_temperatures_are_those_of_the_first_trips(risk):
    fridge, cabin = risk.plot.temperatures().axes
    kept = rt.simulate(DEMO.van, DEMO.trip, trials=temperatures.SAMPLE, seed=2, time_series=["fridge_c", "cabin_c"])
    for ax, name in ((fridge, "fridge_c"), (cabin, "cabin_c")):
        wanted = np.median(kept.time_series_values[name], axis=0)
        np.testing.assert_allclose(named(ax, "median trip").get_ydata(), wanted, atol=1e-5)
    assert np.asarray(named(fridge, "5 degC").get_ydata()).tolist() == [5, 5]


def test_a_bad_trip_is_a_failing_one_with_its_first_cutout_in_words(risk):
    replay = bad_trip.replay_bad_trip(risk)
    assert risk.columns["cutout_cause"][replay.trial] > 0
    failing = risk.columns["first_cutout_h"][risk.columns["cutout_cause"] > 0]
    assert np.mean(failing <= risk.columns["first_cutout_h"][replay.trial]) == pytest.approx(0.5, abs=0.01)
    picture = risk.plot.bad_trip()
    power = picture.axes[1]
    np.testing.assert_array_equal(named(power, "charge").get_ydata(), 100 * replay.series["soc"])
    said = bad_trip.events_of(risk, replay)
    assert sum("first cut-out (fridge cut-out)" in event.text for event in said) == 1
    assert all(event.text in picture.alt for event in said)
    hours = [event.hour for event in said]
    assert hours == sorted(hours) and hours[0] >= 0 and hours[-1] <= risk.hours
    numbers = picture.axes[0].texts
    assert [text.get_text() for text in numbers] == [str(i) for i in range(1, len(said) + 1)]


def test_numbers_are_moved_apart_and_stay_in_order():
    places = bad_trip._apart([1, 1.2, 1.3, 99.5, 100], 4, 100)
    assert np.diff(places).min() >= 4 - 1e-9 and places[0] >= 2 - 1e-9 and places[-1] <= 98


def test_changes_are_the_suggestions(risk):
    picture = risk.plot.changes()
    found = risk.suggestions()
    marks = [container.lines[0] for ax in picture.axes for container in ax.containers]
    assert [line.get_xdata()[0] for line in marks] == pytest.approx([100 * one.change.value for one in found.tried])
    assert found.tried[0].name in picture.alt
    assert f"first {there(found.base).trials:,} of these trips" in words(picture)


def test_the_map_of_sizes_plays_the_same_trips():
    risk = rt.simulate(DEMO.van, DEMO.trip, trials=200, seed=2)
    picture = risk.plot.sizes([220, 320], [150, 250])
    cells = np.asarray(picture.axes[0].collections[0].get_array())
    other = rt.simulate(
        DEMO.van.replace(**{"solar.rated_w": 320, "battery.capacity_ah": 250}), DEMO.trip, trials=200, seed=2
    )
    assert cells[0, 0] == 100 * risk.cutout.value and cells[1, 1] == 100 * other.cutout.value
    assert "USD" in words(picture) and "kg" in words(picture) and "200 trips" in words(picture)
    with pytest.raises(rt.InputError, match="panels_w"):
        risk.plot.sizes([])


def test_near_zero_and_near_all_are_not_rounded_away():
    assert [survival.percent_text(x) for x in (0, 0.01, 12.34, 99.99, 100)] == ["0", "<0.1", "12.3", ">99.9", "100"]


def test_pictures_are_saved_without_a_display_with_their_words(risk, tmp_path):
    picture = risk.plot.charge(title="a <b> & $x$")
    for kind, begin in ((".png", b"\x89PNG"), (".svg", b"<svg"), (".pdf", b"%PDF")):
        path = picture.save(tmp_path / f"charge{kind}")
        assert path.read_bytes().startswith(begin)
    text = (tmp_path / "charge.svg").read_text(encoding="utf-8")
    assert 'role="img"' in text and "The middling charge (median of the trips) falls to" in text
    assert risk.plot.charge(title="a <b> & $x$").svg() == text  # the same bytes
    assert picture._repr_mimebundle_()["text/plain"] == picture.alt
    with pytest.raises(rt.InputError, match=r"ends in \.png, \.svg, \.pdf"):
        picture.save(tmp_path / "charge.jpg")
    with pytest.raises(rt.InputError, match="No such file"):
        picture.save(tmp_path / "nowhere" / "charge.png")


def test_the_picture_in_the_docs_is_that_of_now():
    stored = (Path(__file__).parents[3] / "python" / "docs" / "charge.svg").read_text(encoding="utf-8")
    fresh = rt.simulate(DEMO.van, DEMO.trip, trials=DEMO.trials, seed=DEMO.seed).plot.charge(title=DEMO.title)
    words = html.unescape(there(re.search(r"<desc>(.*?)</desc>", stored, re.S))[1])
    assert words == fresh.alt, "tests/make_readme_example.py draws it anew"


def test_what_is_not_there_is_refused(risk):
    with pytest.raises(rt.InputError, match="did you mean 'charge'"):
        risk.plot("charg")
    with pytest.raises(rt.InputError, match="size = 'fone'.*allowed phone, screen, desk, a4"):
        risk.plot.charge(size="fone")
    with pytest.raises(AttributeError, match="RiskPlots.clock: now first_cutout"):
        risk.plot.clock()
    with pytest.raises(rt.InputError, match="title = 3"):
        risk.plot.charge(title=3)


@pytest.mark.parametrize("call", [lambda plot: plot.charge(), lambda plot: plot()])
def test_without_matplotlib_the_error_says_what_to_install(risk, monkeypatch, call):
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    with pytest.raises(rt.InputError, match=r"pip install '\.\[plot\]' in a checkout"):
        call(RiskPlots(risk))
    assert "pip install" in risk._repr_html_() and "<table>" in risk._repr_html_()


def test_matplotlib_is_imported_only_to_draw():
    code = (
        "import sys, ridethrough, ridethrough.report.plots, ridethrough.console; sys.exit('matplotlib' in sys.modules)"
    )
    paths = {"PYTHONPATH": ":".join(p for p in sys.path if p)}
    assert subprocess.run([sys.executable, "-c", code], env=paths).returncode == 0
