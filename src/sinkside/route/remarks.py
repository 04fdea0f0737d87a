"""Concerns and notes that a resolved route carries."""

from __future__ import annotations

from sinkside.findings import Level, Wording

DRYING_UNSAID = Wording(
    rule="route-drying-unsaid",
    level=Level.concern,
    message="The instruction states no drying time for its cycle; {program} dries as it was validated.",
    remedy="Ask the maker for the drying time.",
)
CYCLE_CONDITIONAL = Wording(
    rule="route-cycle-conditional",
    level=Level.concern,
    message="The instruction names the cycle under a condition: {condition}.",
    remedy="Make sure that the condition holds, or ask the maker.",
)
BAND_ABOVE_LIMIT = Wording(
    rule="route-band-above-limit",
    level=Level.concern,
    message="The band of {program} reaches {top_c}, above what the device bears.",
    remedy="Ask the maker whether the cycle's band is included in the limit.",
)
CHLORIDE_UNTESTED = Wording(
    rule="route-chloride-untested",
    level=Level.concern,
    message="The instruction limits chloride in the rinse, and {water} has no result for it.",
    remedy="Have the chloride of {water} tested.",
)
CONTACT_TOO_SHORT = Wording(
    rule="route-contact-shorter-than-chemical",
    level=Level.concern,
    message="The instruction soaks for less than the {contact} that {chemical} asks for.",
    remedy="Ask the maker of the chemical whether the shorter time is enough.",
)
SIZE_FROM_BORE = Wording(
    rule="route-brush-size-from-bore",
    level=Level.note,
    message="The instruction states no brush diameter; {brush} was chosen from the bore of {bore} "
    "(common practice, no source).",
    remedy="Ask the maker for the brush diameter.",
)
PACKAGING_UNSAID = Wording(
    rule="route-packaging-unsaid",
    level=Level.note,
    message="The instruction names no kind of packaging; {packaging} is made for the cycle.",
    remedy="Ask the maker which packaging was validated.",
)
AIR_SET_DOWN = Wording(
    rule="route-air-set-down",
    level=Level.note,
    message="{air} can deliver more than the instruction allows; it is set to {pressure}.",
    remedy="Check the gauge before use.",
)
