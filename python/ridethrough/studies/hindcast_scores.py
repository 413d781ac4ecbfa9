"""Score monthly risks against the frequencies of a hindcast."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ..engine.labelled_data import NOTES, require_xarray
from ..engine.result import Result
from ..engine.validation import validate_int, validate_number, validate_seed
from ..model.checks import validate_mapping
from ..model.errors import bad_input, checked_call
from ..version import __version__
from .autonomy_worksheet import LOAD_V, worksheet_passes

if TYPE_CHECKING:
    import xarray
    from numpy.typing import NDArray
    from pandas import DataFrame, DatetimeIndex

    from ..report.pictures.picture import Picture
    from .hindcast_results import Hindcast, MonthlyRisk

    Array = NDArray[np.float64]

_MEANINGS = {
    "start_days": "start days of the month, all years",
    "frequency": "share of the start days' trials with a cut-out",
    "frequency_low": "its lower end, 95 % from whole years",
    "frequency_high": "its upper end, 95 % from whole years",
    "probability": "what the model says",
    "probability_low": "its lower end, 95 %, sampling error alone",
    "probability_high": "its upper end, 95 %, sampling error alone",
    "noise": "standard deviation of the frequency over whole years",
    "judged": "whether the frequency is within 1 to 99 %, where scores are taken",
}
MARGINAL = (0.01, 0.99)  # van-months with a frequency between these are scored
_RISK_EDGES = np.array([0, 0.01, 0.03, 0.1, 0.2, 0.3, 0.5, 0.7, 0.9, 1])


@dataclass(frozen=True, eq=False, repr=False)
class HindcastScores(Result):
    """What :func:`score_hindcasts` returns.

    Attributes
    ----------
    months : pandas.DataFrame
        A row for each van and month: frequency, probability, their intervals.
    summary : pandas.DataFrame
        A row for each van, and one for all: the scores.
    reliability : pandas.DataFrame
        Van-months by the risk that was given: what happened.

    Examples
    --------
    >>> played, said = rt.hindcast(van, trip, record, trials=1), rt.monthly_risk(van, trip, trials=1)
    >>> scores = rt.score_hindcasts({"van": played}, {"van": said}, resamples=100)
    >>> len(scores.months), "brier" in scores.summary
    (12, True)
    """

    months: DataFrame
    summary: DataFrame
    reliability: DataFrame

    def to_xarray(self) -> xarray.Dataset:
        """Dimensions van and month: frequencies and probabilities, shares of 1."""
        require_xarray()
        data = self.months.set_index(["van", "month"]).to_xarray()
        for name, meaning in _MEANINGS.items():
            data[name].attrs |= {"units": "d" if name == "start_days" else "1", "long_name": meaning}
        return data.assign_attrs({**NOTES, "version": __version__})

    @checked_call
    def plot(self, *, size: str = "screen", title: str = "") -> Picture:
        """What happened beside the risk that was given, van-months in groups of like risk (needs matplotlib)."""
        from ..report.pictures.studies import plot_reliability
        from ..report.plots import checked

        return plot_reliability(self, *checked(size, title))

    def __repr__(self) -> str:
        s = self.summary.loc["all"]
        return f"<HindcastScores: vans {len(self.summary) - 1}, van-months {s['van_months']:.0f}>"


@dataclass
class _Van:
    frequency: Array  # [12]
    drawn: Array  # [resamples, 12] the same from whole years drawn with replacement
    climatology: Array  # [years, 12] frequency of the other years
    events: Array  # [years, 12] start days, weighted by their share of cut-outs
    days: Array  # [years, 12]
    risk: Array  # [12]
    yes: Array | None


@checked_call
def score_hindcasts(
    hindcasts: Mapping[str, DataFrame | Hindcast],
    risks: Mapping[str, DataFrame | MonthlyRisk],
    *,
    worksheet: Mapping[str, Any] | None = None,
    resamples: int = 1000,
    seed: int = 0,
) -> HindcastScores:
    """Compare the model's risks with the frequencies of hindcasts, van by van.

    - ``floor``: the difference that a perfect model would still show, root of the mean variance v of the frequency.
    - ``excess``: root of max(0, mean(d^2 - v)) with d = probability - frequency; what the model adds to it.
    - ``bias``: mean d, with ``bias_se``.
    - ``brier``: of every trial of every start day, summed over the van-months of a month's mean; ``skill_climatology``
      is 1 - brier / that of the same month's frequency in the other years, ``skill_worksheet`` the same against the
      yes or no of ``worksheet``.

    Excess, floor and bias are over van-months with a frequency of 1 to 99 %; the Brier sums are over all of them.
    Probabilities and frequencies are shares of 1. All intervals are 95 %; those of frequencies and scores come from a
    bootstrap over whole years.

    Parameters
    ----------
    hindcasts : mapping of str to Hindcast
        By van, over two years or more; a table with ``cutout`` by start day will do.
    risks : mapping of str to MonthlyRisk
        Of the same vans.
    worksheet : mapping of str to sequence of bool, shape (12,), optional
        By van and month, True where a worksheet says that the battery runs empty.
    resamples : int
        Draws of the bootstrap, 100 to 1,000,000.
    seed : int
        Of the bootstrap.

    Returns
    -------
    HindcastScores
        Scores by van and of all, months, and reliability.

    Raises
    ------
    InputError
        Tables of different vans, without the columns needed, or of a single year.

    Examples
    --------
    >>> played = rt.hindcast(van, trip, record, trials=1)
    >>> scores = rt.score_hindcasts({"van": played}, {"van": rt.monthly_risk(van, trip, trials=1)}, resamples=100)
    >>> list(scores.summary.index)
    ['van', 'all']
    """
    import pandas

    resamples, seed = validate_int("resamples", resamples, 100, 1_000_000), validate_seed(seed)
    played, said = _frames("hindcasts", hindcasts, "cutout"), _frames("risks", risks, "risk", "risk_low", "risk_high")
    missing = sorted(set(played) ^ set(said))
    if not played or missing:
        raise bad_input(
            "hindcasts and risks", reason=f"must be of the same vans; {', '.join(missing) or 'none is given'}"
        )
    _require_twelve("risks", said)
    if worksheet is not None:
        validate_mapping("worksheet", worksheet, "a dict of names of vans to 12 months each")
        _require_twelve("worksheet", worksheet, played)
    years = np.unique(np.concatenate([_dates(h).year.to_numpy() for h in played.values()]))
    if len(years) < 2:
        raise bad_input(
            "hindcasts", reason=f"{len(years)} year", allowed="2 or more, as the noise comes from whole years"
        )
    pick = np.random.default_rng(seed).integers(0, len(years), (resamples, len(years)))
    weight = np.apply_along_axis(np.bincount, 1, pick, minlength=len(years)).astype(float)
    vans = {
        name: _van(h, said[name], None if worksheet is None else worksheet[name], years, weight)
        for name, h in played.items()
    }
    summary = {name: _summary([van], weight) for name, van in vans.items()}
    summary["all"] = _summary(list(vans.values()), weight)
    return HindcastScores(
        _months(vans, said), pandas.DataFrame.from_dict(summary, orient="index"), _reliability(vans, years)
    )


def _frames(name: str, given: object, *columns: str) -> dict[str, DataFrame]:
    """The tables by van; InputError where one has not the columns that are needed."""
    tables = validate_mapping(name, given, "a dict of names of vans to results")
    return {van: _require_columns(f"{name}[{van!r}]", table, columns) for van, table in tables.items()}


def _require_columns(name: str, given: object, columns: Sequence[str]) -> DataFrame:
    """The table of a result, or the table given."""
    frame: Any = getattr(given, "frame", given)
    for column in columns:
        if column not in getattr(frame, "columns", ()):
            raise bad_input(name, frame, reason=f"has no column {column}", allowed=f"a table of {', '.join(columns)}")
    table: DataFrame = frame
    return table


def _require_twelve(name: str, given: Mapping[str, Any], vans: Iterable[str] = ()) -> None:
    """InputError where a van has none, or not one for each month."""
    for van in (*vans, *given):
        if van not in given:
            raise bad_input(name, reason=f"there is nothing for {van!r}")
        months = len(given[van]) if hasattr(given[van], "__len__") else 1
        if months != 12:
            raise bad_input(f"{name}[{van!r}]", reason=f"{months} months", allowed="12")


@checked_call
def worksheet_says_empty(
    risk: DataFrame | MonthlyRisk,
    battery_wh: float,
    *,
    days: float = 3,
    deepest: float = 0.5,
    array_to_load: float = 1.1,
) -> Array:
    """Say by month whether the days-of-autonomy worksheet finds battery or array too small.

    Battery: usable share times capacity against the load of so many days (form of IEEE 1013; days and share are common
    practice, no source). Array: its yield against a multiple of the load (IEEE 1562, from memory).

    Parameters
    ----------
    risk : MonthlyRisk
        Has the load and the yield of each month.
    battery_wh : float
        Capacity [Wh].
    days : float
        Days of autonomy.
    deepest : float
        Share of the capacity.
    array_to_load : float
        Yield over load that is asked for.

    Returns
    -------
    ndarray of bool, shape (12,)
        True where it is too small.

    Raises
    ------
    InputError
        A number out of range.

    Examples
    --------
    >>> empty = rt.worksheet_says_empty(rt.monthly_risk(van, trip, trials=1), 1800)
    >>> empty.shape
    (12,)
    """
    depths = {"deepest": deepest, "deepest_daily": 1.0, "end_of_life": 1.0, "margin": 1.0}  # that one line alone
    columns = ("load_wh_day", "solar_wh_day")
    frame = _require_columns("risk", risk, columns)
    battery_wh = validate_number("battery_wh", battery_wh, 1, 1_000_000)
    daily = frame[[*columns]].to_numpy() / LOAD_V
    passes = [
        worksheet_passes(
            battery_wh / LOAD_V, load, days, charge_ah_per_day=charge, array_to_load=array_to_load, **depths
        )
        for load, charge in daily
    ]
    return ~np.array(passes)


def _dates(hindcast: DataFrame) -> DatetimeIndex:
    import pandas

    return pandas.DatetimeIndex(hindcast.index)


def _van(h: DataFrame, risk: DataFrame, yes: Any, years: NDArray[Any], weight: Array) -> _Van:
    at = np.searchsorted(years, _dates(h).year)
    month = _dates(h).month.to_numpy() - 1
    events, days = np.zeros((len(years), 12)), np.zeros((len(years), 12))
    np.add.at(events, (at, month), h["cutout"].to_numpy())
    np.add.at(days, (at, month), 1.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        frequency = events.sum(axis=0) / days.sum(axis=0)
        drawn = (weight @ events) / (weight @ days)
        climatology = (events.sum(axis=0) - events) / (days.sum(axis=0) - days)
    return _Van(
        frequency,
        drawn,
        climatology,
        events,
        days,
        risk["risk"].to_numpy(dtype=np.float64),
        None if yes is None else np.asarray(yes, dtype=np.float64),
    )


def _judged(van: _Van) -> NDArray[np.bool_]:
    return np.asarray((van.frequency >= MARGINAL[0]) & (van.frequency <= MARGINAL[1]))


def _brier(van: _Van, forecast: Array, weight: Array) -> Array:
    """Sum over the months of each one's mean score; forecast [12] or [years, 12]; one value a resample."""
    hit, miss = van.events, van.days - van.events
    with np.errstate(invalid="ignore", divide="ignore"):
        terms = np.nan_to_num(hit * (1 - forecast) ** 2 + miss * forecast**2)
        return np.asarray(np.nansum((weight @ terms) / (weight @ van.days), axis=1))


