"""The changes that the catalogue offers."""

from __future__ import annotations

import pickle

import ridethrough as rt
from demo_studies import demo

VAN, TRIP = demo()


LITHIUM = "lithium bundle, 120 Ah"


def some(*names, van=VAN, trip=TRIP):
    return [c for c in rt.catalogue(van, trip) if c.name in names]


def test_batteries_exclude_each_other():
    found = rt.upgrades(VAN, TRIP, some(LITHIUM, "another battery of 100 Ah beside the old one"), trials=50)
    assert {len(e.names) for e in found.all} == {1}


def test_the_catalogue_offers_what_applies():
    names = {c.name for c in rt.catalogue(VAN, TRIP)}
    assert not [n for n in names if "cut-out" in n or "out of the shade" in n or "powered night" in n]
    other = VAN.replace(mains=rt.MainsCharger(), towed=True, dc_dc=rt.AlternatorCable(), **{"solar.mounting": "framed"})
    shaded = TRIP.replace(surroundings="forest", shore_power=[rt.ShorePower(nights=[3])])
    names = {c.name for c in rt.catalogue(other, shaded, drive_every=3)}
    assert {
        "out of the shade, in open ground",
        "a powered night, night 2",
        "panel tilted by 30 degrees",
        "25 A DC-DC charger",
        "drive every third day, 2 h, hitched",
    } <= names
    for c in rt.catalogue(other, shaded):
        assert c.change(other, shaded) is not None
    (cable,) = (c for c in rt.catalogue(VAN, TRIP) if c.name.startswith("cable"))
    # 5 A through 64 mohm in the mean of the defaults (their means are 21 + 43 mohm), and with half the branch.
    assert "0.32 V now, 0.21 V then" in cable.note and "competent person" in cable.note and "mm" not in cable.note


def test_every_candidate_can_be_pickled():
    van = VAN.replace(dc_dc=None)
    for candidate in rt.catalogue(van, TRIP):
        twin = pickle.loads(pickle.dumps(candidate))
        assert twin.name == candidate.name and twin.change(van, TRIP) == candidate.change(van, TRIP)
