"""Reports: sentences, tables and pictures of results. Reports know results, and results don't know them."""

from . import (
    break_even_report,
    comparison_report,
    cutout_report,
    forecast_report,
    hindcast_report,
    range_report,
    rare_risk_report,
    sensitivity_report,
    size_reports,
    sweep_report,
    trip_means_report,
    upgrade_report,
    verdict,
    verdict_details,
    worksheet_report,
)
from .html import format_html
from .registry import format_report, write_report

__all__ = [
    "break_even_report",
    "comparison_report",
    "cutout_report",
    "forecast_report",
    "format_html",
    "format_report",
    "hindcast_report",
    "range_report",
    "rare_risk_report",
    "sensitivity_report",
    "size_reports",
    "sweep_report",
    "trip_means_report",
    "upgrade_report",
    "verdict",
    "verdict_details",
    "worksheet_report",
    "write_report",
]
