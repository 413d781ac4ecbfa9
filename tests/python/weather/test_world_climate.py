"""The default climate of any place: its table, what it refuses, where it is less sure, sites that simulate with it."""

import concurrent.futures
import json

import numpy as np
import pytest
import ridethrough as rt
import typical_years
from ridethrough.model.climate_source import DEFAULT_CLIMATE, WIDER
from ridethrough.weather import world_climate
from verdict_text import details, verdict

INLAND = (47.0, 8.0)


def sds(climate):
    return climate.ghi_scale.arguments[1], climate.air_temp_offset_k.arguments[1]


# Typical years of public stations (NREL's TMY3 and TMY2, in pvlib). Their sun is among what the table was fitted to, so
# this catches a table that is put together wrongly rather than a bad fit; their temperature is not.
@pytest.mark.parametrize(
    ("station", "latitude", "longitude", "altitude_m"),
    [("TMY3 723170", 36.1, -79.95, 273), ("TMY2 12839", 25.8, -80.27, 2), ("TMY3 703165", 55.32, -160.52, 7)],
)
def test_near_the_normals_of_stations(station, latitude, longitude, altitude_m):
    sun, air = typical_years.normals(station)
    made = rt.climate_at(latitude, longitude, altitude_m)
    off = np.log(np.array(made.ghi_kwh_m2_day) / sun)
    sun_sd, air_sd = sds(made)
    assert np.sqrt(np.mean(off**2)) < 1.5 * sun_sd
    assert np.sqrt(np.mean((np.array(made.air_temp_c) - air) ** 2)) < 1.5 * air_sd


def test_air_follows_the_altitude_by_its_lapse():
    low, high = (rt.climate_at(*INLAND, altitude_m=m) for m in (500, 900))
    apart = np.subtract(low.air_temp_c, high.air_temp_c)
    np.testing.assert_allclose(apart, 0.4 * world_climate.LAPSE_K_PER_KM, atol=0.011)
    assert low.ghi_kwh_m2_day == high.ghi_kwh_m2_day


@pytest.mark.parametrize(
    ("at", "why"),
    {
        "mid-ocean": ((0, -30), "lies in the sea"),
        "swapped": ((13.4, 52.5), "lies in the sea.*north and east are positive"),
        "Antarctica": ((-80, 0), "Antarctica"),
        "Azores": ((37.7, -25.7), "nearest cell with sun is 1,.* km away"),
        "Hawaii": ((21.3, -157.8), "nearest cell with sun is 3,.* km away"),
        "Svalbard": ((78.2, 15.6), "north of 73 deg"),
    }.values(),
)
def test_refused_places(at, why):
    with pytest.raises(rt.InputError, match=f"{why}.*twelve normals"):
        rt.climate_at(*at)
    site = rt.Site(latitude=at[0], longitude=at[1])
    trip = rt.Trip(site=site, start="2027-06-01 15:00", nights=2)
    with pytest.raises(rt.InputError, match=f"^Site: no default climate for .*{why}"):
        rt.simulate(rt.Van(), trip, trials=100)


@pytest.mark.parametrize(
    ("at", "message"),
    [
        (("Paris", 2.0), "latitude = 'Paris': allowed -90 to 90 deg, .*names of places are not known"),
        ((48.0, None), "longitude = None: allowed -180 to 180 deg"),
        ((91, 2.0), "latitude = 91: allowed -90 to 90 deg"),
        ((float("nan"), 2.0), "latitude = nan: allowed -90 to 90"),
        ((48.0, 2.0, 20_000), "altitude_m = 20000 m: allowed -430 to 6000 m"),
    ],
)
def test_bad_input(at, message):
    with pytest.raises(rt.InputError, match=message):
        rt.climate_at(*at)


def test_texts_are_coordinates_too():
    assert rt.climate_at("47 N", "8°0' E") == rt.climate_at(47, 8)


