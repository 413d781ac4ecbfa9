"""A small van and trip for the tests of studies, quick to simulate."""

import ridethrough as rt

GREENSBORO = rt.Climate(  # TMY3 723170, US public domain
    name="Greensboro",
    latitude=36.10,
    longitude=-79.95,
    ghi_kwh_m2_day=[2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24],
    air_temp_c=[0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2],
)
SITE = rt.Site(latitude=36.10, longitude=-79.95, climate=GREENSBORO)
DULL = rt.Site(  # the same place with a fifth less sun
    latitude=36.10,
    longitude=-79.95,
    climate=GREENSBORO.replace(name="Dull", ghi_kwh_m2_day=[0.8 * g for g in GREENSBORO.ghi_kwh_m2_day]),
)
VAN = rt.Van(battery=rt.AgmBattery(capacity_ah=80), solar=rt.SolarArray(rated_w=140))
TRIP = rt.Trip(site=SITE, start="2026-11-06 15:00", nights=3)
