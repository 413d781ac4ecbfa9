"""Planes and modules against pvlib, and several arrays in a scenario file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import bench
import numpy as np
import pytest
import ridethrough as rt
import ridethrough._checks as _checks
import solar_year
from optional import there
from pvlib import atmosphere, irradiance, pvarray, pvsystem
from ridethrough import _core
from ridethrough.files.scenario import Scenario, load_scenario
from ridethrough.files.scenario_writer import dump_scenario
from ridethrough.model import clocks

SCENARIO = """
[van.arrays.roof]
rated_w = 160
sky_model = "perez"
age_years = 4

[van.arrays.portable]
rated_w = 120
aims_per_day = 3

[van.arrays.awning_side]
kind = "SolarArray"
rated_w = 60
tilt_deg = 90
azimuth_deg = 120
charge_controller = "pwm"

[van.snow_and_frost]

[trip]
start = "2026-11-06 15:00"
nights = 4
surroundings = "scattered_trees"
shade_morning = { triangular = [0, 0.3, 0.8] }
horizon_deg = { NE = 0, E = 20, SE = 0 }

[trip.site]
latitude = 36.1
longitude = -79.95

[trip.site.climate]
latitude = 36.1
longitude = -79.95
ghi_kwh_m2_day = [2.4, 3.1, 4.2, 5.4, 5.6, 6.2, 6.1, 5.6, 4.4, 3.6, 2.4, 2.2]
air_temp_c = [0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2]
"""


def test_tilted_planes_against_pvlib() -> None:
    """Isotropic, Reindl (which is HDKR) and Perez, all-sites composite of 1990, over any plane, Sun and sky."""
    rng = np.random.default_rng(20261106)
    for _ in range(3000):
        tilt, facing, zenith, azimuth = rng.uniform([0, 0, 0, 0], [90, 360, 88, 360])
        extra, clearness, share = rng.uniform([1320, 0.05, 0.05], [1410, 0.8, 1])
        cos_zenith = float(np.cos(np.radians(zenith)))
        ghi = clearness * extra * cos_zenith
        dhi = share * ghi
        dni = (ghi - dhi) / cos_zenith
        cos_incidence = float(irradiance.aoi_projection(tilt, facing, zenith, azimuth))
        rest = max(cos_incidence, 0) * dni + irradiance.get_ground_diffuse(tilt, ghi, 0.25)
        air_mass = atmosphere.get_relative_airmass(zenith)
        expected = {
            "isotropic": irradiance.isotropic(tilt, dhi),
            "hdkr": irradiance.reindl(tilt, facing, dhi, dni, ghi, extra, zenith, azimuth),
            "perez": irradiance.perez(tilt, facing, dhi, dni, extra, zenith, azimuth, air_mass),
        }
        for model, diffuse in expected.items():
            ours = _checks.plane_light(
                model,
                tilt_deg=tilt,
                cos_incidence=cos_incidence,
                cos_zenith=cos_zenith,
                direct=ghi - dhi,
                diffuse=dhi,
                i0=extra * cos_zenith,
                albedo=0.25,
            )
            assert ours == pytest.approx(rest + diffuse, rel=1e-9, abs=1e-9), (model, tilt, zenith)


@pytest.mark.parametrize("light", [5, 50, 200, 600, 1000, 1150])
@pytest.mark.parametrize("cell_c", [-20, 5, 25, 60, 75, 95])
@pytest.mark.parametrize("dark_share", [0, 0.25, 1])
def test_module_against_pvlib(light: float, cell_c: float, dark_share: float) -> None:
    """De Soto's five parameters and the single diode; of the shunt a share that does not go with the light."""
    five = list(pvsystem.calcparams_desoto(light, cell_c, **solar_year.MODULE))
    five[3] = 1 / (1 / five[3] * (1 - dark_share) + dark_share / solar_year.MODULE["R_sh_ref"])
    curve = pvsystem.singlediode(*five)
    at = light, cell_c, dark_share
    assert _checks.module_most_w(*at) == pytest.approx(curve["p_mp"], rel=1e-9)
    assert _checks.module_open_v(*at) == pytest.approx(curve["v_oc"], rel=1e-6)
    for volts in (10.5, 12.8, 13.5, 14.4):
        amps = max(float(pvsystem.i_from_v(volts, *five)), 0)
        assert _checks.module_current_a(volts, *at) == pytest.approx(amps, rel=1e-5, abs=1e-9)


