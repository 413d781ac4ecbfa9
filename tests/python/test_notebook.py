"""The notebook runs top to bottom, says what it shows, and is stored without outputs."""

import json
from pathlib import Path

import pytest

NOTEBOOK = Path(__file__).parents[2] / "notebooks" / "first_trip.ipynb"


@pytest.fixture(scope="module")
def cells():
    return json.loads(NOTEBOOK.read_text())["cells"]


def test_outputs_are_stripped(cells):
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    assert code
    assert all(cell["outputs"] == [] and cell["execution_count"] is None for cell in code)


def test_runs_top_to_bottom(cells, capsys):
    matplotlib = pytest.importorskip("matplotlib")
    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    names = {}
    for cell in cells:
        if cell["cell_type"] == "code":
            exec(compile("".join(cell["source"]), str(NOTEBOOK), "exec"), names)
    printed = capsys.readouterr().out
    assert "sampling error alone" in printed and "10,000 trials" in printed
    assert "same 10,000 trials" in printed
    assert len(plt.get_fignums()) == 4
    plt.close("all")
    first = names["agm"].cutouts_by_night().sum(axis=0)  # by clock hour: the text says evenings and about sunrise
    assert first[18:24].sum() + first[5:9].sum() > 0.5 * first.sum()
    assert names["difference"].low > 0  # and that the larger AGM does better than this lithium battery
