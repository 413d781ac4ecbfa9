"""Cautions of a van and a plan: what can hurt somebody. Most of them are the core's."""

import ridethrough._core as _core

cautions = _core.cautions
CAUTION = _core.CAUTION
MEDICINE_CAUTION = _core.MEDICINE
CARBON_MONOXIDE = _core.CARBON_MONOXIDE
LEAD_ACID_INSIDE = _core.LEAD_ACID_INSIDE
LITHIUM_INSIDE = _core.LITHIUM_INSIDE
DRIVE_TO_CHARGE = "never drive to charge when tired or after drinking"
COMPETENT = "by a competent person under the local code"