def _summary(vans: list[_Van], weight: Array) -> dict[str, float]:
    once = np.ones((1, weight.shape[1]))
    d = np.concatenate([(v.risk - v.frequency)[_judged(v)] for v in vans])
    var = np.concatenate([np.nanvar(v.drawn, axis=0)[_judged(v)] for v in vans])
    out: dict[str, float] = {"van_months": len(d)}
    if len(d):
        biases = np.nanmean(np.concatenate([(v.risk - v.drawn)[:, _judged(v)] for v in vans], axis=1), axis=1)
        out |= {
            "mean_abs": float(np.abs(d).mean()),
            "floor": float(np.sqrt(var.mean())),
            "excess": float(np.sqrt(max(0.0, (d**2 - var).mean()))),
            "bias": float(d.mean()),
            "bias_se": float(biases.std()),
        }
    of = {"brier": [v.risk for v in vans], "climatology": [v.climatology for v in vans]}
    if all(v.yes is not None for v in vans):
        of["worksheet"] = [v.yes for v in vans if v.yes is not None]
    score = {
        kind: [np.sum([_brier(v, f, w) for v, f in zip(vans, forecasts, strict=True)], axis=0) for w in (once, weight)]
        for kind, forecasts in of.items()
    }
    out["brier"] = float(score["brier"][0][0])
    for name in ("climatology", "worksheet"):
        if name not in score or score[name][0][0] == 0:
            continue
        out[f"skill_{name}"] = float(1 - score["brier"][0][0] / score[name][0][0])
        with np.errstate(invalid="ignore", divide="ignore"):
            skills = 1 - score["brier"][1] / score[name][1]
        ends = np.nanquantile(skills, [0.025, 0.975])
        out |= {f"skill_{name}_low": float(ends[0]), f"skill_{name}_high": float(ends[1])}
    return out


