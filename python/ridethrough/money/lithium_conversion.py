"""Conversions from AGM to lithium: the changed van, with the parts, settings and work that go with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ..model.cautions import COMPETENT, LITHIUM_INSIDE
from ..model.classes import AlternatorCable, DcDcCharger, LithiumBattery, Van
from ..model.errors import bad_input, checked_call, checked_class
from ..model.values import mean_value
from ..model.van_parts import in_common, is_lithium, rated_ah
from .prices import PricedPart, charger_item, require_parts

AH_PER_AGM_AH = 0.8  # own choice: 150 Ah to 120 Ah, a common swap; by habit that is 75 to 108 usable Ah
BMS_MARGIN_V = 0.2  # common practice, no source: a load disconnect stays this far above the BMS
_KEPT = ("initial_soc", "cabin_share", "thermal_lag_h")


@checked_class
@dataclass(frozen=True)
class Bundle:
    """A van after a conversion, the parts that have to be bought for it, and what to know about it.

    Parameters
    ----------
    van : Van
        After the conversion.
    parts : tuple of PricedPart
        What has to be bought and fitted.
    notes : tuple of str
        What to know about it.

    Examples
    --------
    >>> bundle = rt.lithium_bundle(van)
    >>> type(bundle.van.battery).__name__, bundle.parts[0].item
    ('LithiumBattery', 'lithium_battery')
    """

    van: Van
    parts: tuple[PricedPart, ...]
    notes: tuple[str, ...]

    def __post_init__(self) -> None:
        if not isinstance(self.van, Van):
            raise bad_input("Bundle.van", self.van, reason="must be a Van")
        object.__setattr__(self, "parts", require_parts("Bundle.parts", self.parts))


@checked_call
def lithium_bundle(van: Van, capacity_ah: float | None = None) -> Bundle:
    """Put a lithium battery in place of a van's AGM, with all that has to go with it.

    Battery with BMS, monitor, main fuse and labour are bought; a DC-DC charger where the alternator's line is a plain
    cable, a mains charger where it is an old converter. Charge stages that were set by hand for lead-acid are set to
    lithium's.

    Parameters
    ----------
    van : Van
        With an AGM.
    capacity_ah : float, optional
        Rated capacity [Ah]; 0.8 of the rated AGM, all of it, where not given. One battery takes the place of all.

    Returns
    -------
    Bundle
        The van after the conversion, the parts to be bought, and what to know about it.

    Raises
    ------
    InputError
        The battery is lithium already, or the capacity is out of range.

    Examples
    --------
    >>> rt.lithium_bundle(van, 200).van.battery
    LithiumBattery(capacity_ah=200)
    """
    if not isinstance(van, Van):
        raise bad_input("van", van, reason="must be a Van")
    old = in_common(van)
    if is_lithium(van):
        raise bad_input(f"van.{van.paths_of('batteries')[0]}", old, allowed="AgmBattery, which is to be replaced")
    if capacity_ah is None:
        capacity_ah = round(AH_PER_AGM_AH * rated_ah(van))
    changes: dict[str, Any] = {name: getattr(old, name) for name in _KEPT}
    notes = ["Charge controller and chargers must have a lithium setting; where one has not, add its price."]
    if old.location == "engine_bay":
        notes.append(
            "Lithium can't stand the heat of the engine bay: the battery moves to a cool, dry place that the local "
            "code allows. It is simulated at the cabin's temperature."
        )
        if changes["cabin_share"] is None:
            changes["location"] = "living_space"
    else:
        changes["location"] = old.location
    battery = LithiumBattery(capacity_ah=capacity_ah, **changes)
    parts = [PricedPart("lithium_battery", mean_value(capacity_ah))]
    parts += [PricedPart(item) for item in ("battery_monitor", "battery_fuse", "installer_labour")]
    new: dict[str, Any] = {"battery": battery}
    if isinstance(van.dc_dc, AlternatorCable):
        new["dc_dc"] = _charger_for(van.dc_dc)
        parts.append(PricedPart(charger_item(new["dc_dc"])))
        notes.append(
            "A DC-DC charger takes the place of the plain cable, which would let the battery draw what it likes."
        )
    elif van.dc_dc is not None:
        new["dc_dc"] = van.dc_dc.replace(charge_profile=None)
    new["arrays"] = [array.replace(charge_profile=None) for array in van.arrays]
    if van.mains is not None:
        if van.mains.charge_profile is not None and van.mains.charge_profile.ready_made == "converter":
            parts.append(PricedPart("mains_charger"))
            notes.append("A mains charger takes the place of the old converter, which never fills lithium.")
        new["mains"] = van.mains.replace(charge_profile=None)
    if van.disconnect is not None and mean_value(van.disconnect.cutout_v) < battery.bms_cutoff_v + BMS_MARGIN_V:
        notes.append(
            f"The system disconnect opens at {mean_value(van.disconnect.cutout_v):g} V: set it at least {BMS_MARGIN_V} "
            f"V above the BMS cut-off of {battery.bms_cutoff_v:g} V."
        )
    if old.location == "living_space":
        notes.append(LITHIUM_INSIDE)
    notes.append(f"With a fuse at the battery, {COMPETENT}; lithium must not be charged below its maker's minimum.")
    return Bundle(van.replace(**new), tuple(parts), tuple(notes))


def _charger_for(cable: Any) -> Any:
    """A charger over the same cable, of a common size and no larger than what the line carries."""
    same = (
        "alternator_v",
        "alternator_swing_v",
        "supply_mohm",
        "supply_length_m",
        "supply_section_mm2",
        "idle_current_a",
        "line_closed",
    )
    fields = {name: getattr(cable, name) for name in same}
    return DcDcCharger(current_a=min(25.0, mean_value(cable.current_a)), **fields)
