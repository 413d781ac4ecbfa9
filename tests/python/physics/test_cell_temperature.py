"""How hot a mounting runs at 1000 W/m2 and 25 degC of air, against published fits of other authors, by pvlib."""

from __future__ import annotations

import pytest
import ridethrough._checks as _checks

temperature = pytest.importorskip("pvlib.temperature")


def ours_c(mounting: str) -> float:
    return float(25 + 1000 * _checks.mounting_rise_k_per_w_m2(mounting))


def king_c(mounting: str) -> float:
    """King, Boyson & Kratochvil 2004, their own coefficients, wind of 1 m/s."""
    return float(temperature.sapm_cell(1000, 25, 1, **temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"][mounting]))


def faiman_c(wind_m_s: float) -> float:
    """Faiman 2008, open rack: 25 and 6.84 W/(m2 K)."""
    return float(temperature.faiman(1000, 25, wind_m_s, u0=25, u1=6.84))


def test_a_glued_panel_runs_as_hot_as_an_insulated_back() -> None:
    # 81.3 against 82.5 degC: two sets of measurements, one by Ross's coefficient and one by King's.
    assert ours_c("glued") == pytest.approx(king_c("insulated_back_glass_polymer"), abs=2)


def test_an_air_gap_lies_between_an_open_rack_and_a_close_mount() -> None:
    # 59.2 between 54.4 and 74.5 degC
    assert king_c("open_rack_glass_polymer") < ours_c("air_gap") < king_c("close_mount_glass_glass")


def test_a_framed_panel_is_an_open_rack_in_usual_wind() -> None:
    # 45.8 degC: Faiman's rack in 3.4 m/s; 56.4 in a light air of 1 m/s and 41.9 in 5 m/s
    assert faiman_c(5) < ours_c("framed") < faiman_c(1)
