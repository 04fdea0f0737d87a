"""What is said of sets, and what would put it right."""

from __future__ import annotations

from typing import Final

from sinkside.findings import Level, Wording

TEXT_MISSING: Final = Wording(
    rule="set-text-missing",
    level=Level.stop,
    message="No instruction here is known for {devices}.",
    remedy="Hand in the maker's document, or say which instruction is meant.",
)
TEXT_AMBIGUOUS: Final = Wording(
    rule="set-text-ambiguous",
    level=Level.stop,
    message="{number} instructions here go by the name {device}.",
    remedy="Say which of them is meant.",
)
TEXT_NOT_APPROVED: Final = Wording(
    rule="set-text-not-approved",
    level=Level.stop,
    message="No approved instruction for {devices}.",
    remedy="Have it approved; until then nothing of this set goes to the floor.",
)
TEXT_IN_WORK: Final = Wording(
    rule="set-text-in-work",
    level=Level.note,
    message="The instruction of {device} has revision {latest}, not approved; revision {approved} is.",
)
TEXT_OUTDATED: Final = Wording(
    rule="set-text-outdated",
    level=Level.concern,
    message="The instruction of {device} was to be confirmed current by {day}.",
    remedy="Ask the maker whether it still is, and confirm it.",
)
SUBSTITUTE_NOT_APPROVED: Final = Wording(
    rule="set-substitute-not-approved",
    level=Level.concern,
    message="{substitute}, which may stand in for {device}, has no approved instruction here.",
    remedy="Have its instruction approved before it is used in this set.",
)
SUBSTITUTE_WITHOUT_CYCLE: Final = Wording(
    rule="set-substitute-without-cycle",
    level=Level.concern,
    message="With {substitute} in place of {device} the set has no cycle in common.",
    remedy="Pack {substitute} by itself, or do not let it stand in.",
)
PART_UNKNOWN: Final = Wording(
    rule="set-part-unknown",
    level=Level.stop,
    message="{part} is no part of {device} by its text, which names {parts}.",
    remedy="Give it the name that the text has, or list it as a device of its own.",
)
PARTS_UNTOLD: Final = Wording(
    rule="set-parts-untold",
    level=Level.concern,
    message="{part} is counted as a part of {device}, whose text names no parts.",
    remedy="Ask the maker which parts the device has.",
)
PART_LEFT_OUT: Final = Wording(
    rule="set-part-left-out",
    level=Level.concern,
    message="{device} is counted part by part, and its {part} is not in the set.",
    remedy="Add it, or say with the revision why the set does without.",
)
NEW_PART_UNCOUNTED: Final = Wording(
    rule="set-new-part-uncounted",
    level=Level.concern,
    message="A new {part} is fitted to {device} each time, and the set does not list it.",
    remedy="List it with its count, so that it is there at assembly.",
)
MATE_MISSING: Final = Wording(
    rule="set-mate-missing",
    level=Level.stop,
    message="{device} belongs with {mate}, which is not in the set.",
    remedy="Add {mate}, or take both out.",
)
MATES_UNEVEN: Final = Wording(
    rule="set-mates-uneven",
    level=Level.concern,
    message="{device} and {mate} belong together one for one; the set has {number} and {other}.",
    remedy="Bring the counts into step.",
)
COUNT_DIFFERS: Final = Wording(
    rule="set-count-differs",
    level=Level.stop,
    message="The list comes to {counted} pieces; the count sheet says {told}.",
    remedy="Count the set, and correct whichever is wrong.",
)
NEVER_IN_THE_TRAY: Final = Wording(
    rule="set-single-use-in-tray",
    level=Level.stop,
    message="{part} of {device} is {use}; it is never in the tray.",
    remedy="Take it off the list.",
)
LIES_TOGETHER: Final = Wording(
    rule="set-lies-together",
    level=Level.stop,
    message="{device} and {other} must not lie together: {why}. Both lie in: {place}.",
    remedy="Give one of them another place.",
)
PLACES_UNTOLD: Final = Wording(
    rule="set-places-untold",
    level=Level.concern,
    message="{device} and {other} must not lie together: {why}. Nobody said where both lie.",
    remedy="Say where each of them lies.",
)
MASS_UNKNOWN: Final = Wording(
    rule="set-mass-unknown",
    level=Level.concern,
    message="What the set weighs is not known: nobody weighed it, and these have no mass: {things}.",
    remedy="Weigh the packed set.",
)
MASS_CONTRADICTS: Final = Wording(
    rule="set-mass-contradicts",
    level=Level.concern,
    message="The set was weighed at {weighed}; its parts and packaging alone come to {summed:.2}.",
    remedy="Weigh it again, and count it.",
)
TOO_HEAVY: Final = Wording(
    rule="set-too-heavy",
    level=Level.stop,
    message="The set weighs {mass:.2} with its packaging; the limit in force is {limit:.2}.",
    remedy="Split the set.",
)
TOO_HEAVY_FOR_US: Final = Wording(
    rule="set-too-heavy",
    level=Level.stop,
    message="The set weighs {mass:.2} with its packaging; our own limit is {limit:.2}: {reason}.",
    remedy="Split the set.",
)
