"""What is never cleaned: parts for single use, by the part list, by a feature, or by what sentences say."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.instruction import FeatureKind, PartUse
from sinkside.review.case import Case
from sinkside.review.lexicon import clauses, found, in_front_of, says
from sinkside.review.named import is_discarded_on_condition

#: "The seal cap on the port is for": what a sentence on single use is about.
_ITS_SUBJECT = re.compile(
    r"(?:(?:the|each|every|all)\s+)?((?:[a-z]+[\s-]){0,2}[a-z]+)(?:\s+(?:on|of|in|at|inside|behind|around)\s+"
    r"(?:the\s+|a\s+)?[a-z\s]{2,30})?\s+(?:is|are|come|comes|leave|leaves)\b[^,]*$",
    re.IGNORECASE,
)

#: "a sealing cap, which is intended for", "a sheath cap C (": the noun in front is meant.
_RELATIVE = re.compile(
    r"\b(?:a|an|the|its|one)\s+((?:[a-z]+[\s-])?[a-z]+),?\s+(?:which|that)\s+(?:is|are)\b[^,]*$",
    re.IGNORECASE,
)
_IN_BRACKETS = re.compile(r"\b((?:[a-z]+[\s-])?[a-z]+)(?:\s[A-Z])?\s*\([^)]*$")

#: "Twist drills: for single use."
_BEFORE_COLON = re.compile(r"^\W*([A-Z][a-z]+(?:\s[a-z]+){0,2}):\s*(?:for|a)?\s*$")

#: "Take a fresh seal ring for each patient."
_FRESH_EACH_TIME = re.compile(
    r"\b(?:a|an|one)\s+(?:new|fresh|unused)\s+(?:sterile\s+)?((?:[a-z-]+\s)?[a-z-]+)\s+"
    r"(?:(?:is|must be)\s+\w+\s+)?(?:for|on)\s+(?:each|every)\s+"
    r"(?:patient|operation|procedure|case|treatment)\b",
    re.IGNORECASE,
)
_NO_SUBJECT = re.compile(r"\s*(?:is|are)\b", re.IGNORECASE)

#: "M  sleeve, silicone": the row of a list of parts.
_LISTED = re.compile(r"\W*([A-Z]{1,3}\d?)\s")


@dataclass(frozen=True)
class SingleUse:
    """A part that is never cleaned, and the words that stand for it."""

    id: str
    name: str
    use: PartUse
    called: re.Pattern[str]


def single_use(case: Case) -> Iterator[SingleUse]:
    """What is never cleaned: by the part list, by a feature, or by a sentence that says so of a part."""
    device = case.instruction.device
    known: set[str] = set()
    for part in device.parts:
        called = _pattern(case, part.id, part.name)
        said = SingleUse(part.id, part.name, part.use, called)
        by_words = any(
            is_called(clause, said) and _is_once(clause)
            for passage in case.sentences
            for clause in clauses(passage.text)
        )
        is_kept = is_discarded_on_condition(case, called) or _is_renewed_when_worn(case, said)
        if by_words or (part.use is not PartUse.reusable and not is_kept):
            known.add(part.id)
            use = PartUse.discard_after_use if part.use is PartUse.reusable else part.use
            yield SingleUse(part.id, part.name, use, called)
    for name in _said_of(case) - {part.name.lower() for part in device.parts}:
        yield SingleUse(name, name, PartUse.discard_after_use, _by_words(case, name))
    for feature in device.features:
        if feature.kind is FeatureKind.single_use_part and feature.part not in known and feature.name:
            called = _pattern(case, feature.id, feature.name)
            yield SingleUse(feature.id, feature.name, PartUse.discard_after_use, called)


def _is_renewed_when_worn(case: Case, part: SingleUse) -> bool:
    """Whether a part is new only where the old one is damaged: "O-ring cracked or flat: fit a new one"."""
    if part.use is not PartUse.new_at_assembly:
        return False
    renewed = [p.text for p in case.sentences if is_called(p.text, part) and says(p.text, "renewed-part")]
    worn = ("damage-words", "only-when-damaged", "if-worn")
    return bool(renewed) and all(any(says(text, sense) for sense in worn) for text in renewed)


def _is_once(clause: str) -> bool:
    """Whether a clause says that something serves once, or is never used again."""
    is_denied = says(clause, "negation") and not says(clause, "never-again")
    return (says(clause, "single-use-strict") or says(clause, "never-again")) and not is_denied


def _said_of(case: Case) -> set[str]:
    """Components that sentences call single-use, where no list of parts names them."""
    named = set()
    for passage in case.passages:
        for clause in clauses(passage.text):
            sense = "never-again" if says(clause, "never-again") else "single-use-strict"
            if not says(clause, sense) or (sense != "never-again" and says(clause, "negation")):
                continue
            match = _ITS_SUBJECT.match(_up_to_its_verb(_in_front(passage.text, clause, sense)))
            if match and says(match[1].split()[-1], "component"):
                named.add(match[1].lower())
            for pattern in (_RELATIVE, _IN_BRACKETS):
                match = pattern.search(in_front_of(passage.text, sense))
                if match and says(match[1].split()[-1], "component"):
                    named.add(match[1].lower())
        if match := _FRESH_EACH_TIME.search(passage.text):
            named |= {match[1].lower()} if says(match[1].split()[-1], "component") else set()
        if match := _BEFORE_COLON.match(in_front_of(passage.text, "single-use-strict")):
            named.add(match[1].lower())
    return named


def _in_front(text: str, clause: str, sense: str) -> str:
    """What stands in front of words on single use, with the subject that they have a clause earlier."""
    said = in_front_of(clause, sense)
    if min(found(clause, sense)).startswith("serve"):
        return f"{said} is"
    # "Wires are supplied sterile, are for single use": the second clause is of the wires too.
    return in_front_of(text, sense).replace(",", " ") if _NO_SUBJECT.match(said) else said


def _up_to_its_verb(said: str) -> str:
    """What stands in front of "must", with the verb that the pattern of a subject wants."""
    subject, verb, _ = said.partition(" must")
    return f"{subject} is" if verb else said


def _pattern(case: Case, part_id: str, name: str) -> re.Pattern[str]:
    """The words that stand for a part: name, letter, and the last word of its name if no other has it."""
    device = case.instruction.device
    names = [part.name.lower() for part in device.parts if part.id != part_id]
    names += [feature.name.lower() for feature in device.features if feature.id != part_id]
    mine = name.lower().split()[-1:]
    names = [other for other in names if [other.removesuffix("s")] != [one.removesuffix("s") for one in mine]]
    spellings = [rf"(?i:{re.escape(name)})"] if name else []
    last = name.lower().split()[-1] if " " in name else ""
    if last and not any(last.removesuffix("s") in other for other in names):
        spellings.append(rf"(?i:{re.escape(last.removesuffix('s'))}s?)")
    if part_id.isupper():
        spellings.append(re.escape(part_id))
    return re.compile(rf"(?<!\w)(?:{'|'.join(spellings)})(?!\w)")


def _by_words(case: Case, name: str) -> re.Pattern[str]:
    """The words that stand for a thing that no list names; its last word alone where no other has it."""
    first, _, last = name.rpartition(" ")
    others = re.compile(rf"\b([a-z-]+)[\s-]{re.escape(last.removesuffix('s'))}s?\b", re.IGNORECASE)
    in_front = {one.lower() for passage in case.passages for one in others.findall(passage.text)}
    if not first or any(not says(one, "names-no-other") for one in in_front - {first.split()[-1]}):
        return re.compile(rf"(?<!\w){re.escape(name)}(?!\w)", re.IGNORECASE)
    return _pattern(case, name, name)


def is_called(text: str, part: SingleUse) -> bool:
    """Whether some words name a part."""
    return part.called.search(text) is not None


def letters_of(case: Case, part: SingleUse) -> frozenset[str]:
    """The capitals that stand in front of the name of a part where the parts are listed: "M  sleeve"."""
    features = case.instruction.device.features
    listed = [one.origin.text for one in features if one.name == part.name and one.origin]
    return frozenset(match[1] for text in listed if (match := _LISTED.match(text)))
