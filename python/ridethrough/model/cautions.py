"""Cautions of a van and a plan: what can hurt somebody. Most of them are the core's."""

import ridethrough._core as _core

cautions = _core.cautions
CAUTION = _core.CAUTION
MEDICINE_CAUTION = _core.MEDICINE
CARBON_MONOXIDE = _core.CARBON_MONOXIDE
LEAD_ACID_INSIDE = _core.LEAD_ACID_INSIDE
LITHIUM_INSIDE = _core.LITHIUM_INSIDE
DRIVE_TO_CHARGE = "never drive to charge when tired or after drinking"
# What a screen has room for; details and pages have the whole text.
IN_SHORT = "A planning aid, no guarantee: medicine and breathing machines need a back-up."
LICENSED = "Licensed people do wiring, batteries and gas by local codes"
VENT, NEVER_TIRED = "vent lead-acid outside", "never drive tired"
COMPETENT = "by a competent person under the local code"
