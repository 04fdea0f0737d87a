"""Copies as pieces of a load: what of each goes into the machine by its texts, and what it weighs."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from sinkside.bench.load_fit import Chosen, Goes, chosen_in, goes_into
from sinkside.bench.loads import Piece
from sinkside.department import Department
from sinkside.desk.access import Visitor
from sinkside.desk.departments import KIND as DEPARTMENT
from sinkside.desk.keeping import from_revision
from sinkside.desk.machine_things import profile_of
from sinkside.desk.ports import Unit
from sinkside.desk.remembered import Remembered
from sinkside.desk.set_texts import TextFound, texts_of
from sinkside.desk.sets import set_in
from sinkside.errors import BadInput
from sinkside.instruction import Instruction
from sinkside.records import KeptCopy, KeptLoad
from sinkside.sets import Member, SetDocument, contents_of, mass_of

#: By the digests of the set, its texts and the department, and the program; a shift's worth.
_GOES: Final = Remembered[tuple[str, ...], Goes](most=500)


class LoadsHere:
    """The machine of a load and its department, for looking at one piece after the other."""

    def __init__(self, unit: Unit, who: Visitor, chosen: Chosen, site: Department, digest: str) -> None:
        self.chosen = chosen
        self.site = site
        self._unit = unit
        self._who = who
        self._digest = digest

    def piece(self, copy: KeptCopy, *, mass_kg: float | None = None) -> Piece:
        """A copy as a piece of the load; `mass_kg` is what it weighed when it was packed."""
        document, found = contents_of_copy(self._unit, self._who, copy)
        texts = {called: text for called, one in found.items() if (text := one.instruction)}
        key = (
            document.model_dump_json(),
            self._digest,
            *self.chosen.cycle,
            *(f"{called}={one.revision.digest}" for called, one in found.items() if one.revision),
        )
        goes = _GOES.get(key, lambda: goes_into(document, texts, self.site, self.chosen))
        weighed = mass_kg if mass_kg is not None else self._mass_kg(document, texts)
        return Piece(copy.id, f"{copy.name} ({copy.code})", copy.state, goes, weighed)

    def _mass_kg(self, document: SetDocument, texts: dict[str, Instruction]) -> float | None:
        return mass_of(document, contents_of(document, texts), texts, profile_of(self.site)).kg


def loads_here(unit: Unit, who: Visitor, machine: str, program: str, rack: str = "") -> LoadsHere:
    """What a load of a machine here is looked at with.

    Raises:
        BadInput: if there is no such machine, program or rack here, or the machine takes no loads.
    """
    kept = unit.documents.get(DEPARTMENT, who.department)
    site = from_revision(kept, Department) if kept else None
    if kept is None or site is None:
        raise BadInput("nobody has said yet what this department has", resource="machine")
    chosen = chosen_in(site, machine, program, rack)
    if chosen is None:
        raise BadInput(_no_such(site, machine, program, rack), resource="machine")
    return LoadsHere(unit, who, chosen, site, kept.digest)


def here_of(unit: Unit, who: Visitor, load: KeptLoad) -> LoadsHere:
    """The same of a load that is kept.

    Raises:
        BadInput: if the department has no such machine, program or rack any longer.
    """
    return loads_here(unit, who, load.machine, load.program, str(load.fields.get("rack") or ""))


def _no_such(site: Department, machine: str, program: str, rack: str) -> str:
    known = next((one for one in site.machines if one.id == machine), None)
    if known is None:
        machines = ", ".join(one.id for one in site.machines) or "none"
        return f"there is no machine '{machine}' here; there are {machines}"
    if program not in {one.name for one in known.programs}:
        programs = ", ".join(one.name for one in known.programs) or "none"
        return f"'{known.name}' has no program '{program}'; it has {programs}"
    if rack and rack not in {one.id for one in known.racks}:
        racks = ", ".join(one.id for one in known.racks) or "none"
        return f"'{known.name}' has no rack '{rack}'; it has {racks}"
    return f"'{known.name}' takes no loads"


def contents_of_copy(unit: Unit, who: Visitor, copy: KeptCopy) -> tuple[SetDocument, dict[str, TextFound]]:
    """What a copy is made of: its set with the texts of the members; an instrument is a set of one."""
    if copy.kind == "set":
        document = set_in(unit, who, copy.of).document
    else:
        document = SetDocument(name=copy.name, members=(Member(instruction=copy.of, name=copy.name),))
    return document, texts_of(unit, who, document)


def without_members(piece: Piece, members: tuple[str, ...]) -> Piece:
    """A piece from which some members that do not bear the program were taken out.

    Raises:
        BadInput: if a member was taken out that the program would take, or the set has none of that name.
    """
    able = {one.member for one in piece.goes.refused}
    wrong = [one for one in members if one not in able]
    if wrong:
        raise BadInput(
            f"{', '.join(wrong)} need not be taken out of {piece.name} for this program", resource="without"
        )
    return replace(piece, goes=piece.goes.without(members))
