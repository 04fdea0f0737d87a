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
PACKAGING_INSTRUCTION_MISSING = Wording(
    rule="route-packaging-instruction-missing",
    level=Level.note,
    message="The own instruction of {packaging}, with its revision, is not on file.",
    remedy="Enter which instruction of {packaging} holds, and its revision.",
)
PACKAGING_TELLS_NO_LUMENS = Wording(
    rule="route-packaging-tells-no-lumens",
    level=Level.note,
    message="The device has lumens, and it is not told for which lumens {packaging} is made.",
    remedy="Look up in the instruction of {packaging} which lumens it is made for, and enter it.",
)
PACKAGING_LUMEN_UNSAID = Wording(
    rule="route-packaging-lumen-unsaid",
    level=Level.concern,
    message="The instruction does not tell {unsaid} of {lumen}; {packaging} is made for some lumens only.",
    remedy="Ask the maker for {unsaid} of {lumen}.",
)
LUMENS_NOT_CLAIMED = Wording(
    rule="route-lumens-not-claimed",
    level=Level.concern,
    message="The device has {count} to be reached, and no lumen claims are told of {program}.",
    remedy="Look up the lumen claims of {program} and enter them.",
)
CLAIMED_LUMEN_UNSAID = Wording(
    rule="route-claimed-lumen-unsaid",
    level=Level.concern,
    message="The instruction does not tell {unsaid} of {lumen}; {program} reaches lumens by its claims only.",
    remedy="Ask the maker for {unsaid} of {lumen}.",
)
NOBODY_SKILLED = Wording(
    rule="route-nobody-skilled",
    level=Level.concern,
    message="At no shift is anybody on who is skilled at the station {station} for {families}.",
    remedy="Teach somebody, and enter the skill; or send the device where it can be done.",
)
SKILL_NOT_AT_EVERY_SHIFT = Wording(
    rule="route-skill-not-at-every-shift",
    level=Level.note,
    message="Nobody who is skilled at the station {station} for {families} is on at: {shifts}.",
    remedy="Let the device wait for a shift with somebody skilled, or teach somebody.",
)
AIR_SET_DOWN = Wording(
    rule="route-air-set-down",
    level=Level.note,
    message="{air} can deliver more than the instruction allows; it is set to {pressure}.",
    remedy="Check the gauge before use.",
)
