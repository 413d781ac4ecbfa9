"""Scores of the model against hindcasts, with forecasts whose scores are known."""

import numpy as np
import pytest
import ridethrough as rt

pd = pytest.importorskip("pandas")


def forecasts(shift=0.0, years=30):
    """Years that differ: the frequency of a month is its risk times a factor of the year."""
    rng = np.random.default_rng(1)
    days = pd.date_range("1981-01-01", periods=365 * years, freq="D")
    risk = np.array([0.3, 0.25, 0.2, 0.1, 0.05, 0.005, 0.0, 0.02, 0.05, 0.1, 0.2, 0.3])
    factor = rng.choice([0.5, 1.5], years)[np.asarray(days.year) - 1981]
    cut = rng.random(len(days)) < risk[np.asarray(days.month) - 1] * factor
    found = pd.DataFrame({"cutout": cut.astype(float)}, index=days)
    given = pd.DataFrame({"risk": risk + shift, "risk_low": risk, "risk_high": risk}, index=range(1, 13))
    return found, given


def test_scores_of_a_perfect_and_of_a_shifted_forecast():
    found, risk = forecasts()
    worksheet = {"a": risk["risk"] > 0.15}
    perfect = rt.score_hindcasts({"a": found}, {"a": risk}, worksheet=worksheet)
    one = perfect.summary.loc["a"]
    frequency = found.groupby(found.index.month)["cutout"].mean()
    judged = (frequency >= 0.01) & (frequency <= 0.99)
    assert one["van_months"] == judged.sum()
    difference = (risk["risk"] - frequency)[judged]
    assert one["bias"] == pytest.approx(difference.mean())
    assert abs(one["bias"]) < 4.9 * one["bias_se"]
    assert one["excess"] < one["floor"]  # a perfect model: what is left is noise
    # The variance of a month's mean by hand: 30 independent years.
    by_year = found.groupby([found.index.year, found.index.month])["cutout"].mean().unstack()
    noise = perfect.months["noise"].to_numpy()
    assert noise[0] == pytest.approx(by_year[1].std() / np.sqrt(30), rel=0.15)
    # Brier by hand, of the monthly risks: p (1 - f)... as p^2 - 2 p f + f.
    p = risk["risk"].to_numpy()
    assert one["brier"] == pytest.approx(np.sum(p**2 - 2 * p * frequency + frequency))
    assert one["skill_worksheet"] > 0.3  # yes or no is a poor forecast of 5 to 30 %
    assert one["skill_climatology"] > -0.01
    text = str(perfect)
    assert "Hindcast of 1 van over 30 years, 10,950 start days" in text and f"bias {100 * one['bias']:+.1f}" in text
    assert f"{one['skill_worksheet']:.4f} ({one['skill_worksheet_low']:.4f} to" in text and "no guarantee" in text
    assert repr(perfect) == f"<HindcastScores: vans 1, van-months {judged.sum()}>"

    found, shifted = forecasts(shift=0.05)
    off = rt.score_hindcasts({"a": found}, {"a": shifted}).summary.loc["a"]
    assert off["bias"] == pytest.approx(one["bias"] + 0.05)
    assert off["excess"] == pytest.approx(0.05, abs=0.02)
    assert "skill_worksheet" not in off
    with pytest.raises(rt.InputError, match="1 year"):
        rt.score_hindcasts({"a": found.iloc[:300]}, {"a": risk})
    with pytest.raises(rt.InputError, match="same vans"):
        rt.score_hindcasts({"a": found}, {"b": risk})


def test_reliability_counts_every_van_month():
    found, risk = forecasts()
    table = rt.score_hindcasts({"a": found, "b": found}, {"a": risk, "b": risk}).reliability
    assert table["van_months"].sum() == 24
    inside = table["frequency_low"] <= table["frequency"]
    assert inside.all() and (table["frequency"] <= table["frequency_high"]).all()
