"""What can be forbidden in words, and which steps ask for it all the same."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from sinkside.instruction import Action, AirRemoval, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.doing import is_by_machine
from sinkside.review.lexicon import behind, clauses, found, negated, says, subjects
from sinkside.review.named import is_perhaps_of_another
from sinkside.review.numbered import named_by_number
from sinkside.review.stated import is_cycle, is_steam

#: Oil, trays and racks for instruments are not the instrument.
_INSTRUMENT_OIL = re.compile(
    r"\binstrument\s+(?:oil|milk|spray|lubricant|tray|basket|rack)s?\b", re.IGNORECASE
)

#: The letter of a part, and not that of a unit: "40 °C", "104 deg F", "2 V".
_NO_DEGREE = r"(?<![\w°])(?<!\d\s)(?<!°\s)(?<!deg\s)(?<!deg\.\s)(?<!degrees\s)"

#: "A steam cycle is not allowed": the first word is no part.
_ARTICLE = re.compile(r"(?:^|(?<=[.:;!?]\s))\W*A\s+(?=[a-z])")

#: "Place the parts in the bath": all of them, where no word picks some.
_THE_PARTS = re.compile(
    r"^\W*(?:\w+\s+){0,2}(?:the|all)\s+(?:the\s+)?parts\b(?!\s+(?-i:[A-Z\d]))", re.IGNORECASE
)

#: "| 14 | Sterilize | all | steam |": a row that is for every part.
_ALL_CELL = re.compile(
    r"\|\s*(?:all|every one|each|everything|all parts|whole set|complete set)\s*(?=\|)", re.IGNORECASE
)

_LINES_BEHIND_A_BAN = 1
_CLEANS_INSIDE_LIQUID = frozenset({Action.soak, Action.sonicate})


def _in_words(sense: str) -> Callable[[Step], bool]:
    """Steps whose words ask for something, and do not deny it."""
    return lambda step: asks_in_words(step, sense)


def _by_method(sense: str) -> Callable[[Step], bool]:
    """Sterilization steps whose words name a method."""
    return lambda step: step.action is Action.sterilize and asks_in_words(step, sense)


def _is_plain(step: Step) -> bool:
    return not says(words(step), "negation")


def _lies_in_ultrasound(step: Step) -> bool:
    """Whether a step tells for how long something lies in the bath that its heading names."""
    is_laid = step.action in {Action.fill, Action.load, Action.soak, Action.other, Action.wash}
    is_timed = any(figure.quantity is FigureQuantity.time for figure in step.figures)
    return is_laid and is_timed and says(step.heading or "", "ultrasonic")


#: What can be forbidden in words, and the steps that ask for it.
ASKS: Mapping[str, Callable[[Step], bool]] = {
    "immersion": lambda step: (
        (step.action in _CLEANS_INSIDE_LIQUID and not says(words(step), "only-permitted"))
        or asks_in_words(step, "immersing")
    ),
    "ultrasonic": lambda step: (
        step.action is Action.sonicate or asks_in_words(step, "ultrasonic") or _lies_in_ultrasound(step)
    ),
    "gravity": lambda step: (
        is_cycle(step) and (step.air_removal is AirRemoval.gravity or says(words(step), "gravity"))
    ),
    "machine-washing": lambda step: step.action is Action.wash and is_by_machine(step),
    "lubrication": lambda step: step.action is Action.lubricate or asks_in_words(step, "drop-of-oil"),
    "taking-apart": lambda step: (
        step.action is Action.take_apart
        and asks_in_words(step, "taking-apart")
        and not says(words(step), "soil")
    ),
    "use-of-brushes": lambda step: step.action is Action.brush and not says(words(step), "too-narrow"),
    "compressed-air": lambda step: asks_in_words(step, "compressed-air"),
    "saline": _in_words("saline"),
    "bleach": _in_words("bleach"),
    "alcohol": _in_words("alcohol"),
    "alkaline": _in_words("alkaline"),
    "abrasive": _in_words("abrasive"),
    "steaming": lambda step: step.action is Action.sterilize and is_steam(step),
    "dry-heat": _by_method("dry-heat"),
    "ethylene-oxide": _by_method("ethylene-oxide"),
    "peroxide": _by_method("peroxide"),
    "formaldehyde": _by_method("formaldehyde"),
    "immediate-use": _by_method("immediate-use"),
    "sterilizing": lambda step: (
        step.action is Action.sterilize and bool(found(words(step), "component")) and _is_plain(step)
    ),
}

#: These are done to the whole device at once.
_METHODS = frozenset(
    {
        "gravity",
        "steaming",
        "dry-heat",
        "ethylene-oxide",
        "peroxide",
        "formaldehyde",
        "immediate-use",
        "sterilizing",
    }
)

NAMES: Mapping[str, str] = {
    "immersion": "immersion",
    "ultrasonic": "ultrasonic cleaning",
    "gravity": "gravity sterilization",
    "machine-washing": "machine washing",
    "lubrication": "lubrication",
    "taking-apart": "taking apart",
    "use-of-brushes": "brushing",
    "compressed-air": "compressed air",
    "saline": "saline",
    "bleach": "bleach",
    "alcohol": "alcohol",
    "alkaline": "alkaline cleaner",
    "abrasive": "scouring and wire brushes",
    "steaming": "steam sterilization",
    "dry-heat": "dry heat",
    "ethylene-oxide": "ethylene oxide",
    "peroxide": "hydrogen peroxide",
    "formaldehyde": "formaldehyde",
    "immediate-use": "immediate-use sterilization",
    "sterilizing": "sterilization",
}


def asks_in_words(step: Step, sense: str) -> bool:
    """Whether a step's words say a sense and do not deny it."""
    said = words(step)
    return says(said, sense) and not negated(said, sense) and not says(said, "only-permitted")


