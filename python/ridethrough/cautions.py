"""What can hurt somebody in a van or a plan, told where it was chosen; most of it comes from the core."""

import ridethrough._core as _core

cautions = _core.cautions
CARBON_MONOXIDE = _core.CARBON_MONOXIDE
LEAD_ACID_INSIDE = _core.LEAD_ACID_INSIDE
LITHIUM_INSIDE = _core.LITHIUM_INSIDE
DRIVE_TO_CHARGE = "never drive to charge when tired or after drinking"
COMPETENT = "by a competent person under the local code"
