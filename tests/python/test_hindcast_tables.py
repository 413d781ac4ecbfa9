"""The stored hindcast: its own arithmetic, the bars, and what the README shows of it."""

import re

import numpy as np
import pytest

pytest.importorskip("pandas")

import hindcast_tables as tables  # noqa: E402

README = tables.README.read_text(encoding="utf-8")


@pytest.mark.parametrize("record", tables.NAMES)
@pytest.mark.parametrize("model", ["normals", "Bendt", "record"])
def test_summary_follows_from_the_months(record: str, model: str) -> None:
    m = tables.stored("months").query("record == @record and model == @model and van != @tables.MEAN and judged")
    s = tables.stored("summary").query("record == @record and model == @model and van == 'all'").iloc[0]
    d = m.probability - m.frequency
    assert s.van_months == len(m) >= 60
    assert s.bias == pytest.approx(d.mean(), abs=1e-4)
    assert s.excess == pytest.approx(np.sqrt(max(0, (d**2 - m.noise**2).mean())), abs=1e-3)
    assert ((m.frequency > 0.009) & (m.frequency < 0.991)).all()


@pytest.mark.parametrize("record", tables.NAMES)
def test_the_bars(record: str) -> None:
    """Excess 3 points, bias 1.5 points and two bootstrap standard errors; skill over the worksheet's yes or no."""
    s = tables.stored("summary").query("record == @record and model == 'normals' and van == 'all'").iloc[0]
    assert s.excess <= 0.03
    assert abs(s.bias) <= 0.015 + 2 * s.bias_se
    assert s.skill_worksheet_low > 0


def test_the_readme_shows_them() -> None:
    assert "\n".join(tables.readme_table()) in README
    for figures in tables.readme_scores().values():
        assert figures in README


def test_keeping_new_tables_renews_the_readme() -> None:
    stale = re.sub(r"^(\| Jan \||- Iowa:) .*", r"\1 stale", README, flags=re.M)
    assert stale.count("stale") == README.count("stale") + 2
    assert tables.renewed(stale) == README