# Coefficients of Huld's equation for crystalline silicon in Chatzipanagi et al. 2025 (Prog. Photovolt. 33, 905-917), as
# pvlib carries them: for modules of some years ago ("current") and of today ("updated").
OLDER = (-0.017237, -0.040465, -0.004702, 0.000149, 0.000170, 0.000005)
NEWER = (-0.0067560, -0.016444, -0.003015, -0.000045, -0.000043, 0.0)


def test_module_between_two_fits_to_measured_ones() -> None:
    """Huld et al. 2011 with both sets, 50 to 1000 W/m2, cells of -10 to 75 degC. Shares of what the light would give
    without loss: the ends of flexible cells' spreads are the two sets to .026 and .034. Their middle lies between them
    to .01; that of cells behind glass to .018 in frost and 50 W/m2, else to .01 as well."""
    light, cell_c = (x.ravel() for x in np.meshgrid([50.0, 100, 200, 400, 600, 800, 1000], [-10.0, 5, 25, 45, 60, 75]))
    older, newer = (pvarray.huld(light, cell_c, 1.0, k=k) * 1000 / light for k in (OLDER, NEWER))
    low, high = np.minimum(older, newer), np.maximum(older, newer)
    assert (high - low).max() > 0.15
    rated_w = _checks.module_most_w(1000, 25)

    def share(dark_share: float, loss_per_k: float) -> np.ndarray:
        most = [_checks.module_most_w(g, c, dark_share, loss_per_k) for g, c in zip(light, cell_c, strict=True)]
        return np.array(most) / rated_w * 1000 / light

    assert np.abs(share(0.1, 0.003) - newer).max() < 0.026
    assert np.abs(share(0.5, 0.0047) - older).max() < 0.034
    for dark_share, margin in ((0.2, 0.01), (0.07, np.where(cell_c < 5, 0.018, 0.01))):
        middle = share(dark_share, 0.0038)
        assert np.all(np.maximum(low - middle, middle - high) < margin)


def test_what_leaks_and_heats_where_nothing_is_said() -> None:
    """Flexible arrays leak more in dull light (from memory), and all spreads are drawn as declared."""
    van = rt.Van(arrays=[rt.SolarArray(), rt.SolarArray(name="glass", mounting="framed"), rt.PortableArray()])
    place: dict[str, Any] = {"latitude": 36.1, "longitude": -79.95}
    climate = rt.Climate(**place, ghi_kwh_m2_day=[3.0] * 12, air_temp_c=[20.0] * 12)
    compiled = clocks.compile_with_clock(
        van, rt.Trip(site=rt.Site(**place, climate=climate), start="2026-07-06", nights=1)
    )
    drawn = dict(
        zip(compiled.parameter_paths, _core.trace(compiled, list(range(4000)), 3, "double", [])["drawn"].T, strict=True)
    )

    def ends(path: str) -> list[float]:
        return [float(x) for x in (drawn[path].min(), drawn[path].mean(), drawn[path].max())]

    for array, triangle in {"roof": (0.1, 0.2, 0.5), "glass": (0, 0.07, 0.2), "portable": (0.1, 0.2, 0.5)}.items():
        low, mean, high = ends(f"arrays.{array}.dark_shunt_share")
        assert triangle[0] <= low < triangle[0] + 0.02 and triangle[2] - 0.02 < high <= triangle[2]
        assert mean == pytest.approx(sum(triangle) / 3, abs=0.006)
        assert ends(f"arrays.{array}.self_consumption_ma") == pytest.approx([5, 35 / 3, 20], abs=0.4)
        assert ends(f"arrays.{array}.power_loss_per_k") == pytest.approx([0.003, 0.0115 / 3, 0.0047], abs=6e-5)


