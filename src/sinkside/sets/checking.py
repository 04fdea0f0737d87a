"""What is wrong with a set by its own list and by its members' texts, as findings."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.findings import Finding, worst_first
from sinkside.instruction import Instruction, PartUse
from sinkside.limits import Profile
from sinkside.sets import wordings
from sinkside.sets.contents import NEVER_IN_THE_TRAY, Content, contents_of, listed_parts, part_of
from sinkside.sets.document import Member, SetDocument
from sinkside.sets.mass import mass_of
from sinkside.sets.weighing import mass_findings

_USE_WORDS: Final = {
    PartUse.discard_after_use: "thrown away where it was used",
    PartUse.sterile_at_field: "sterile in a pack of its own and opened at the field",
}


@dataclass(frozen=True)
class SetCase:
    """A set with everything that it is judged by.

    Attributes:
        document: the set.
        instructions: the members' texts by what the set calls them; those that nobody has are left out.
        contents: its lines.
        limits: the profile that the department works to.
        language: the language of sentences.
    """

    document: SetDocument
    instructions: Mapping[str, Instruction]
    contents: Sequence[Content]
    limits: Profile
    language: str = "en"


def check_set(
    document: SetDocument,
    instructions: Mapping[str, Instruction],
    limits: Profile,
    *,
    language: str = "en",
) -> tuple[Finding, ...]:
    """Everything that is wrong with a set, save its route; the worst first.

    Args:
        document: the set.
        instructions: the members' texts by what the set calls them; those that nobody has are left out.
        limits: the profile that the department works to.
        language: the language of sentences.
    """
    contents = contents_of(document, instructions)
    case = SetCase(document, instructions, contents, limits, language)
    weighed = mass_of(document, contents, instructions, limits)
    found = [finding for check in _CHECKS for finding in check(case)]
    return tuple(worst_first([*found, *mass_findings(document, weighed, language=language)]))


def _parts_unknown(case: SetCase) -> Iterator[Finding]:
    """Listed parts that the device's text does not name."""
    for member, text in _with_text(case):
        named = ", ".join(part.name for part in text.device.parts)
        for piece in member.parts:
            if part_of(piece, text) is None:
                evidence = {"part": piece.part, "device": member.called, "parts": named}
                wording = wordings.PART_UNKNOWN if named else wordings.PARTS_UNTOLD
                yield wording.finding(evidence=evidence, language=case.language)


def _parts_left_out(case: SetCase) -> Iterator[Finding]:
    """Parts of a text that a member counts part by part has not; what is never in the tray is none."""
    for member, text in _with_text(case):
        listed = listed_parts(member, text)
        for part in text.device.parts if member.parts else ():
            if part.id in listed or part.use in NEVER_IN_THE_TRAY:
                continue
            is_new = part.use is PartUse.new_at_assembly
            wording = wordings.NEW_PART_UNCOUNTED if is_new else wordings.PART_LEFT_OUT
            evidence = {"part": part.name, "device": member.called}
            yield wording.finding(evidence=evidence, language=case.language)


def _mates(case: SetCase) -> Iterator[Finding]:
    """What belongs together: there, and as many of the one as of the other."""
    told: set[frozenset[str]] = set()
    for member in case.document.members:
        for called in member.mates:
            mate = case.document.member(called)
            pair = frozenset({member.called, called})
            evidence: dict[str, str | int] = {"device": member.called, "mate": called}
            if mate is None:
                yield wordings.MATE_MISSING.finding(evidence=evidence, language=case.language)
            elif mate.count != member.count and pair not in told:
                told.add(pair)
                evidence |= {"number": member.count, "other": mate.count}
                yield wordings.MATES_UNEVEN.finding(evidence=evidence, language=case.language)


def _count(case: SetCase) -> Iterator[Finding]:
    """The pieces that are listed against the number that the count sheet says."""
    told, counted = case.document.pieces, case.document.counted
    if told is not None and told != counted:
        evidence = {"counted": counted, "told": told}
        yield wordings.COUNT_DIFFERS.finding(evidence=evidence, language=case.language)


def _never_in_the_tray(case: SetCase) -> Iterator[Finding]:
    """Single-use parts that are listed though the tray never holds them."""
    for line in case.contents:
        if line.listed and line.use in NEVER_IN_THE_TRAY:
            evidence = {"part": line.name, "device": line.member, "use": _USE_WORDS[line.use]}
            yield wordings.NEVER_IN_THE_TRAY.finding(evidence=evidence, language=case.language)


def _kept_apart(case: SetCase) -> Iterator[Finding]:
    """What must not lie together: in one place, or nobody said where."""
    told: set[frozenset[str]] = set()
    for member in case.document.members:
        for one in member.apart:
            pair = frozenset({member.called, one.of})
            other = case.document.member(one.of)
            if other is None or pair in told:
                continue
            told.add(pair)
            evidence = {"device": member.called, "other": other.called, "why": one.why.strip().rstrip(".")}
            here, there = _places(member), _places(other)
            if not here or not there:
                yield wordings.PLACES_UNTOLD.finding(evidence=evidence, language=case.language)
            elif shared := here & there:
                place = {"place": min(shared)}
                yield wordings.LIES_TOGETHER.finding(evidence=evidence | place, language=case.language)


def _places(member: Member) -> set[str]:
    """Every place where something of a member lies, in plain small letters."""
    said = [member.lies, *(piece.lies for piece in member.parts)]
    return {" ".join(place.split()).casefold() for place in said if place and place.strip()}


def _with_text(case: SetCase) -> Iterator[tuple[Member, Instruction]]:
    for member in case.document.members:
        if text := case.instructions.get(member.called):
            yield member, text


_CHECKS: Final[tuple[Callable[[SetCase], Iterator[Finding]], ...]] = (
    _parts_unknown,
    _parts_left_out,
    _mates,
    _count,
    _never_in_the_tray,
    _kept_apart,
)
