"""Numbers by name: a wrong name is told the near ones, a former one the one of now."""

import pickle

import pytest
import ridethrough as rt
from ridethrough.engine.named_numbers import Keyed, Named


def test_a_wrong_name_is_an_input_error_with_what_there_is() -> None:
    numbers = Named("columns", {"min_soc": 0.5, "hours_off": 2.0})
    assert numbers["min_soc"] == 0.5 and numbers.get("nothing") is None and "hours_off" in numbers
    with pytest.raises(rt.InputError, match="did you mean 'hours_off'") as refused:
        numbers["hours_of"]
    assert refused.value.path == "columns" and refused.value.allowed == "min_soc, hours_off"
    with pytest.raises(rt.InputError, match="now min_soc"):
        numbers["lowest_charge"]
    assert pickle.loads(pickle.dumps(numbers)) == numbers


def test_keys_of_several_parts_and_numbers_are_told_likewise() -> None:
    runs = Named("risks", {("lithium", "coast"): 1, ("lithium", "hills"): 2, ("300 W", "coast"): 3})
    assert runs["lithium", "hills"] == 2
    for wrong, meant in (
        (("lithum", "hills"), "('lithium', 'hills')"),
        (("300 W", "cost"), "('300 W', 'coast')"),
        ("lithium", "('lithium', 'coast')"),
        (("300 W", "nowhere"), ""),
        (("300 W",), ""),
        (7, ""),
    ):
        with pytest.raises(rt.InputError, match=r"allowed \('lithium', 'coast'\), \('lithium', 'hills'\)") as refused:
            runs[wrong]  # type: ignore[index]
        assert (refused.value.suggestion, refused.value.value) == (meant, wrong)
    with pytest.raises(rt.InputError, match=r"tried = 155: there is none of that name; allowed 50.0, 150.0"):
        Named("tried", {50.0: "a", 150.0: "b"})[155]
    with pytest.raises(rt.InputError, match="allowed none"):
        Named[str, str]("notes", {})["lithium"]


def test_what_has_names_is_gone_through_like_a_dict() -> None:
    class Two(Keyed[str]):
        def _names(self) -> list[str]:
            return ["a", "b"]

    two = Two()
    assert (list(two), len(two), "a" in two, 0 in two) == (["a", "b"], 2, True, False)