def test_wind_on_a_roof_is_worth_some_per_cent() -> None:
    """King, Boyson & Kratochvil 2004, insulated back, -.0455 s/m: rise in 0 and 5 m/s over that in 1.5 m/s."""
    field = rt.SolarArray._declaration.field("cell_rise_factor")
    rise = np.exp(-0.0455 * (np.array([5.0, 2.5, 0.0]) - 1.5))
    assert field.default_value.arguments == pytest.approx(rise, abs=0.01)
    hot = 20 + 0.0563 * 900 * rise
    most = [_checks.module_most_w(900, c, 0.25, 0.0038) for c in hot]
    assert 0.02 < most[0] / most[2] - 1 < 0.06  # 2 to 4 % of a summer's yield, from memory


def test_an_aimed_panel_follows_the_sun() -> None:
    day = _core.day_number(2026, 6, 21)
    planes = _checks.aimed_planes(day, -33.0, -64.3, -4.0, 8.0, 16.0, 2)
    tilts, azimuths = np.array(planes).T
    assert set(np.round(azimuths[8:12], 9)) == {round(azimuths[8], 9)}
    assert 0 < azimuths[8] < 60 and 300 < azimuths[15] < 360  # north-east, then north-west: the southern winter
    assert np.all((tilts >= 15) & (tilts <= 70))


def test_a_trackers_two_levels_move_no_other_draw() -> None:
    """Each has a purpose of its own; so a van that does not look at voltages meets the same days and habits."""
    place: dict[str, Any] = {"latitude": 36.1, "longitude": -79.95}
    climate = rt.Climate(**place, ghi_kwh_m2_day=[3.0] * 12, air_temp_c=[20.0] * 12)
    trip = rt.Trip(site=rt.Site(**place, climate=climate), start="2026-07-06 15:00", nights=2)

    def drawn(van: rt.Van) -> dict[str, np.ndarray]:
        compiled = clocks.compile_with_clock(van, trip)
        traced = _core.trace(compiled, list(range(500)), 3, "double", ["ghi_w_m2", "other_loads_w"])
        return dict(zip(compiled.parameter_paths, traced["drawn"].T, strict=True)) | {"sun": traced["ghi_w_m2"]}

    by_volts, blind = drawn(rt.Van()), drawn(rt.Van().replace(**{"solar.controller_starts_above_battery_v": 0}))
    levels = {f"solar.controller_{level}_above_battery_v" for level in ("starts", "stays")}
    assert set(by_volts) - set(blind) == levels
    assert all(np.array_equal(values, by_volts[name]) for name, values in blind.items())
    starts, stays = (by_volts[name] for name in sorted(levels))
    assert 1 < starts.min() < 1.5 and 5.5 < starts.max() < 6 and 0.3 < stays.min() < 0.4 and 1.9 < stays.max() < 2
    assert abs(np.corrcoef(starts, stays)[0, 1]) < 0.22  # 4.9 sigma


def test_scenario_file_with_several_arrays(tmp_path: Path) -> None:
    path = tmp_path / "arrays.toml"
    path.write_text(SCENARIO)
    scenario = load_scenario(path)
    assert [type(a).__name__ for a in scenario.van.arrays] == ["SolarArray", "PortableArray", "SolarArray"]
    assert scenario.van.arrays[2].name == "awning_side"
    again = tmp_path / "again.toml"
    again.write_text(dump_scenario(scenario))
    assert load_scenario(again) == Scenario(**{**vars(scenario), "name": scenario.name})
    risk = rt.simulate(scenario.van, scenario.trip, trials=500, seed=3)
    assert risk.charge_balance_error < 1e-5 and risk.energy_balance_error < 1e-5
    assert "arrays.portable.use_probability" in risk.compiled.parameter_paths
    roof = rt.simulate(scenario.van.replace(arrays=scenario.van.arrays[:1]), scenario.trip, trials=500, seed=3)
    got, alone = (r.columns["solar_wh"] + r.columns["curtailed_wh"] for r in (risk, roof))
    assert got.mean() > 1.2 * alone.mean()
    assert np.all(got >= alone - 1)  # the same days, shade and frost: an array more never gives less


