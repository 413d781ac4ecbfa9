"""Records of measured days, and what is wrong with one."""

import pytest
import ridethrough as rt
from made_up_days import SITE, TRIP, VAN, daily

pd = pytest.importorskip("pandas")


def test_bad_records_are_refused():
    def refused(match, frame, **more):
        with pytest.raises(rt.InputError, match=match):
            rt.hindcast(VAN, TRIP, frame, **more)

    frame = daily(400)
    refused("must increase", frame.iloc[::-1])
    refused("allowed 0 to what reaches", frame.assign(ghi_kwh_m2=20.0))
    refused("allowed temp_min_c and above", frame.assign(temp_max_c=-50.0))
    refused("all twelve are needed", daily(100))
    refused("label: must be given", pd.DataFrame({"ghi": [1.0], "temp_air": [1.0]}))
    refused("trials = 0", frame, trials=0)
    refused("no run of 3 whole days", frame.iloc[::2])
    stop = rt.Stop(name="a", site=SITE, nights=1)
    with pytest.raises(rt.InputError, match="one place"):
        rt.hindcast(VAN, rt.Trip(start="2020-07-01 15:00", stops=[stop]), frame)
