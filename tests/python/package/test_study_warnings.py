"""What is allowed but hardly meant is told once by every study, and kept by its result."""

from __future__ import annotations

import json
import warnings
from html import escape
from typing import Any

import pytest
import quick_studies
import ridethrough as rt
from input_fixture import trip
from ridethrough.report.plain_paths import in_prose


@pytest.mark.parametrize("name", quick_studies.CALLS)
def test_every_study_tells_a_warning_once_and_its_result_keeps_it(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("SALib")
    warm = quick_studies.VAN.replace(**{"fridge.set_point_c": 5.5})
    (words,) = warm.warnings()
    monkeypatch.setattr(quick_studies, "VAN", warm)
    call, _ = quick_studies.CALLS[name]
    with warnings.catch_warnings(record=True) as told:
        warnings.simplefilter("always")
        found = call(progress=False)
    of_it = [one for one in told if one.category is UserWarning and str(one.message).startswith(words)]
    assert len(of_it) == 1 and of_it[0].filename == quick_studies.__file__
    assert words in found.warnings and (name == "compare" or words in json.dumps(found.to_dict()))
    text, html = str(found), found._repr_html_()
    said = in_prose(words)  # to a reader
    assert text.startswith("Warning: ") and text.count(said) == 1
    assert html.startswith("<div><p><b>Warning: ") and html.count(escape(said)) == 1


def test_no_study_touches_the_warnings_of_the_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """``warnings.catch_warnings`` changes a list that all threads share: another one's warnings would be lost."""

    def refuse(*_: Any, **__: Any) -> None:
        raise AssertionError("catch_warnings")

    monkeypatch.setattr(warnings, "catch_warnings", refuse)
    for name in ("size", "worksheet", "iso_risk"):
        quick_studies.CALLS[name][0](progress=False)


def test_sizes_that_are_only_tried_do_not_warn() -> None:
    """Half a dozen panels over 1,000 W are tried on the way to a small one."""
    found = rt.size(rt.Van(), trip(), "solar.rated_w", 0.5, within=(50, 3000), step=50, trials=100)
    assert found.value == 50 and found.warnings == ()
