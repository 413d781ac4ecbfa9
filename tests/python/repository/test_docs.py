"""Docstrings of all that is public: in numpydoc's form, and their examples run."""

from __future__ import annotations

import dataclasses
import doctest
import inspect
import warnings
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
import ridethrough as rt

pytest.importorskip("xarray")
pytest.importorskip("SALib")
validate = pytest.importorskip("numpydoc.validate")

# Of numpydoc's checks those that a reader gains by. Left out: where a docstring's text begins and its quotes close
# (the linter's), an extended summary, "See Also", the mood of the first word.
CHECKS = (
    *("GL05", "GL06", "GL07", "GL08", "GL10"),
    *("SS01", "SS02", "SS03", "SS04", "SS06"),
    *("PR01", "PR02", "PR03", "PR04", "PR05", "PR07", "PR08", "PR09", "PR10"),
    *("RT01", "RT02", "RT04", "RT05", "YD01", "EX01"),
)


def public() -> dict[str, Any]:
    """Functions and classes by the name that a user types, those of ``rt.stats`` and ``rt.spreads`` too."""
    found: dict[str, Any] = {}
    for name in rt.__all__:
        value = getattr(rt, name)
        if isinstance(value, ModuleType):
            found |= {f"{name}.{inner}": getattr(value, inner) for inner in getattr(value, "__all__", ())}
        elif callable(value):
            found[name] = value
    return found | {f"Climate.{name}": getattr(rt.Climate, name) for name in ("from_hourly", "from_daily")}


PUBLIC = public()
# What users get and do not make: its attributes count, not its constructor's arguments.
MADE_BY_USERS = {"Bundle", "Candidate", "Habits", "PricedPart", "Prices", "Reading", "Scenario"}


def exempt(name: str) -> set[str]:
    """Checks that a public class or function is not held to, for the reasons given here."""
    value = PUBLIC[name]
    if not isinstance(value, type) or (issubclass(value, rt.Configuration) and value is not rt.Configuration):
        return set()
    raised = {"EX01"} if issubclass(value, BaseException) and value is not rt.InputError else set()  # never made
    return raised if name in MADE_BY_USERS else raised | {"PR01", "PR02"}


def methods() -> dict[str, Any]:
    """Methods and properties of public classes by the name that a user types; of parts of a van those of their base."""
    found: dict[str, Any] = {}
    for name, kind in PUBLIC.items():
        if not isinstance(kind, type) or (issubclass(kind, rt.Configuration) and kind is not rt.Configuration):
            continue
        for owner in kind.__mro__:
            if not owner.__module__.startswith("ridethrough") or (owner is not kind and owner.__name__ in PUBLIC):
                continue
            own = {key: member for key, member in vars(owner).items() if not key.startswith("_")}
            found |= {f"{name}.{key}": m for key, m in own.items() if callable(m) or hasattr(m, "__get__")}
    return found


METHODS = methods()
# What a subclass says of these is how its table looks; what they take and return stands at their base.
OF_ALL_RESULTS = {"to_dict", "to_xarray", "to_dataframe", "plot"}


def exempt_method(name: str) -> set[str]:
    """Checks that a method is not held to, for the reasons given here."""
    kind, method = name.rpartition(".")[::2]
    left = {"EX01"}  # the class's example shows how it is used
    if method in OF_ALL_RESULTS and name not in ("Result.to_dict", "Result.to_xarray", "Result.to_dataframe"):
        left |= {"RT01"} if method != "plot" else {"RT01", "PR01"}
        own = set(inspect.signature(METHODS[name]).parameters) if callable(METHODS[name]) else set()
        left |= set() if own - {"self", "units"} else {"PR01"}  # Comparison.to_dataframe takes more
    if kind in ("Clock", "spreads.Spread"):
        left |= {"SS02", "SS03"}  # pybind11 puts the signature first
    return left


@pytest.mark.parametrize("name", PUBLIC)
def test_docstrings_have_numpydocs_form(name: str) -> None:
    wanted = set(CHECKS) - exempt(name)
    errors = validate.validate(f"ridethrough.{name}")["errors"]
    assert [(code, text) for code, text in errors if code in wanted] == []


@pytest.mark.parametrize("name", METHODS)
def test_docstrings_of_methods_have_numpydocs_form(name: str) -> None:
    if type(METHODS[name]).__name__ == "member_descriptor":  # a field of a dataclass with slots
        return
    wanted = set(CHECKS) - exempt_method(name)
    errors = validate.validate(f"ridethrough.{name}")["errors"]
    assert [(code, text) for code, text in errors if code in wanted] == []


@pytest.mark.parametrize("name", [n for n, v in PUBLIC.items() if dataclasses.is_dataclass(v)])
def test_every_field_of_a_result_is_told(name: str) -> None:
    doc = inspect.getdoc(PUBLIC[name]) or ""
    fields = [field.name for field in dataclasses.fields(PUBLIC[name]) if not field.name.startswith("_")]
    assert [field for field in fields if field not in doc] == []


@cache
def namespace() -> dict[str, Any]:
    """What the examples take as given: the README's first trip, and two years of days."""
    pandas = pytest.importorskip("pandas")
    climate = rt.Climate(
        latitude=36.10,
        longitude=-79.95,
        ghi_kwh_m2_day=[2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24],
        air_temp_c=[0.3, 5.0, 11.4, 14.7, 19.0, 23.6, 25.4, 24.8, 20.1, 13.1, 10.8, 4.2],
    )
    days = pandas.date_range("2019-01-01", "2020-12-31", freq="D")
    sun = np.where(days.day_of_year % 3, 2.0, 0.8)
    return {
        "rt": rt,
        "van": rt.Van(
            battery=rt.AgmBattery(capacity_ah=150), solar=rt.SolarArray(rated_w=220), fridge=rt.Fridge(volume_l=65)
        ),
        "trip": rt.Trip(
            site=rt.Site(latitude=36.10, longitude=-79.95, climate=climate), start="2026-11-06 15:00", nights=3
        ),
        "record": pandas.DataFrame({"ghi_kwh_m2": sun, "temp_min_c": 3.0, "temp_max_c": 11.0}, index=days),
    }


@pytest.mark.parametrize("name", PUBLIC)
def test_examples_give_what_they_show(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)  # some write files
    said: list[str] = []
    finder = doctest.DocTestFinder(recurse=False)
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        for test in finder.find(inspect.unwrap(PUBLIC[name]), name, globs=dict(namespace())):
            runner.run(test, out=said.append)
    assert runner.failures == 0, "".join(said)


def test_help_reaches_every_type() -> None:
    """``help(rt.x)`` tells more than a name, and says where a type that another returns is to be found."""
    for name, value in PUBLIC.items():
        assert len(inspect.getdoc(value) or "") > 30, name
        assert getattr(value, "__module__", "").startswith("ridethrough"), name
