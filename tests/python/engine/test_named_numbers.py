"""Numbers by name: a wrong name is told the near ones, a former one the one of now."""

import pickle

import pytest
import ridethrough as rt
from ridethrough.engine.named_numbers import Named


def test_a_wrong_name_is_an_input_error_with_what_there_is() -> None:
    numbers = Named("columns", {"min_soc": 0.5, "hours_off": 2.0})
    assert numbers["min_soc"] == 0.5 and numbers.get("nothing") is None and "hours_off" in numbers
    with pytest.raises(rt.InputError, match="did you mean 'hours_off'") as refused:
        numbers["hours_of"]
    assert refused.value.path == "columns" and refused.value.allowed == "min_soc, hours_off"
    with pytest.raises(rt.InputError, match="now min_soc"):
        numbers["lowest_charge"]
    assert pickle.loads(pickle.dumps(numbers)) == numbers
