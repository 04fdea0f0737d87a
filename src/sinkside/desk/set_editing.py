"""A set changed by form: its devices one at a time, and what is said of it as a whole."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sinkside.desk import sets
from sinkside.desk.access import Visitor, require
from sinkside.desk.ports import Archive
from sinkside.desk.set_texts import Finder, device_name
from sinkside.documents import validate
from sinkside.errors import BadDocument, BadInput, Fault, NotThere
from sinkside.sets import Member, SetDocument, checked

#: What the parts of a line are, in order; the rest of a line may be left out.
_LINES: Final[Mapping[str, tuple[str, ...]]] = {
    "parts": ("part", "count", "mass", "lies"),
    "apart": ("of", "why"),
    "substitutes": ("instruction", "allowed_by", "why"),
}
_WHOLE: Final = ("count", "order", "pieces")
_BETWEEN: Final = ";"


@dataclass(frozen=True)
class MemberFields:
    """A device as a form has it; every field is text as it was typed.

    `parts`, `apart` and `substitutes` have one thing a line, its parts with a semicolon between.
    """

    device: str
    name: str = ""
    count: str = "1"
    mass: str = ""
    order: str = ""
    lies: str = ""
    holder: str = ""
    parts: str = ""
    mates: tuple[str, ...] = ()
    apart: str = ""
    substitutes: str = ""


@dataclass(frozen=True)
class SetFields:
    """What is said of a set as a whole, as a form has it."""

    name: str
    packaging: str = ""
    packaging_mass: str = ""
    mass: str = ""
    pieces: str = ""


@dataclass(frozen=True)
class AddMember:
    """One more device."""

    fields: MemberFields


@dataclass(frozen=True)
class CorrectMember:
    """A device as its fields say it now."""

    called: str
    fields: MemberFields


@dataclass(frozen=True)
class StrikeMember:
    """A device that is in the set no longer."""

    called: str


@dataclass(frozen=True)
class CorrectSet:
    """The set as a whole as its fields say it now."""

    fields: SetFields


Change = AddMember | CorrectMember | StrikeMember | CorrectSet


def new_set(
    archive: Archive, who: Visitor, fields: SetFields, first: MemberFields, *, now: datetime, note: str = ""
) -> str:
    """Keep a new set with its first device, and say its id.

    Raises:
        NotAllowed: without the right.
        BadDocument: with every fault by field.
    """
    require(who, sets.EDIT)
    values, faults = _values(fields)
    member, more = _member_values(archive, who, first)
    if faults or more:
        raise BadDocument([*faults, *more])
    return sets.make_set(archive, who, _document({**values, "members": [member]}), now=now, note=note)


def edit_set(
    archive: Archive, who: Visitor, key: str, change: Change, *, base: int, now: datetime, why: str = ""
) -> int:
    """Change a set in one place, and say which revision that made.

    Args:
        archive: where it is kept.
        who: who says so.
        key: the set.
        change: what to add, change or strike.
        base: the revision that the person had before them.
        now: the moment.
        why: why; it may be left open.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such set or device.
        Conflict: if there is a later revision already, or the set is not in use.
        BadInput: if nothing would change.
        BadDocument: with every fault by field.
    """
    require(who, sets.EDIT)
    opened = sets.open_set(archive, who, key)
    made = _made(archive, who, opened.document, change)
    return sets.change_set(archive, who, key, made, base=base, now=now, note=why)


def fields_of(member: Member, names: Mapping[str, str]) -> MemberFields:
    """A device as its form shows it.

    Args:
        member: the device.
        names: what instructions are called that it knows by id.
    """
    return MemberFields(
        device=names.get(member.instruction, member.instruction),
        name=member.name,
        count=str(member.count),
        mass=str(member.mass or ""),
        order=str(member.order or ""),
        lies=member.lies or "",
        holder=member.holder or "",
        parts=_lines("parts", member),
        mates=member.mates,
        apart=_lines("apart", member),
        substitutes="\n".join(
            _line(names.get(one.instruction, one.instruction), one.allowed_by, one.why)
            for one in member.substitutes
        ),
    )


def member_called(document: SetDocument, called: str) -> Member:
    """A device of a set.

    Raises:
        NotThere: if it has none that is called so.
    """
    found = document.member(called)
    if found is None:
        raise NotThere("there is no such device in this set", resource=called)
    return found


def _made(archive: Archive, who: Visitor, before: SetDocument, change: Change) -> SetDocument:
    if isinstance(change, StrikeMember):
        return _struck(before, member_called(before, change.called).called)
    if isinstance(change, CorrectSet):
        values, faults = _values(change.fields)
        if faults:
            raise BadDocument(faults)
        return _document({**values, "members": [_plain(one) for one in before.members]})
    member, faults = _member_values(archive, who, change.fields)
    if faults:
        raise BadDocument(faults)
    whole = {**before.model_dump(mode="json", exclude_none=True)}
    if isinstance(change, AddMember):
        whole["members"] = [*whole["members"], member]
        return _document(whole, at=len(before.members))
    old = member_called(before, change.called)
    at = before.members.index(old)
    whole["members"] = [_renamed(one, old.called, _called(member)) for one in whole["members"]]
    whole["members"][at] = member
    return _document(whole, at=at)


def _struck(before: SetDocument, called: str) -> SetDocument:
    """The set without a device; whoever belonged with it still says so, and is found."""
    left = tuple(
        one.model_copy(update={"apart": tuple(other for other in one.apart if other.of != called)})
        for one in before.members
        if one.called != called
    )
    if not left:
        raise BadInput("it is the last device; a set has at least one", resource=called)
    return before.model_copy(update={"members": left})


def _renamed(member: dict[str, Any], before: str, after: str) -> dict[str, Any]:
    """A member that speaks of another one, which is called otherwise now."""
    mates = [after if mate == before else mate for mate in member.get("mates", ())]
    apart = [{**one, "of": after if one["of"] == before else one["of"]} for one in member.get("apart", ())]
    return {**member, "mates": mates, "apart": apart}


def _document(values: dict[str, Any], *, at: int = 0) -> SetDocument:
    """The set from plain values, its faults by the fields of the form that they stand in."""
    try:
        return checked(validate(SetDocument, values, resource=""))
    except BadDocument as error:
        head = f"members[{at}]"
        raise BadDocument([_by_field(fault, head) for fault in error.faults]) from error


def _by_field(fault: Fault, head: str) -> Fault:
    if not fault.path.startswith(f"{head}."):
        return Fault(fault.path if "." not in fault.path else "", fault.problem)
    return Fault(fault.path.removeprefix(f"{head}.").replace("instruction", "device"), fault.problem)


def _values(fields: SetFields) -> tuple[dict[str, Any], list[Fault]]:
    given = {name: text.strip() for name, text in vars(fields).items() if text.strip()}
    return _with_numbers({"name": fields.name.strip(), **given})


def _member_values(
    archive: Archive, who: Visitor, fields: MemberFields
) -> tuple[dict[str, Any], list[Fault]]:
    """A device as plain values; one whose name an instruction bears is known by that instruction's id."""
    given: dict[str, Any] = {
        name: text.strip()
        for name, text in vars(fields).items()
        if isinstance(text, str) and text.strip() and name not in {*_LINES, "device"}
    }
    values, faults = _with_numbers(given)
    device = " ".join(fields.device.split())
    if not device:
        faults.append(Fault("device", "missing; it is required"))
    for name in _LINES:
        values[name] = list(_from_lines(name, getattr(fields, name), faults))
    with archive.unit(writes=False) as unit:
        row, _ = Finder(unit, who).row(device)
    if row is not None:
        values.setdefault("name", device_name(row))
    return {**values, "instruction": row.id if row else device, "mates": list(fields.mates)}, faults


