"""Sets in and out of files, and what in a set contradicts the set itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sinkside import documents
from sinkside.errors import BadDocument, Fault
from sinkside.sets.document import Member, SetDocument


def load_set(path: Path) -> SetDocument:
    """Read a set from a .yaml, .yml or .json file.

    Raises:
        UnreadableFile: if the file cannot be read.
        BadDocument: with every fault and its path.
    """
    return checked(documents.load(SetDocument, path), resource=str(path))


def read_set(values: Any, *, resource: str = "set") -> SetDocument:
    """A set from plain values.

    Raises:
        BadDocument: with every fault and its path.
    """
    return checked(documents.validate(SetDocument, values, resource=resource), resource=resource)


def checked(document: SetDocument, *, resource: str = "set") -> SetDocument:
    """The same set, if nothing in it contradicts itself.

    Raises:
        BadDocument: with every fault and its path.
    """
    if faults := list(incoherent(document)):
        raise BadDocument(faults, resource=resource)
    return document


def incoherent(document: SetDocument) -> Iterator[Fault]:
    """Names that stand twice, and members that are kept from what is none, or from themselves."""
    times = Counter(member.called for member in document.members)
    seen: set[str] = set()
    for at, member in enumerate(document.members):
        if member.called in seen:
            told = f"'{member.called}' stands twice; raise its count, or give each a name of its own"
            yield Fault(f"members[{at}].name", told)
        seen.add(member.called)
        yield from _of_member(member, f"members[{at}]", set(times))


def _of_member(member: Member, path: str, known: set[str]) -> Iterator[Fault]:
    parts: set[str] = set()
    for at, piece in enumerate(member.parts):
        if piece.part in parts:
            yield Fault(f"{path}.parts[{at}].part", f"'{piece.part}' stands twice; raise its count")
        parts.add(piece.part)
    for at, mate in enumerate(member.mates):
        if mate == member.called:
            yield Fault(f"{path}.mates[{at}]", "it cannot belong with itself")
    for at, one in enumerate(member.apart):
        if one.of == member.called:
            yield Fault(f"{path}.apart[{at}].of", "it cannot be kept from itself")
        elif one.of not in known:
            yield Fault(f"{path}.apart[{at}].of", f"'{one.of}' is no member of this set")
