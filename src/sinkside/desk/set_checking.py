"""Sets from files, held against instructions and a department from files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from sinkside.department import Department
from sinkside.desk.set_answers import SetAnswer, parts_of, worked_out
from sinkside.desk.set_texts import folded, no_text_for
from sinkside.errors import BadInput
from sinkside.findings import Finding, worst_first
from sinkside.instruction import Instruction
from sinkside.plain.names import calm_name
from sinkside.sets import SetDocument, load_set, part_set


@dataclass(frozen=True)
class CheckedSet:
    """A set from a file, what comes of it, and everything that is wrong with it, the worst first."""

    document: SetDocument
    answer: SetAnswer
    findings: tuple[Finding, ...]


def check_file(
    path: Path,
    instructions: Mapping[str, Instruction],
    site: Department | None,
    *,
    profile: str = "eu",
) -> CheckedSet:
    """What is wrong with a set, and its common route where a department is given.

    Args:
        path: the set.
        instructions: each under its file's name without the ending; a set may also say the device's name.
        site: what the department has.
        profile: whose published limits are in force where no department says it.

    Raises:
        BadInput: if the set cannot be read, or contradicts itself.
    """
    document = load_set(path)
    known = _by_name(instructions)
    texts = texts_of(document, instructions)
    substitutes = {
        one.instruction: known[folded(one.instruction)]
        for member in document.members
        for one in member.substitutes
        if folded(one.instruction) in known
    }
    answer = worked_out(document, texts, site, substitutes=substitutes, profile_name=profile)
    without = [one for one in document.members if one.called not in texts]
    missing = [no_text_for(without)] if without else []
    found = worst_first([*missing, *answer.of_the_route, *answer.findings])
    return CheckedSet(document, answer, tuple(found))


def texts_of(document: SetDocument, instructions: Mapping[str, Instruction]) -> dict[str, Instruction]:
    """The texts of a set's members by what the set calls them; a member without one is left out."""
    known = _by_name(instructions)
    return {
        member.called: known[folded(member.instruction)]
        for member in document.members
        if folded(member.instruction) in known
    }


def split_file(checked: CheckedSet) -> Sequence[SetDocument]:
    """The sets that a set without a common cycle must become.

    Raises:
        BadInput: if one cycle is common to all.
    """
    if not checked.answer.must_be_split:
        name = checked.document.name
        raise BadInput("one cycle is common to all devices; there is nothing to split", resource=name)
    return part_set(checked.document, parts_of(checked.document, checked.answer))


def _by_name(instructions: Mapping[str, Instruction]) -> dict[str, Instruction]:
    """Texts by device name and by file name, in small letters; a file's name goes first."""
    named = {folded(one.device.name): one for one in instructions.values()}
    calm = {folded(calm_name(one.device.name)): one for one in instructions.values()}
    return {**named, **calm, **{folded(stem): one for stem, one in instructions.items()}}