def _months(vans: Mapping[str, _Van], risks: Mapping[str, DataFrame]) -> DataFrame:
    import pandas

    parts = []
    for name, van in vans.items():
        ends = np.nanquantile(van.drawn, [0.025, 0.975], axis=0)
        parts.append(
            pandas.DataFrame(
                {
                    "van": name,
                    "month": np.arange(1, 13),
                    "start_days": van.days.sum(axis=0).astype(int),
                    "frequency": van.frequency,
                    "frequency_low": ends[0],
                    "frequency_high": ends[1],
                    "probability": van.risk,
                    "probability_low": risks[name]["risk_low"].to_numpy(),
                    "probability_high": risks[name]["risk_high"].to_numpy(),
                    "noise": np.nanstd(van.drawn, axis=0),
                    "judged": _judged(van),
                }
            )
        )
    return pandas.concat(parts, ignore_index=True)


def _reliability(vans: Mapping[str, _Van], years: NDArray[Any]) -> DataFrame:
    """Van-months by the risk that was given: mean risk and what happened, with the bootstrap's interval."""
    import pandas

    risk = np.concatenate([v.risk for v in vans.values()])
    frequency = np.concatenate([v.frequency for v in vans.values()])
    drawn = np.concatenate([v.drawn for v in vans.values()], axis=1)
    rows = []
    for low, high in zip(_RISK_EDGES[:-1], _RISK_EDGES[1:], strict=True):
        inside = (risk >= low) & ((risk < high) | (high == 1)) & np.isfinite(frequency)
        if inside.any():
            ends = np.nanquantile(np.nanmean(drawn[:, inside], axis=1), [0.025, 0.975])
            rows.append((low, high, int(inside.sum()), risk[inside].mean(), frequency[inside].mean(), *ends))
    names = ["risk_from", "risk_to", "van_months", "probability", "frequency", "frequency_low", "frequency_high"]
    return pandas.DataFrame(rows, columns=names).assign(years=len(years))
