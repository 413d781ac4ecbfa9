"""Candidates for :func:`upgrades`: changes of a van or a plan, with the parts that have to be bought.

Sizes of steps are own choices. A catalogue of your own is a list of :class:`Candidate`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from ..engine.validation import require_van_and_trip, validate_int
from ..model.attribute_names import ToldNames
from ..model.cautions import COMPETENT, DRIVE_TO_CHARGE
from ..model.checks import validate_text
from ..model.classes import (
    AlternatorCable,
    DcDcCharger,
    Drive,
    InsulatedCover,
    PortableArray,
    ShorePower,
    Trip,
    Van,
    VentFan,
)
from ..model.clocks import compile_with_clock
from ..model.errors import bad_input, checked_call, checked_class
from ..model.values import mean_value
from ..model.van_parts import is_lithium, rated_ah, roof_array
from ..money.lithium_conversion import lithium_bundle
from ..money.prices import PricedPart, panel_item, require_parts

Changed = tuple[Van, Trip]
FOOD_C = 5.0  # food rule: at or below; not warmer in 95 of 100 trips
_SHADES = ("shade_beam", "shade_sky", "shade_morning", "shade_midday", "shade_afternoon")


@checked_class
@dataclass(frozen=True)
class Candidate(ToldNames):
    """A change of a van and a trip.

    Parameters
    ----------
    name : str
        What it is called.
    change : callable
        Takes van and trip and returns both changed, or None where it does not apply.
    parts : tuple of PricedPart
        What is bought.
    group : str
        Candidates of one group exclude each other.
    each_trip : bool
        Whether the parts are paid again on each trip.
    parts_removed : tuple of PricedPart
        Goes out of the van: its mass counts.
    note : str
        What to know about it.
    food_rule : bool
        Offered only where the food stays cold enough.

    Examples
    --------
    >>> wider = rt.Candidate("330 W", lambda van, trip: (van.replace("solar.rated_w", 330), trip),
    ...                      parts=(rt.PricedPart("glued_panel", 110),))
    >>> rt.upgrades(van, trip, [wider], trials=50)["330 W"].mass_kg.value > 0
    True
    """

    name: str
    change: Callable[[Van, Trip], tuple[Van, Trip] | None]
    parts: tuple[PricedPart, ...] = ()
    group: str = ""
    each_trip: bool = False
    parts_removed: tuple[PricedPart, ...] = ()
    note: str = ""
    food_rule: bool = False

    def __post_init__(self) -> None:
        for name in ("name", "group", "note"):
            validate_text(f"Candidate.{name}", getattr(self, name))
        if not callable(self.change):
            hint = 'such as lambda van, trip: (van.replace("solar.rated_w", 300), trip)'
            raise bad_input("Candidate.change", self.change, allowed="a function of van and trip", hint=hint)
        for name in ("parts", "parts_removed"):
            object.__setattr__(self, name, require_parts(f"Candidate.{name}", getattr(self, name)))


@checked_call
def catalogue(van: Van, trip: Trip, *, drive_every: int = 2) -> list[Candidate]:
    """List the candidates that apply to a van on a trip.

    Parameters
    ----------
    van, trip : Van, Trip
        As they are.
    drive_every : int
        One of the candidates adds a hitched drive on every so many days, 1 to 30.

    Returns
    -------
    list of Candidate
        To be given to :func:`upgrades`, all or some of them.

    Raises
    ------
    InputError
        No Van or Trip, or a number out of range.

    Examples
    --------
    >>> "100 W more panel on the roof" in [candidate.name for candidate in rt.catalogue(van, trip)]
    True
    """
    require_van_and_trip(van, trip)
    drive_every = validate_int("drive_every", drive_every, 1, 30)
    made = [
        *_solar(van),
        *_batteries(van),
        *_charging(van, trip, drive_every),
        *_fridge(van),
        *_behaviour(van, trip),
    ]
    return [c for c in made if c.change(van, trip) is not None]


# Changes are functions of the module, and parts of calls of these, so that candidates can be pickled.


def _on_van(**changes: Any) -> Callable[[Van, Trip], Changed]:
    return partial(_change_van, changes)


def _change_van(changes: dict[str, Any], van: Van, trip: Trip) -> Changed:
    return van.replace(**changes), trip


def _on_trip(**changes: Any) -> Callable[[Van, Trip], Changed]:
    return partial(_change_trip, changes)


def _change_trip(changes: dict[str, Any], van: Van, trip: Trip) -> Changed:
    return van, trip.replace(**changes)


def add_to_trip(field: str, part: Any, van: Van, trip: Trip) -> Changed:
    """A change that puts a part, such as a drive, into a list of the trip."""
    return van, trip.replace(**{field: [*getattr(trip, field), part]})


def _on_roof(**changes: Any) -> Callable[[Van, Trip], Changed | None]:
    """A change of the first array on the roof, where a van has one."""
    return partial(_change_roof, changes)


def _change_roof(changes: dict[str, Any], van: Van, trip: Trip) -> Changed | None:
    roof = roof_array(van)
    return None if roof is None else (van.replace(**{f"{roof[0]}.{k}": v for k, v in changes.items()}), trip)


def _more_panel(van: Van, trip: Trip) -> Changed | None:
    if (roof := roof_array(van)) is None:
        return None
    path, array = roof
    return van.replace(**{f"{path}.rated_w": mean_value(array.rated_w) + 100}), trip


def _folding_panel(van: Van, trip: Trip) -> Changed:
    return van.replace(arrays=[*van.arrays, PortableArray(rated_w=100)]), trip


def _another_battery(lithium: bool, van: Van, trip: Trip) -> Changed | None:
    if len(van.batteries) > 1 or is_lithium(van) != lithium:
        return None
    return van.replace(batteries=[*van.batteries, type(van.batteries[0])(capacity_ah=100)]), trip


def _lithium_in_place(van: Van, trip: Trip) -> Changed | None:
    return None if is_lithium(van) else (lithium_bundle(van).van, trip)


def _dc_dc_charger(van: Van, trip: Trip) -> Changed | None:
    return None if isinstance(van.dc_dc, DcDcCharger) else (van.replace(dc_dc=DcDcCharger()), trip)


def _thicker_cable(van: Van, trip: Trip) -> Changed:
    return van.replace(**{"wiring.fridge_branch_mohm": mean_value(van.wiring.fridge_branch_mohm) / 2}), trip


def _solar(van: Van) -> list[Candidate]:
    out = []
    if (found := roof_array(van)) is not None:
        solar = found[1]
        watts = mean_value(solar.rated_w)
        mounts = [PricedPart("panel_mounts")] if solar.mounting != "glued" else []
        parts = (PricedPart(panel_item(solar), 100.0), *mounts)
        note = f"cable, fuse and charge controller must suit the larger current, the panel be held fast, {COMPETENT}"
        out.append(Candidate("100 W more panel on the roof", _more_panel, parts, note=note))
        if solar.mounting == "glued":
            framed = (PricedPart("framed_panel", watts), PricedPart("panel_mounts"), PricedPart("installer_labour"))
            out.append(
                Candidate(
                    "framed panel with an air gap in place of the glued one",
                    _on_roof(mounting="air_gap"),
                    framed,
                    "mounting",
                    parts_removed=(PricedPart("glued_panel", watts),),
                    note=f"mounts that stand the wind of driving, {COMPETENT}",
                )
            )
        if mean_value(solar.tilt_deg) < 20 and solar.mounting != "glued":
            out.append(Candidate("panel tilted by 30 degrees", _on_roof(tilt_deg=30), (PricedPart("tilt_feet"),)))
    if "portable" not in [array.name for array in van.arrays]:
        bought = (PricedPart("folding_panel", 100.0), PricedPart("mppt_charge_controller"))
        note = f"set up on about half of the days; its charge controller is joined with a fuse, {COMPETENT}"
        out.append(Candidate("100 W folding panel", _folding_panel, bought, note=note))
    return out


def _batteries(van: Van) -> list[Candidate]:
    out = []
    lithium = is_lithium(van)
    if len(van.batteries) == 1:
        item = "lithium_battery" if lithium else "agm_battery"
        parts = (PricedPart(item, 100.0), PricedPart("battery_fuse"))
        out.append(
            Candidate(
                "another battery of 100 Ah beside the old one",
                partial(_another_battery, lithium),
                parts,
                "battery",
                note="unequal batteries in parallel share current unequally: same kind, close in age; each with its "
                f"own fuse, vented to the outside where it is lead-acid, {COMPETENT}",
            )
        )
    if not lithium:
        bundle = lithium_bundle(van)
        name = f"lithium bundle, {rated_ah(bundle.van):g} Ah"
        note = f"in a cool, dry place that the local code allows, with a fuse at the battery, {COMPETENT}"
        out.append(
            Candidate(
                name,
                _lithium_in_place,
                bundle.parts,
                "battery",
                parts_removed=(PricedPart("agm_battery", rated_ah(van)),),
                note=note,
            )
        )
    return out


def _charging(van: Van, trip: Trip, drive_every: int) -> list[Candidate]:
    out = []
    if van.dc_dc is None or isinstance(van.dc_dc, AlternatorCable):
        parts = (PricedPart("dc_dc_small"), PricedPart("installer_labour"))
        note = f"charges on drives only; fuses at both ends, {COMPETENT}"
        out.append(Candidate("25 A DC-DC charger", _dc_dc_charger, parts, note=note))
    nights = trip.nights or sum(stop.nights for stop in trip.stops)
    schedule = compile_with_clock(van, trip).schedule
    driven = {i.day for i in schedule if i.kind in ("drive", "day_trip")}
    days = [day for day in range(1 + drive_every, nights + 2, drive_every) if day not in driven]
    if van.dc_dc is not None and days and not trip.stops:
        drive = (trip.drives[0] if trip.drives else Drive(days=days)).replace(days=days)
        out.append(
            Candidate(
                f"drive {_every(drive_every)}, {drive.duration_h:g} h, hitched"
                if van.towed
                else f"drive {_every(drive_every)}, {drive.duration_h:g} h",
                partial(add_to_trip, "drives", drive),
                (PricedPart("drive_hour", len(days) * drive.duration_h),),
                each_trip=True,
                note=DRIVE_TO_CHARGE,
            )
        )
    plugged = {i.day for i in schedule if i.kind == "shore_power"}
    free = [night for night in range(1, nights + 1) if night not in plugged]
    if van.mains is not None and free and not trip.stops:
        night = min(free, key=lambda n: abs(n - (nights + 1) / 2))
        shore = (trip.shore_power[0] if trip.shore_power else ShorePower(nights=night)).replace(nights=night)
        out.append(
            Candidate(
                f"a powered night, night {night}",
                partial(add_to_trip, "shore_power", shore),
                (PricedPart("powered_night"),),
                each_trip=True,
            )
        )
    return out


def _every(k: int) -> str:
    return {1: "every day", 2: "every second day", 3: "every third day"}.get(k, f"every {k}th day")


def _fridge(van: Van) -> list[Candidate]:
    wiring, fridge = van.wiring, van.fridge
    branch = mean_value(wiring.fridge_branch_mohm)
    loop = mean_value(wiring.shared_mohm) + branch
    amps = (
        mean_value(fridge.compressor_w) if fridge.compressor_w is not None else 60 * (fridge.volume_l / 55) ** 0.3
    ) / 12
    out = [
        Candidate(
            "cable to the fridge of half the resistance",
            _thicker_cable,
            (PricedPart("fridge_cable"),),
            note=f"voltage drop at {amps:.1f} A: {loop * amps / 1000:.2f} V now, "
            f"{(loop - branch / 2) * amps / 1000:.2f} V then; section and fuse are "
            "changed together, by a competent person: no size is given here",
        )
    ]
    if fridge.vent_fan is None:
        blown = _on_van(**{"fridge.vent_fan": VentFan()})
        out.append(Candidate("fan behind the fridge", blown, (PricedPart("vent_fan"),)))
    if fridge.cover is None:
        covered = _on_van(**{"fridge.cover": InsulatedCover()})
        out.append(Candidate("insulated cover around the fridge", covered, (PricedPart("fridge_cover"),)))
    warmest = FOOD_C - fridge.hysteresis_k
    if fridge.set_point_c < warmest and fridge.medicine is None:
        out.append(
            Candidate(
                f"set point {warmest:g} degC in place of {fridge.set_point_c:g}",
                _on_van(**{"fridge.set_point_c": warmest}),
                food_rule=True,
            )
        )
    return out


def _behaviour(van: Van, trip: Trip) -> list[Candidate]:
    out = []
    if any(load.name == "inverter" for load in van.loads):
        never = _on_van(**{"loads.inverter.left_on_probability": 0})
        out.append(Candidate("inverter never left on overnight", never))
    standard = type(trip)._declaration
    shade = {name: mean_value(getattr(trip, name)) for name in _SHADES}
    open_ground = {name: standard.field(name).default_value for name in _SHADES}
    shaded = trip.surroundings not in ("as_given", "open") or any(
        value > mean_value(open_ground[name]) for name, value in shade.items()
    )
    if shaded and not trip.stops:
        in_the_open = {**open_ground, "surroundings": "as_given", "horizon_deg": []}
        out.append(Candidate("out of the shade, in open ground", _on_trip(**in_the_open)))
    return out
