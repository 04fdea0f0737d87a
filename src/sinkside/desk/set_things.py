"""What of a set takes up heat: said thing by thing where the set and its texts do not say it."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sinkside.desk.access import Visitor, record
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Unit
from sinkside.desk.set_documents import SetThings
from sinkside.documents import to_values, validate
from sinkside.errors import BadDocument, Fault
from sinkside.sets import SetDocument

KIND: Final = "set-things"

_OF_ONE_THING: Final = ("mass", "material", "shape", "lies")


@dataclass(frozen=True)
class ThingsSaid:
    """What is said of some pieces at once; an empty field leaves what is known as it is.

    `forget` takes back whatever was said of them.
    """

    names: tuple[str, ...]
    mass: str = ""
    material: str = ""
    shape: str = ""
    lies: str = ""
    forget: bool = False


@dataclass(frozen=True)
class BesideSaid:
    """A tray, mat or holder that lies in the set beside its devices."""

    name: str
    mass: str
    material: str
    shape: str
    lies: str
    count: str = "1"


@dataclass(frozen=True)
class BesideStruck:
    """A tray, mat or holder that is not in the set."""

    name: str


@dataclass(frozen=True)
class PackagingSaid:
    """What is said of the packaging: its mass empty and without trays, its floor, whether it is lined."""

    mass: str = ""
    material: str = ""
    liner: bool = False


@dataclass(frozen=True)
class AssumptionSaid:
    """A department's own ends in place of an assumption; without a reason the table's stand again."""

    assumption: str
    low: str = ""
    high: str = ""
    reason: str = ""


Said = ThingsSaid | BesideSaid | BesideStruck | PackagingSaid | AssumptionSaid


def things_in(unit: Unit, key: str) -> SetThings:
    """What is said of a set's things; nothing yet where nobody did."""
    return read_kept(unit, KIND, key, SetThings) or SetThings()


def number_in(unit: Unit, key: str) -> int:
    """The revision of what is said of a set's things; 0 where nobody said anything."""
    kept = unit.documents.get(KIND, key)
    return kept.number if kept else 0


def keep_things(unit: Unit, who: Visitor, key: str, things: SetThings, *, now: datetime) -> int:
    """Keep what is said of a set's things and the event, and say which revision that is."""
    kept = keep_next(unit, KIND, key, things, by=who.person, now=now)
    data = {"revision": kept.number, "digest": kept.digest}
    record(unit, who, "set-things-said", f"set:{key}", now=now, data=data)
    return kept.number


def carry_on(
    unit: Unit, who: Visitor, whole: str, part: str, document: SetDocument, *, now: datetime
) -> None:
    """Keep for a part of a set what was said of the whole's things, as far as its devices go."""
    if not number_in(unit, whole):
        return
    said = things_in(unit, whole)
    names = [member.called for member in document.members]
    ours = tuple(thing for thing in said.of_members if _is_of(thing.name, names))
    keep_things(unit, who, part, said.model_copy(update={"of_members": ours}), now=now)


def _is_of(name: str, members: Collection[str]) -> bool:
    """Whether a thing is one of these members, or a part of one."""
    return any(name == member or name.startswith(f"{member}, ") for member in members)


def with_said(before: SetThings, said: Said) -> SetThings:
    """What is known of a set's things with more said of them.

    Raises:
        BadDocument: with every fault by field.
    """
    makers: dict[type, Callable[[dict[str, Any], Any], None]] = {
        ThingsSaid: _of_pieces,
        BesideSaid: _beside,
        BesideStruck: _strike,
        PackagingSaid: _of_packaging,
        AssumptionSaid: _of_assumption,
    }
    values = to_values(before)
    makers[type(said)](values, said)
    try:
        return validate(SetThings, values, resource="")
    except BadDocument as error:
        raise BadDocument([_by_field(fault) for fault in error.faults]) from error


def _of_pieces(values: dict[str, Any], said: ThingsSaid) -> None:
    if not said.names:
        raise BadDocument([Fault("names", "none is ticked; tick what this is said of")])
    told = _told({name: getattr(said, name) for name in _OF_ONE_THING})
    if not told and not said.forget:
        raise BadDocument([Fault("names", "nothing is said of them; fill in a field, or take back")])
    known = {one["name"]: one for one in values.get("of_members", ())}
    for name in said.names:
        if said.forget:
            known.pop(name, None)
        else:
            known[name] = {**known.get(name, {"name": name}), **told}
    values["of_members"] = list(known.values())


def _beside(values: dict[str, Any], said: BesideSaid) -> None:
    told = _told({name: getattr(said, name) for name in _OF_ONE_THING})
    faults = [
        Fault(name, "missing; it is required")
        for name in ("name", "mass", "material")
        if not getattr(said, name).strip()
    ]
    if not said.count.strip().isdecimal():
        faults.append(Fault("count", f"'{said.count}'; expected a whole number"))
    if faults:
        raise BadDocument(faults)
    others = [one for one in values.get("beside", ()) if one["name"] != said.name.strip()]
    values["beside"] = [*others, {"name": said.name.strip(), "count": int(said.count), **told}]


def _strike(values: dict[str, Any], said: BesideStruck) -> None:
    values["beside"] = [one for one in values.get("beside", ()) if one["name"] != said.name]


def _of_packaging(values: dict[str, Any], said: PackagingSaid) -> None:
    told = {"mass": said.mass.strip(), "material": said.material, "liner": said.liner}
    values["packaging"] = {name: value for name, value in told.items() if value} or None


def _of_assumption(values: dict[str, Any], said: AssumptionSaid) -> None:
    others = [one for one in values.get("assumptions", ()) if one["assumption"] != said.assumption]
    if said.low.strip() or said.high.strip() or said.reason.strip():
        faults: list[Fault] = []
        ends = {name: _number(name, getattr(said, name), faults) for name in ("low", "high")}
        if not said.reason.strip():
            faults.append(Fault("reason", "missing; it is required"))
        if faults:
            raise BadDocument(faults)
        others.append({"assumption": said.assumption, "reason": said.reason.strip(), **ends})
    values["assumptions"] = others


def _number(name: str, text: str, faults: list[Fault]) -> float:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        faults.append(Fault(name, f"'{text.strip()}'; expected a number"))
        return 0.0


def _told(fields: dict[str, str]) -> dict[str, Any]:
    """What was filled in, as a thing has it."""
    told: dict[str, Any] = {name: text.strip() for name, text in fields.items() if text.strip()}
    if "material" in told:
        told["materials"] = [told.pop("material")]
    return told


def _by_field(fault: Fault) -> Fault:
    """A fault beside the field of the form that it is of; of an assumption as a whole beside its low end."""
    last = fault.path.rpartition(".")[2]
    if fault.path.startswith("assumptions"):
        return Fault("low", fault.problem)
    return Fault(last.partition("[")[0].replace("materials", "material"), fault.problem)
