"""A sweep is the loop of `simulate` as labelled data; a killed one goes on; a foreign executor changes no bit."""

import inspect
import itertools
import multiprocessing
import pickle
import signal
import threading
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from typing import Any

import numpy as np
import pytest
import ridethrough as rt
from study_fixture import DULL, SITE, TRIP, VAN

AXES: dict[str, Any] = {
    "trip.start": {"Jan": "2026-01-15 15:00", "Jul": "2026-07-15 15:00"},
    "trip.site": [SITE, DULL],
    "solar.rated_w": [100, 300],
    "battery": {"AGM": rt.AgmBattery(), "lithium": rt.LithiumBattery()},
    "battery.capacity_ah": [60, 120],
}


POWER = {"solar.rated_w": np.arange(100, 401, 100)}


def processes(count: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(count, mp_context=multiprocessing.get_context("spawn"))


def same(a: rt.Sweep, b: rt.Sweep) -> bool:
    """Equal to the bit, attributes too."""
    return a == b and all(a[name].values.tobytes() == b[name].values.tobytes() for name in a)


def test_every_cell_is_simulate_to_the_bit():
    found = rt.sweep(VAN, TRIP, AXES, trials=70, seed=5, progress=False)
    assert dict(found.sizes) == dict.fromkeys(AXES, 2) | {
        "night": 3,
        "share": 5,
        "cutout_cause": len(rt.CUTOUT_CAUSES) - 1,
    }
    assert list(found["trip.site"].values) == ["Greensboro", "Dull"]
    for start, site, watts, battery, ah in itertools.product(*(range(2),) * 5):
        kind = (rt.AgmBattery, rt.LithiumBattery)[battery]
        risk = rt.simulate(
            VAN.replace(battery=kind(capacity_ah=(60, 120)[ah]), **{"solar.rated_w": (100, 300)[watts]}),
            TRIP.replace(start=list(AXES["trip.start"].values())[start], site=(SITE, DULL)[site]),
            trials=70,
            seed=5,
        )
        cell = found.isel(dict(zip(AXES, (start, site, watts, battery, ah), strict=True)))
        assert (cell.risk, cell.risk_low, cell.risk_high) == (risk.cutout.value, risk.cutout.low, risk.cutout.high)
        assert cell.trials == 70 and cell.cutouts == risk.cutout.events
        for name, mean in risk.means.items():
            assert cell[name] == mean, name
        assert list(cell.risk_by_night_high.values) == [1 - e.low for e in risk.survival()]
        first = np.sort(risk.columns["first_cutout_h"])
        assert cell.first_cutout_h.sel(share=0.5) == first[34]  # 35 of 70 trips had theirs by then
        assert list(cell.min_soc_quantiles.values) == list(risk.min_soc_quantiles(found.share.values))
        assert cell.cutouts_by_cause.sum() == risk.cutout.events
    assert found["hours_off"].attrs["units"] == "h" and found["solar_wh"].attrs["units"] == "Wh"
    assert found["solar.rated_w"].attrs["units"] == "W" and found["battery.capacity_ah"].attrs["units"] == "Ah"
    assert found.attrs["seed"] == 5 and "sampling error alone" in found.attrs["interval"]


def test_nothing_is_told_of_a_ventilator():
    loads = (rt.Appliance(name="ventilator", current_a=3, duration_min=60),)
    with pytest.raises(rt.InputError, match="No probability"):
        rt.sweep(VAN, TRIP, {"loads": {"home": VAN.loads, "ill": loads}}, trials=50)


def test_ctrl_c_keeps_what_is_finished():
    def printed(done, cells):
        if done == 2:
            signal.raise_signal(signal.SIGINT)

    with pytest.raises(rt.Interrupted, match=r"of 4 cells finished") as stopped:
        rt.sweep(VAN, TRIP, POWER, trials=40, seed=2, threads=1, progress=printed)
    full = rt.sweep(VAN, TRIP, POWER, trials=40, seed=2, progress=False)
    kept = np.isfinite(stopped.value.finished.risk.values)
    assert 2 <= kept.sum() < 4
    assert (stopped.value.finished.risk.values[kept] == full.risk.values[kept]).all()


@pytest.mark.parametrize("kind", [rt.Interrupted, rt.StudyFailed])
def test_what_is_finished_comes_back_from_another_process(kind):
    sent = kind("sweep, 1 of 2 cells finished,", {"risk": [0.5, None]})
    got = pickle.loads(pickle.dumps(sent))
    assert type(got) is kind and str(got) == str(sent) and got.finished == sent.finished


class _Inline(Executor):
    """Runs each job at once; fails the third."""

    calls = 0

    def submit(self, function, /, *args, **kwargs):
        future: Future[object] = Future()
        self.calls += 1
        if self.calls == 3:
            future.set_exception(OSError("machine lost"))
        else:
            future.set_result(function(*args, **kwargs))
        return future


def test_a_failed_cell_keeps_the_others(tmp_path):
    with pytest.raises(rt.StudyFailed, match="machine lost") as failed:
        rt.sweep(VAN, TRIP, POWER, trials=40, seed=2, executor=_Inline(), store=tmp_path / "s", progress=False)
    assert np.isfinite(failed.value.finished.risk).sum() == 3
    printed = []
    store = tmp_path / "s"
    found = rt.sweep(VAN, TRIP, POWER, trials=40, seed=2, store=store, progress=lambda n, of: printed.append(n))
    assert printed == [4]
    assert same(found, rt.sweep(VAN, TRIP, POWER, trials=40, seed=2, progress=False))


def test_several_cells_a_task_and_one_of_them_fails(monkeypatch, tmp_path):
    local = rt.sweep(VAN, TRIP, POWER, trials=40, seed=2, progress=False)
    how: dict[str, Any] = {"trials": 40, "seed": 2, "cells_per_task": 3, "store": tmp_path / "s"}
    with processes(1) as pool:
        assert same(local, rt.sweep(VAN, TRIP, POWER, executor=pool, progress=False, **(how | {"store": None})))
    run_cell = inspect.unwrap(rt.sweep).__globals__["run_cell"]

    def failing(van, trip, trials, *how):
        if trials > 1 and van.solar.rated_w == 300:
            raise MemoryError("too much")
        return run_cell(van, trip, trials, *how)

    with monkeypatch.context() as patched:
        patched.setitem(inspect.unwrap(rt.sweep).__globals__, "run_cell", failing)
        with pytest.raises(rt.StudyFailed, match="rated_w = 300: MemoryError: too much .[23] of 4 cells") as failed:
            rt.sweep(VAN, TRIP, POWER, threads=1, progress=False, **how)
    assert np.isfinite(failed.value.finished.risk).values.tolist()[:3] == [True, True, False]
    printed = []
    assert same(local, rt.sweep(VAN, TRIP, POWER, progress=lambda n, of: printed.append(n), **how))
    assert printed == [4]


def test_no_executor():
    with pytest.raises(rt.InputError, match="concurrent.futures"):
        rt.sweep(VAN, TRIP, POWER, trials=40, executor="cluster")  # type: ignore[arg-type]


def test_processes_give_the_same_bits_and_one_thread_each(monkeypatch):
    local = rt.sweep(VAN, TRIP, POWER, trials=100, seed=2, threads=1, progress=False)
    before = threading.active_count()
    assert same(local, rt.sweep(VAN, TRIP, POWER, trials=100, seed=2, threads=4, progress=False))
    assert threading.active_count() == before
    with processes(2) as pool:
        assert same(local, rt.sweep(VAN, TRIP, POWER, trials=100, seed=2, executor=pool, progress=False))


@pytest.mark.parametrize("keep", ["columns", "summary"])
def test_an_ensemble_in_parts_is_the_ensemble(monkeypatch, keep):
    monkeypatch.setitem(inspect.unwrap(rt.simulate).__globals__, "_CHUNK", 192)
    how: dict[str, Any] = {"trials": 700, "seed": 9, "keep": keep}
    here = rt.simulate(VAN, TRIP, **how)
    with processes(2) as pool:
        there = rt.simulate(VAN, TRIP, **how, executor=pool)
    assert here.cutout == there.cutout and here.means == there.means and here.load_ah == there.load_ah
    assert list(here.columns) == list(there.columns) and (keep == "columns") == bool(here.columns)
    for name, values in here.columns.items():
        assert values.tobytes() == there.columns[name].tobytes()
    shares = [0.05, 0.5, 0.95]
    assert (here.soc_quantiles(shares) == there.soc_quantiles(shares)).all()
    assert (here.cutouts_by_hour == there.cutouts_by_hour).all()
    assert here.charge_balance_error == there.charge_balance_error


def test_a_stopped_ensemble_keeps_whole_parts(monkeypatch):
    monkeypatch.setitem(inspect.unwrap(rt.simulate).__globals__, "_CHUNK", 128)

    def printed(done, wanted):
        if done >= 256:
            raise KeyboardInterrupt

    with processes(1) as pool, pytest.raises(rt.Interrupted) as stopped:
        rt.simulate(VAN, TRIP, trials=1280, seed=1, executor=pool, progress=printed)
    kept = stopped.value.finished
    assert kept.trials >= 256 and kept.trials % 128 == 0
    assert kept.cutout == rt.simulate(VAN, TRIP, trials=kept.trials, seed=1).cutout


def test_the_bar(capsys):
    pytest.importorskip("tqdm")
    rt.sweep(VAN, TRIP, POWER, trials=20, progress=True)
    assert "4/4" in capsys.readouterr().err
    rt.sweep(VAN, TRIP, POWER, trials=20)  # no terminal: no bar
    assert capsys.readouterr().err == ""


def test_differences_from_a_base_are_paired(tmp_path):
    starts = {"Jan": "2027-01-15 15:00", "Jul": "2027-07-15 15:00"}
    axes = {"solar.rated_w": [100, 250], "month": {name: {"trip.start": start} for name, start in starts.items()}}
    how: dict[str, Any] = {"trials": 80, "seed": 4, "progress": False}
    found = rt.sweep(VAN, TRIP, axes, **how, base={"solar.rated_w": 100}, store=tmp_path / "s")
    for month, start in starts.items():
        few, many = (
            rt.simulate(VAN.replace(**{"solar.rated_w": watts}), TRIP.replace(start=start), **how)
            for watts in (100, 250)
        )
        gap = rt.stats.paired_difference(many.columns["cutout_cause"] > 0, few.columns["cutout_cause"] > 0)
        cell = found.sel({"solar.rated_w": 250, "month": month})
        names = ("risk_difference", "risk_difference_low", "risk_difference_high")
        assert tuple(float(cell[name]) for name in names) == (gap.value, gap.low, gap.high)
    assert (found["risk_difference"].sel({"solar.rated_w": 100}) == 0).all()
    one = rt.sweep(VAN, TRIP, axes, **how, base={"solar.rated_w": 100, "month": "Jul"})
    jan, jul = (one.sel({"solar.rated_w": 250, "month": m}) for m in ("Jan", "Jul"))
    assert float(jan["risk_difference"]) > float(jul["risk_difference"])
    with processes(1) as pool:
        elsewhere = rt.sweep(VAN, TRIP, axes, **how, base={"solar.rated_w": 100}, executor=pool)
    assert same(elsewhere, found)
    with pytest.raises(rt.InputError, match="another study: base is .* there"):
        rt.sweep(VAN, TRIP, axes, **how, base={"solar.rated_w": 250}, store=tmp_path / "s")
    for base, match in (
        ({"solar.rated": 100}, "did you mean solar.rated_w"),
        ({"solar.rated_w": 150}, r"base\['solar.rated_w'\] = 150: allowed 100, 250"),
        ({}, "base = {}: allowed a dict"),
    ):
        with pytest.raises(rt.InputError, match=match):
            rt.sweep(VAN, TRIP, axes, **how, base=base)


def test_differences_stand_in_the_report_and_the_base_differs_by_nothing():
    found = rt.sweep(VAN, TRIP, {"solar.rated_w": [100, 250]}, trials=80, seed=4, base={"solar.rated_w": 100})
    ends = [found[f"risk_difference{end}"].values[0] for end in ("_low", "", "_high")]
    assert ends == [0, 0, 0], "the same runs, so no sampling error"
    low, high = (100 * float(found[f"risk_difference{end}"][1]) for end in ("_low", "_high"))
    for text in (str(found), found._repr_html_()):
        assert "difference from the base" in text and "the base itself" in text
        assert f"({low:+.1f} to {high:+.1f} points, the same trials)" in text


def test_warnings_point_at_the_line_that_called_and_stand_in_the_attributes_as_they_are():
    trip = TRIP.replace(drives=[rt.Drive(days=[2], start_h=10, duration_h=2)])
    with pytest.warns(UserWarning, match=r"has no DC-DC charger") as caught:
        found = rt.sweep(VAN.replace(dc_dc=None), trip, {"solar.rated_w": [100]}, trials=5)
    assert {one.filename for one in caught} == {__file__}
    assert str(found).startswith(f"Warning: {found.attrs['warnings']}")
    with pytest.warns(UserWarning) as caught:
        risk = rt.simulate(VAN.replace(dc_dc=None), trip, trials=5)
    assert {one.filename for one in caught} == {__file__}
    assert risk.to_xarray().attrs["warnings"] == found.attrs["warnings"] == "\n".join(risk.warnings)