def concerns(case: Case, ban: Passage, clause: str, *, sense: str, step: Step) -> bool:
    """Whether a prohibition and a step are about the same thing.

    Parts decide where both name some; else the things that both name. A prohibition that names nothing or the
    device itself concerns everything.
    """
    is_excepted = _is_left_out(clause, step) or _is_let_in(case, ban, sense, step)
    if is_excepted or not _is_among_numbers(case, clause, step):
        return False
    forbidden = parts_named(case, clause) or _parts_among(case, ban.about)
    asked = _parts_among(case, step.on)
    if forbidden and asked:
        return bool(forbidden & asked)
    if sense in _METHODS:
        others = found(clause, "component") - found(case.instruction.device.name, "component")
        return bool(others & found(words(step), "component")) or (not others and sense != "sterilizing")
    if says(clause, "strong") and not says(words(step), "strong"):
        return False
    # "Retractor arm with clamp and blades": what stands behind is part of it, and may be meant alone.
    whole = subjects(case.instruction.device.name.partition(" with ")[0])
    about, others = (subjects(text, *ASKS, "whole-device") - whole for text in (clause, words(step)))
    said = _INSTRUMENT_OIL.sub(" ", words(step))
    is_all = says(said, "whole-device") or says(said, "everything-of-it") or _is_of_the_parts(case, step)
    if not about or is_all or named_by_number(case, words(step)) & about:
        return True
    # "Immerse for 5 minutes" names nothing: where nothing comes apart it can only be the device.
    return bool(about & others) or not (others or step.on or case.instruction.device.parts)


def _is_of_the_parts(case: Case, step: Step) -> bool:
    """Whether a step works on "the parts" and names none of them by letter or name."""
    said = words(step)
    bare = _THE_PARTS.sub(" ", said)
    return bare != said and not parts_named(case, said) and not says(bare, "other-parts")


def _is_left_out(clause: str, step: Step) -> bool:
    """Whether a step leaves out what a prohibition names: "all pieces other than the handle"."""
    said = words(step)
    left_out = [behind(one, "all-but") for one in clauses(said) if says(one, "all-but")]
    forbidden = found(clause, "component")
    return bool(forbidden) and any(forbidden & found(one, "component") for one in left_out)


def _is_let_in(case: Case, ban: Passage, sense: str, step: Step) -> bool:
    """Whether the words behind a prohibition permit to others what a step names: "tip and key may go in"."""
    behind_it = [
        passage.text
        for passage in case.sentences
        if passage.place.page == ban.place.page
        and passage.place.line is not None
        and ban.place.line is not None
        and 0 <= passage.place.line - ban.place.line <= _LINES_BEHIND_A_BAN
        and passage.text != ban.text
    ]
    permitted = [
        text
        for text in behind_it
        if says(text, "lets-in")
        and not says(text, "negation")
        and not any(says(text, other) for other in ASKS if other != sense)
    ]
    named = found(words(step), "component") | subjects(words(step), *ASKS)
    return any(named & subjects(text, *ASKS) - subjects(ban.text, *ASKS) for text in permitted)


def _is_among_numbers(case: Case, clause: str, step: Step) -> bool:
    """Whether a step that counts its parts off by number counts one that a prohibition names."""
    counted = named_by_number(case, words(step))
    forbidden = found(clause, "component")
    return not counted or not forbidden or bool(counted & forbidden)


def may_be_of_another_part(case: Case, ban: Passage, clause: str, step: Step) -> bool:
    """Whether a prohibition names a part or capitals, and the step tells nothing of what it works on."""
    said = words(step)
    if is_perhaps_of_another(case, ban, clause, said):
        return not _ALL_CELL.search(said)
    named = found(clause, "component") - found(case.instruction.device.name, "component")
    named |= parts_named(case, clause)
    is_told = step.on or found(said, "component") or says(said, "whole-device")
    is_told = is_told or says(said, "everything-of-it") or _is_of_the_parts(case, step)
    return said.rstrip().endswith("?") or bool(named and not is_told)


def parts_named(case: Case, clause: str) -> set[str]:
    """Parts that a clause names, by name or, where ids are letters on the part list, by letter."""
    clause = _ARTICLE.sub(" ", clause)
    return {
        part.id
        for part in case.instruction.device.parts
        if re.search(rf"(?<!\w){re.escape(part.name)}(?!\w)", clause, re.IGNORECASE)
        or (part.id.isupper() and re.search(rf"{_NO_DEGREE}{re.escape(part.id)}(?!\w)", clause))
    }


def _parts_among(case: Case, ids: tuple[str, ...]) -> set[str]:
    return {part.id for part in case.instruction.device.parts if part.id in ids}