def _with_numbers(given: dict[str, Any]) -> tuple[dict[str, Any], list[Fault]]:
    values, faults = dict(given), []
    for name in _WHOLE:
        if name in values:
            try:
                values[name] = int(values[name])
            except ValueError:
                faults.append(Fault(name, f"'{values[name]}'; expected a whole number"))
    return values, faults


def _from_lines(name: str, text: str, faults: list[Fault]) -> Iterator[dict[str, Any]]:
    for number, line in enumerate(filter(str.strip, text.splitlines()), start=1):
        parts = [part.strip() for part in line.split(_BETWEEN)]
        if len(parts) > len(_LINES[name]):
            told = f"line {number} has too many parts; expected {f'{_BETWEEN} '.join(_LINES[name])}"
            faults.append(Fault(name, told.replace("_", " ")))
            continue
        values, wrong = _with_numbers(
            {field: part for field, part in zip(_LINES[name], parts, strict=False) if part}
        )
        faults += [Fault(name, f"line {number}, {fault.path}: {fault.problem}") for fault in wrong]
        yield values


def _lines(name: str, member: Member) -> str:
    things = getattr(member, name)
    return "\n".join(_line(*(getattr(one, field) for field in _LINES[name])) for one in things)


def _line(*parts: Any) -> str:
    told = ["" if part is None else str(part) for part in parts]
    while told and not told[-1]:
        told.pop()
    return f"{_BETWEEN} ".join(told)


def _plain(member: Member) -> dict[str, Any]:
    return member.model_dump(mode="json", exclude_none=True)


def _called(member: dict[str, Any]) -> str:
    return str(member.get("name") or member["instruction"])
