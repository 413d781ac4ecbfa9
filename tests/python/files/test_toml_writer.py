"""What is written as TOML is read back by the standard library as it was."""

import tomllib

import pytest
from ridethrough.files.toml_writer import dumps, value_text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (3.0, "3"),
        (0.1, "0.1"),
        (1e16, "1e+16"),
        (True, "true"),
        (False, '"none"'),
        ('a "b" \x7f', '"a \\"b\\" \\u007f"'),
    ],
)
def test_one_value(value: object, text: str) -> None:
    assert value_text(value) == text
    tomllib.loads(f"x = {text}")


def test_tables_lists_and_comments() -> None:
    data = {
        "a": 1,
        "van": {"x": {"uniform": [1, 2]}, "loads": {"odd name": {"w": 0.5}}, "list": [{"d": [1]}, {"d": [2]}]},
    }
    text = dumps(data, {("a",): "one", ("van", "x"): "a spread"})
    assert tomllib.loads(text) == data
    assert "a = 1  # one" in text and "x = { uniform = [1, 2] }  # a spread" in text and "[[van.list]]" in text
