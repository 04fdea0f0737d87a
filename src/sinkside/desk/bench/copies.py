"""Copies: physical sets with codes of their own, added, found and taken out of use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final

from sinkside.aids.labels.scanned import code_of
from sinkside.bench.run import IN_USE
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.bench.runs import copy_of_code
from sinkside.desk.editing import reason_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.sets import set_in
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.records import KeptCopy, WantedCopies

READ: Final = "bench-read"
EDIT: Final = "set-edit"
OUT_OF_USE: Final = "out-of-use"
_LONGEST: Final = 120


def subject_of(copy: str) -> str:
    """How a copy stands in events."""
    return f"copy:{copy}"


def add_copy(
    archive: Archive, who: Visitor, key: str, *, code: str, now: datetime, name: str = "", place: str = ""
) -> str:
    """Give a physical set its code, and say its id; it stands as in use until it arrives for the first time.

    Args:
        archive: where it is kept.
        who: who says so.
        key: the set that it is one of.
        code: what a scanner reads from it.
        now: the moment.
        name: what people call it; the set's name unless told.
        place: where it is.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such set here.
        BadInput: if the code is empty or too long.
        Conflict: if another copy here has the code.
    """
    require(who, EDIT)
    plain = code_of(code)
    if not plain or len(plain) > _LONGEST:
        raise BadInput(f"expected a code of 1 to {_LONGEST} signs", resource="code")
    with archive.unit() as unit:
        opened = set_in(unit, who, key)
        other = unit.bench.copies.by_code(who.department, plain)
        if other is not None:
            raise Conflict(f"{other.name} has the code {plain} already", resource="code")
        copy = KeptCopy(
            id=new_id("c"),
            department=who.department,
            code=plain,
            kind="set",
            of=key,
            name=name.strip()[:_LONGEST] or opened.document.name,
            state=IN_USE,
            place=place.strip()[:_LONGEST] or "theatre",
            updated=now,
        )
        unit.bench.copies.put(copy)
        data = {"code": plain, "set": key}
        record(unit, who, "copy-added", subject_of(copy.id), now=now, data=data)
    return copy.id


def find_copies(archive: Archive, who: Visitor, wanted: WantedCopies) -> Sequence[KeptCopy]:
    """The copies of this department that are wanted, what is due first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return unit.bench.copies.found(who.department, wanted)


def take_out_of_use(archive: Archive, who: Visitor, code: str, *, why: str, now: datetime) -> None:
    """Take a copy out of use for good: it is on no run any more, and its history stays.

    Raises:
        NotAllowed: without the right.
        NotThere: if none here has the code.
        BadInput: without a reason, or if it is out of use already.
    """
    require(who, EDIT)
    words = reason_of(why)
    with archive.unit() as unit:
        copy = copy_of_code(unit, who.department, code)
        if copy.state == OUT_OF_USE:
            raise BadInput(f"{copy.name} is out of use already", resource="retired")
        run = unit.bench.runs.get(copy.run) if copy.run else None
        if run is not None and run.closed is None:
            unit.bench.runs.put(replace(run, version=run.version + 1, closed=now))
        unit.bench.copies.put(replace(copy, state=OUT_OF_USE, updated=now, due=None))
        record(unit, who, "copy-retired", subject_of(copy.id), now=now, data={"why": words})


def copy_in(unit: Unit, who: Visitor, copy: str) -> KeptCopy:
    """A copy of this department by its id.

    Raises:
        NotThere: if there is none here.
    """
    found = unit.bench.copies.get(copy)
    if found is None or found.department != who.department:
        raise NotThere("there is no such set here", resource=copy)
    return found
