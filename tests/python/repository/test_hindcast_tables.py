"""The stored hindcast: its own arithmetic, the bars, and what the page on accuracy shows of it."""

import re

import numpy as np
import pytest

pytest.importorskip("pandas")

import hindcast_tables as tables  # noqa: E402

PAGE = tables.PAGE.read_text(encoding="utf-8")


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


def test_the_page_shows_them() -> None:
    for rows in (tables.months_table(), tables.scores_table()):
        assert "\n".join(rows) + "\n\n" in PAGE


def test_keeping_new_tables_renews_the_page() -> None:
    stale = re.sub(r"^(\| Jan \||\| Iowa, 31 years \|) .*", r"\1 stale |", PAGE, flags=re.M)
    assert stale.count("stale") == PAGE.count("stale") + 2
    assert tables.renewed(stale) == PAGE
