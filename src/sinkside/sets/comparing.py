"""Two revisions of a set side by side, in the trade's terms: micro-scissors: count 2 → 3."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Final, Literal

from sinkside.documents import Value
from sinkside.quantities import Quantity
from sinkside.sets.document import Member, SetDocument

_NOT_SAID: Final = "not said"
_RELATIVE: Final = 1e-9

Fact = str | int | Quantity | None


class SetChange(Value):
    """One difference: of which device, what of it, how it was and is, and all in one line.

    `thing` is empty where the set itself changed.
    """

    kind: Literal["added", "removed", "changed"]
    thing: str = ""
    what: str = ""
    before: str = ""
    after: str = ""
    sentence: str


def compare_sets(
    before: SetDocument | None, after: SetDocument, *, names: Mapping[str, str] | None = None
) -> tuple[SetChange, ...]:
    """What changed between two revisions; a mass in another unit is no change.

    Args:
        before: as it was; nothing before the first.
        after: as it is.
        names: what people call instructions that are known by an id.

    >>> def one(count: int) -> SetDocument:
    ...     return SetDocument(name="Hand set", members=(Member(instruction="hook", count=count),))
    >>> [change.sentence for change in compare_sets(one(1), one(2))]
    ['hook: count 1 → 2']
    """
    known = names or {}
    old = {member.called: member for member in before.members} if before else {}
    new = {member.called: member for member in after.members}
    found = list(_of_facts("", _set_facts(before) if before else {}, _set_facts(after)))
    found += [_lone("removed", old[called], known) for called in old if called not in new]
    for called, member in new.items():
        if called not in old:
            found.append(_lone("added", member, known))
        else:
            found += _of_facts(called, _facts(old[called], known), _facts(member, known))
    if [one for one in old if one in new] != [one for one in new if one in old]:
        sentence = "the order of the list changed"
        found.append(SetChange(kind="changed", what="order of the list", sentence=sentence))
    return tuple(found)


def member_words(member: Member, names: Mapping[str, str]) -> str:
    """A member in one line, as the first revision tells it: count 2, order of use 1."""
    told = ((label, _text(fact)) for label, fact in _facts(member, names).items() if fact is not None)
    return ", ".join(f"{label} {text}" for label, text in told)


def _set_facts(document: SetDocument) -> dict[str, Fact]:
    return {
        "name": document.name,
        "packaging": document.packaging,
        "mass of the empty packaging": document.packaging_mass,
        "mass of the packed set": document.mass,
        "pieces on the count sheet": document.pieces,
    }


def _facts(member: Member, names: Mapping[str, str]) -> dict[str, Fact]:
    facts: dict[str, Fact] = {
        "instruction": names.get(member.instruction, member.instruction),
        "count": member.count,
        "mass": member.mass,
        "holder": member.holder,
        "place": member.lies,
        "order of use": member.order,
        "belongs with": ", ".join(member.mates) or None,
    }
    for piece in member.parts:
        facts[f"{piece.part}, count"] = piece.count
        facts[f"{piece.part}, mass"] = piece.mass
        facts[f"{piece.part}, place"] = piece.lies
    for apart in member.apart:
        facts[f"kept from {apart.of}"] = apart.why
    for one in member.substitutes:
        why = f": {one.why}" if one.why else ""
        called = names.get(one.instruction, one.instruction)
        facts[f"{called} may stand in"] = f"allowed by {one.allowed_by}{why}"
    return facts


def _of_facts(thing: str, before: Mapping[str, Fact], after: Mapping[str, Fact]) -> Iterator[SetChange]:
    for label in dict.fromkeys([*before, *after]):
        was, is_now = before.get(label), after.get(label)
        if _same(was, is_now):
            continue
        old, new = _text(was) or _NOT_SAID, _text(is_now) or _NOT_SAID
        head = f"{thing}: " if thing else ""
        yield SetChange(
            kind="changed",
            thing=thing,
            what=label,
            before=old,
            after=new,
            sentence=f"{head}{label} {old} → {new}",
        )


def _lone(kind: Literal["added", "removed"], member: Member, names: Mapping[str, str]) -> SetChange:
    told = member_words(member, names)
    return SetChange(
        kind=kind,
        thing=member.called,
        before=told if kind == "removed" else "",
        after=told if kind == "added" else "",
        sentence=f"{kind}: {member.called} ({told})",
    )


def _same(was: Fact, is_now: Fact) -> bool:
    if isinstance(was, Quantity) and isinstance(is_now, Quantity):
        return math.isclose(was.to("g"), is_now.to("g"), rel_tol=_RELATIVE)
    return was == is_now


def _text(fact: Fact) -> str:
    return "" if fact is None else str(fact)
