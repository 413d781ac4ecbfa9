"""Tests mirror the rooms: a module has a test file of its name in its room, or stands here with its reason."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
PACKAGE, TESTS = ROOT / "python" / "ridethrough", ROOT / "tests" / "python"
# Rooms of tests that are none of the package: of the core, of the model against the outside world, of what all rooms
# have in common, of the tree itself.
OF_NO_ROOM = {"core", "physics", "package", "repository"}
MODULES = {str(p.relative_to(PACKAGE).with_suffix("")): p for p in PACKAGE.rglob("*.py") if p.stem[:2] != "__"}
FILES = {str(p.relative_to(TESTS).with_suffix("")) for p in TESTS.rglob("test_*.py")}

ELSEWHERE = {  # what tests a module that has no file of its own: it is a part of that, and has no other user
    "files/test_scenario": ["charge_limit", "run_values"],
    "files/test_scenario_writer": ["whole_file"],
    "files/test_starter_file": ["starter_questions"],
    "console/test_run": ["arguments", "exit_status", "output"],
    "engine/test_event_chances": ["failing_trials"],
    "engine/test_error_run": ["error_estimates"],
    "model/test_configuration": ["classes"],  # generated of the declarations
    "repository/test_docs": ["version"],
    "studies/test_hindcasting": ["hindcast_results"],
    "report/test_verdict": [  # sentences of the verdict, which is looked at as a whole; what it tries
        *("cause_text", "chance_text", "clock_text", "layout", "medicine_text", "model_error_text", "sentences"),
        *("trip_description", "verdict_answers", "verdict_details", "verdict_outcomes", "suggestions"),
    ],
    "report/pictures/test_rankings": ["rows"],
    "report/pictures/test_studies": ["lines"],
    "report/test_plots": [  # pictures of a risk, by its `plot`
        *("bad_trip", "changes", "charge", "dates", "facts", "first_cutout", "ledger", "picture", "size_map", "style"),
        *("survival", "temperatures"),
    ],
    "engine/test_result": [  # reports: the text and the table of every result, found by its type
        *("break_even_report", "comparison_report", "cutout_report", "hindcast_report", "html", "range_report"),
        *("rare_risk_report", "registry", "sensitivity_report", "size_reports", "sweep_report", "trip_means_report"),
        *("upgrade_report", "worksheet_report"),
    ],
}
OF_A_WHOLE_ROOM = {"console/test_mistakes", "report/test_picture_words"}  # of all verbs, of all pictures


def test_every_module_has_a_test_file_or_its_reason() -> None:
    listed = {name for names in ELSEWHERE.values() for name in names}
    without = {name for name in MODULES if str(Path(name).parent / f"test_{Path(name).name}") not in FILES}
    assert {Path(name).name for name in without} == listed, "a module gets a test file; a listed one that has it goes"
    assert {*ELSEWHERE} <= FILES


@pytest.mark.parametrize("file", sorted(FILES))
def test_every_test_file_is_of_a_module(file: str) -> None:
    room, _, name = file.rpartition("/")
    assert room in OF_NO_ROOM or file in OF_A_WHOLE_ROOM or f"{room}/{name[5:]}".lstrip("/") in MODULES
