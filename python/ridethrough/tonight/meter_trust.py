"""How far a percentage on a meter can be trusted: sentences with numbers, each with its source."""

from __future__ import annotations

from ..model.checks import validate_number
from ..model.classes import Van
from ..model.van_parts import is_lithium, rated_ah
from .meter_errors import TERMS, error_value, sum_of_sds
from .reading_clauses import read_meter

_NORMAL_95 = 1.96  # standard deviations either way that hold 19 of 20
_SHOWN_DAYS = (1, 4, 9)


def counter_sd(days: float) -> float:
    """Standard deviation of a counter's percentage so many days after a true full charge, as a share of full."""
    grown = error_value("counter_percent_drift_per_root_day") * max(days, 1 / 24) ** 0.5
    shared = min(grown, error_value("counter_drift_limit"))
    return sum_of_sds(error_value("counter_percent_noise"), error_value("model_discrepancy_share"), shared)


def percentage_trust(van: Van, meter: str = "counter", days_since_full: float | None = None) -> tuple[str, ...]:
    """How far the percentage can be trusted.

    Parameters
    ----------
    van : Van
        Whose meter it is.
    meter : str
        "counter", "app" or "controller", as of a reading.
    days_since_full : float, optional
        Of a counter: since the battery was last truly full [d]; not given: after one, four and nine days.

    Returns
    -------
    tuple of str
        Sentences.

    Raises
    ------
    InputError
        There is no such meter, or the days are negative.

    Examples
    --------
    >>> print(percentage_trust(van, days_since_full=4)[0])
    A counter's percentage lies within 16 points either way in 19 of 20 such readings 4 days after a true full ...
    """
    kind = read_meter(meter)
    if kind == "app":
        return _app()
    if kind == "controller":
        return _controller(van)
    given = None if days_since_full is None else validate_number("days_since_full", days_since_full, 0, 3650)
    return (_counter(_SHOWN_DAYS if given is None else (given,)), *_what_counters_miss(van))


def _points(sd: float) -> str:
    return f"within {100 * _NORMAL_95 * sd:.0f} points either way in 19 of 20 such readings"


def _counter(days: tuple[float, ...]) -> str:
    first = f"{days[0]:g} day{'' if days[0] == 1 else 's'} after a true full charge"
    later = "".join(f", {100 * _NORMAL_95 * counter_sd(day):.0f} points after {day:g} days" for day in days[1:])
    source = TERMS["counter_percent_drift_per_root_day"].source
    return f"A counter's percentage lies {_points(counter_sd(days[0]))} {first}{later} ({source})."


def _what_counters_miss(van: Van) -> tuple[str, ...]:
    rated, missed = rated_ah(van), error_value("counter_small_current")
    return (
        f"It may not see a steady {missed:g} A: {24 * missed:.1f} Ah a day, {100 * 24 * missed / rated:.0f} % of "
        f"{rated:g} Ah ({TERMS['counter_small_current'].source}).",
        "It jumps to 100 % where a small current in weak sun meets its settings for full, and it counts "
        "from the capacity that it was told: an old battery has less (from memory). Only a true full charge, volts "
        "held and current tailed off, puts it right.",
    )


def _app() -> tuple[str, ...]:
    sd = sum_of_sds(error_value("app_noise"), error_value("app_shared"), error_value("model_discrepancy_share"))
    return (
        f"The battery's own percentage: {_points(sd)} of {100 * error_value('app_reads_high'):.0f} points less than it "
        f"shows, for it misses small currents ({TERMS['app_shared'].source}).",
    )


def _controller(van: Van) -> tuple[str, ...]:
    lithium = is_lithium(van)
    shared = error_value(f"controller_shared_{'lithium' if lithium else 'agm'}")
    sd = sum_of_sds(error_value("controller_noise"), shared, error_value("model_discrepancy_share"))
    source = TERMS[f"controller_shared_{'lithium' if lithium else 'agm'}"].source
    said = f"A percentage guessed from volts: {_points(sd)} ({source})."
    if lithium:
        return (said, "On lithium iron phosphate that is next to nothing: its volts hardly change with charge.")
    return (said, "By day, after charging and under load it is worst; before sunrise with little on it is best.")
