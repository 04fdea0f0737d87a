"""What a recall is called where nobody said why: what it is about, and what happened."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sinkside.aids.labels.scanned import code_of
from sinkside.bench.recall import CauseKind
from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.instruction_view import row_words
from sinkside.desk.machine_things import thing_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.recall.choosing import WHERE_WORDS
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.evidence import BY_MACHINE
from sinkside.desk.recall.rights import READ
from sinkside.desk.solution_log import SOLUTION
from sinkside.records import WantedRows

#: What happened, in words that follow what it happened to.
_HAPPENED: Final = {
    CauseKind.indicator: "an indicator grew or failed",
    CauseKind.cycle: "a cycle failed, or its record was misread",
    CauseKind.machine: "it broke",
    CauseKind.water: "a result of the water was bad",
    CauseKind.chemical: "something is wrong with it",
    CauseKind.text: "withdrawn",
    CauseKind.product: "a notice about the product",
    CauseKind.prion: "suspicion of prions",
}


def named(archive: Archive, who: Visitor, cause: Cause) -> Cause:
    """A cause, called by what it is about and what happened.

    A person is not named: the words stay in the record of the recall, where their name could not be erased.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such machine, water point or text here.
    """
    require(who, READ)
    if cause.kind is CauseKind.person:
        where = f" {WHERE_WORDS[cause.where].partition(':')[0]}" if cause.where else ""
        return cause.model_copy(update={"words": f"Somebody worked{where} without being signed off"})
    with archive.unit(writes=False) as unit:
        words = f"{_about(unit, who, cause)}: {_HAPPENED[cause.kind]}"
    return cause.model_copy(update={"words": f"{words[:1].upper()}{words[1:]}"})


def unknown_codes(archive: Archive, who: Visitor, codes: Sequence[str]) -> tuple[str, ...]:
    """Those of some codes that nothing here has, as they read without what a scanner puts about them.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    plain = dict.fromkeys(map(code_of, codes))
    with archive.unit(writes=False) as unit:
        return tuple(one for one in plain if unit.bench.copies.by_code(who.department, one) is None)


def _about(unit: Unit, who: Visitor, cause: Cause) -> str:
    """What a cause is about: a machine, a lot, a revision of a text, a device, or sets."""
    if cause.kind in BY_MACHINE:
        return thing_in(unit, who, cause.of).name
    if cause.kind is CauseKind.chemical:
        return f"{_chemical(unit, who, cause.of)}, lot {cause.lot}"
    if cause.sets:
        return _sets(unit, cause.sets)
    name = row_words(shelf.row_of(unit, who, cause.of))[0]
    return f"{name}, revision {cause.revision}" if cause.revision else name


def _chemical(unit: Unit, who: Visitor, chemical: str) -> str:
    """Its name here, or as it was called when it was last logged, where it is no longer kept here."""
    site = department_in(unit, who.department)
    named = next((one.name for one in (site.chemicals if site else ()) if one.id == chemical), "")
    logged = unit.rows.found(SOLUTION, [who.department], WantedRows(fields={"chemical": chemical}, limit=1))
    return named or next((row.title.partition(",")[0] for row in logged), chemical)


def _sets(unit: Unit, sets: Sequence[str]) -> str:
    """The first of some sets by name and code, and how many there are beside."""
    first = unit.bench.copies.get(sets[0])
    name = f"{first.name}, {first.code}" if first else "A set"
    return f"{name} and {len(sets) - 1} more" if len(sets) > 1 else name