def test_scenario_file_names_what_is_known(tmp_path: Path) -> None:
    path = tmp_path / "arrays.toml"
    path.write_text(SCENARIO.replace('kind = "SolarArray"\n', ""))
    with pytest.raises(rt.InputError, match=r"van.arrays.awning_side.*roof, portable.*SolarArray or PortableArray"):
        load_scenario(path)


@pytest.mark.parametrize("sky_model", ["isotropic", "perez"])
def test_replayed_hours_reach_every_array(sky_model: str) -> None:
    """The same array first, and second beside one of 0 W: by the record's factors and by its table of hours."""
    hours = np.arange(8760)
    sun = np.maximum(np.sin((hours % 24 - 6.3) / 12 * np.pi), 0)
    # A record that begins at 5 h, so that its hours are not those of a whole day.
    import pandas as pd

    index = pd.date_range("2026-01-01 05:00", periods=8760, freq="h", tz="Etc/GMT+5")
    frame = pd.DataFrame({"ghi": 350 * np.roll(sun, -5), "temp_air": 10.0}, index=index)
    climate = rt.Climate.from_hourly(frame, latitude=36.1, longitude=-79.95, label="left")
    site = rt.Site(latitude=36.1, longitude=-79.95, climate=climate)
    trip = rt.Trip(site=site, start="2026-09-06 15:00", nights=3, weather="replayed")
    tilted: dict[str, Any] = bench.FIXED_CELLS | dict(
        tilt_deg=40, azimuth_deg=150, soiling_loss=0.05, system_loss=0.05, sky_model=sky_model
    )
    tilted["controller_starts_above_battery_v"] = 0.0  # drawn by the array's name

    def wh(van: rt.Van) -> np.ndarray:
        columns = rt.simulate(van, trip, trials=200, seed=1, precision="double").columns
        return columns["solar_wh"] + columns["curtailed_wh"]

    first = wh(rt.Van(solar=rt.SolarArray(**tilted)))
    second = wh(rt.Van(arrays=[rt.SolarArray(rated_w=0), rt.SolarArray(name="b", **tilted)]))
    assert first.mean() > 500
    assert second == pytest.approx(first, rel=1e-6)


@pytest.mark.parametrize("charger", ["link", "alternator_first", "solar_first"])
def test_clamped_modules_beside_the_alternator(charger: str, tmp_path: Path) -> None:
    """Both ledgers close where PWM meets a plain cable, or a charger with two inputs, on drives between two places."""
    path = tmp_path / "arrays.toml"
    path.write_text(SCENARIO)
    scenario = load_scenario(path)
    source = rt.AlternatorCable() if charger == "link" else rt.DcDcCharger().replace(input_priority=charger)
    clamped = rt.SolarArray(charge_controller="pwm", self_consumption_ma=20)
    van = scenario.van.replace(arrays=[clamped, *scenario.van.arrays[1:]], dc_dc=source)
    north = there(scenario.trip.site)
    south = north.replace(latitude=36.6, albedo=0.4)
    stops = [rt.Stop(name="a", site=north, nights=2), rt.Stop(name="b", site=south, nights=2, arrival_h=13)]
    trip = rt.Trip(stops=stops, start="2026-11-06 15:00", surroundings="park_plot", shade_morning=0.3)
    risk = rt.simulate(van, trip, trials=500, seed=3, precision="double")
    assert risk.charge_balance_error < 1e-9 and risk.energy_balance_error < 1e-9
    solar, dc_dc = risk.columns["solar_wh"].mean(), risk.columns["dc_dc_wh"].mean()
    assert solar > 200
    if charger == "solar_first":  # by day the clamped modules keep the alternator out, as a tracker's power would
        free = rt.simulate(van.replace(dc_dc=rt.DcDcCharger()), trip, trials=500, seed=3, precision="double")
        assert 0 < dc_dc < 0.5 * free.columns["dc_dc_wh"].mean()
    else:
        assert dc_dc > 100