@pytest.mark.parametrize(
    ("at", "reason"),
    [
        ((44.5, -110.0), "over 1500 m"),
        ((25.8, -80.3), "a coast below 35 deg"),
        ((52.5, 13.4, 600), "m off the altitude of its cell"),
        ((-21.1, 55.5), None),  # an island without any cell within reach
        ((35.2, 24.9), "mostly sea within 100 km"),
    ],
)
def test_less_sure_places_are_flagged_and_wider(at, reason):
    if reason is None:
        with pytest.raises(rt.InputError, match="no default climate"):
            rt.climate_at(*at)
        return
    climate = rt.climate_at(*at)
    assert sds(climate) == (world_climate.WIDE_SUN_SD, world_climate.WIDE_AIR_SD_K)
    assert reason in climate.source.partition(WIDER)[2]


def test_error_is_wider_far_from_the_stations_of_the_fit():
    near, far = rt.climate_at(51.0, 9.0), rt.climate_at(-25.0, 135.0)
    assert WIDER not in near.source + far.source
    assert sds(near) == (0.12, 1.3) and sds(far) == (0.14, 1.5)


def test_dark_months_of_the_far_north():
    climate = rt.climate_at(70.0, 25.5)
    assert climate.ghi_kwh_m2_day[11] == 0 and climate.ghi_kwh_m2_day[5] > 3
    assert all(np.isfinite([*climate.ghi_kwh_m2_day, *climate.air_temp_c]))


def test_every_kind_of_land_gives_a_climate_or_says_why():
    table = world_climate.world()
    chosen = np.random.default_rng(1).choice(len(table.kind), 150, replace=False)
    refused = 0
    for i in chosen:
        try:
            climate = rt.climate_at(float(table.halves.latitude[i]), float(table.halves.longitude[i]))
        except rt.InputError as error:
            assert "no default climate" in str(error)
            refused += 1
            continue
        assert climate.source.startswith(DEFAULT_CLIMATE)
    assert refused < 15  # 1 % of the land is refused, but half degrees in the far north are many


def trip_to(*sites, **more):
    if len(sites) == 1:
        return rt.Trip(site=sites[0], start="2027-09-25 15:00", nights=3, **more)
    stops = [rt.Stop(name=f"stop {i}", site=site, nights=2) for i, site in enumerate(sites)]
    return rt.Trip(stops=stops, start="2027-09-25 15:00", **more)


def test_a_site_without_a_climate_simulates_as_with_the_default_one():
    bare, high = rt.Site(latitude=47, longitude=8), rt.Site(latitude=44.5, longitude=-110, altitude_m=2400)
    with_climate = [s.replace(climate=rt.climate_at(s.latitude, s.longitude, s.altitude_m)) for s in (bare, high)]
    for bare_trip, given in ((trip_to(bare), trip_to(with_climate[0])), (trip_to(high), trip_to(with_climate[1]))):
        found, expected = (rt.simulate(rt.Van(), t, trials=300, progress=False) for t in (bare_trip, given))
        for name, values in expected.columns.items():
            np.testing.assert_array_equal(found.columns[name], values)
        assert str(found) == str(expected)
        assert found.trip == bare_trip  # what was given stays as it was given
    stops = trip_to(bare, rt.Site(latitude=46, longitude=7))
    with concurrent.futures.ThreadPoolExecutor(2) as executor:
        found = rt.simulate(rt.Van(), stops, trials=300, executor=executor, progress=False)
    assert found.cutout == rt.simulate(rt.Van(), stops, trials=300, progress=False).cutout


def test_the_verdict_says_what_the_climate_is():
    risk = rt.simulate(rt.Van(), trip_to(rt.Site(latitude=44.5, longitude=-110)), trials=2000, progress=False)
    text = details(risk)
    assert (
        "Climate: worldwide default climate (reanalysis corrected on 35 station files), less sure here than elsewhere "
        "(over 1500 m); its error, 14 % of the sun and 2 K (standard deviation), is drawn in the trials.\n"
        "The default climate is for comparing vans and seasons and for a first look at a place: twelve normals of the "
        "place are better.\n"
    ) in text
    assert "44.5 N, 110 W; default climate, less sure here" in verdict(risk)
    assert "worldwide default climate in place of own normals" in text  # among the causes of the model's own error
    (place,) = json.loads(json.dumps(risk.to_dict()))["places"]
    assert (place["latitude"], place["longitude"]) == (44.5, -110)
    assert place["climate"] == {
        "kind": "default",
        "source": "worldwide default climate (reanalysis corrected on 35 station files)",
        "less_sure": ["over 1500 m"],
        "sun_sd": pytest.approx(0.14, rel=1e-3),
        "air_temp_sd_k": pytest.approx(2, rel=1e-3),
    }


def test_the_climate_can_be_changed():
    climate = rt.climate_at(*INLAND).replace(ghi_scale=1.0, air_temp_offset_k=0.0)
    site = rt.Site(latitude=47, longitude=8, climate=climate)
    text = details(rt.simulate(rt.Van(), trip_to(site), trials=500, progress=False))
    assert (
        f"{DEFAULT_CLIMATE} in place of own normals" in text
    )  # that it is one stays: the size is then of normals in general
    assert "station files); no error of its own is drawn.\n" in text


def test_stops_of_several_climates_are_told_apart():
    ghi, air = typical_years.normals("TMY3 723170")
    own = rt.Site(latitude=36.1, longitude=-79.95, climate=rt.Climate(ghi_kwh_m2_day=ghi, air_temp_c=air))
    bare = rt.Site(latitude=37, longitude=-79)
    text = details(rt.simulate(rt.Van(), trip_to(own, bare, own), trials=200, progress=False))
    assert "Climate at stop 0 and stop 2: twelve normals as given, source not named; no error of" in text
    assert "Climate at stop 1: worldwide default climate (reanalysis" in text


def test_sensitivity_leads_into_a_default_climate():
    pytest.importorskip("SALib")
    trip = trip_to(rt.Site(latitude=47, longitude=8))
    found = rt.sensitivity(rt.Van(), trip, method="morris", samples=4, trials=50, progress=False)
    assert "trip.site.climate.air_temp_offset_k" in found.ranking


def test_a_trial_holds_one_error_of_the_temperature():
    # sd 1.3 K on every day of a trial: the mean over a week varies by 1.3 K more, in squares, than the days' own noise.
    site = rt.Site(latitude=47, longitude=8)
    plain = rt.Site(latitude=47, longitude=8, climate=rt.climate_at(*INLAND).replace(air_temp_offset_k=0.0))
    air = [
        rt.simulate(rt.Van(), trip_to(s), trials=4000, time_series=["air_c"], progress=False)
        .time_series["air_c"]
        .mean(axis=1)
        for s in (site, plain)
    ]
    offset = air[0] - air[1]
    assert offset.std() == pytest.approx(1.3, abs=4.9 * 1.3 / np.sqrt(2 * 4000))
    assert offset.mean() == pytest.approx(0, abs=4.9 * 1.3 / np.sqrt(4000))


def test_stops_share_the_error_of_the_default_and_a_flagged_one_has_its_own():
    def drawn(*places):
        compiled = rt.simulate(
            rt.Van(), trip_to(*(rt.Site(latitude=a, longitude=b) for a, b in places)), trials=10, progress=False
        ).compiled
        paths = [compiled.parameter_paths[i] for i in compiled.spread_parameters]
        return [p for p in paths if p.endswith(("ghi_scale", "air_temp_offset_k"))]

    assert drawn(INLAND, (47.5, 8.5)) == ["climate.ghi_scale", "climate.air_temp_offset_k"]
    assert len(drawn(INLAND, (46.6, 8.0))) == 4  # the second lies over 1,500 m
