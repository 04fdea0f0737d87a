"""Marked instruments: they belong to one set and perhaps to a mate; and how often each line was processed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Final

from sinkside.aids.labels.scanned import code_of
from sinkside.bench.piece_acts import PutIn
from sinkside.bench.plan import Line, Plan
from sinkside.bench.run import IN_USE, Place
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.bench.copies import EDIT, subject_of
from sinkside.desk.bench.doing import Doing, Handler, Said, in_order
from sinkside.desk.bench.plans import plan_for
from sinkside.desk.bench.runs import USES, OpenRun, copy_of_code, keep_run, run_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict
from sinkside.records import KeptCopy

#: Among a copy's fields: the set that a marked instrument belongs to, its line there, its mate; and the
#: marked instruments of a set.
SET, LINE, MATE, PIECES = "in", "line", "mate", "pieces"


def mark_piece(
    archive: Archive,
    who: Visitor,
    set_code: str,
    line: str,
    *,
    code: str,
    now: datetime,
    mate: str = "",
) -> str:
    """Give an instrument of a set a code of its own, and say its id.

    Args:
        archive: where it is kept.
        who: who says so.
        set_code: the code of the set that it belongs to.
        line: the line of that set's list that it is one of.
        code: what a scanner reads from it.
        now: the moment.
        mate: the code of the instrument that it belongs with, one for one; empty where there is none.

    Raises:
        NotAllowed: without the right.
        NotThere: if no set or mate here has its code.
        BadInput: if the set has no such line, or as many of it are marked already.
        Conflict: if something here has the code.
    """
    require(who, EDIT)
    with archive.unit() as unit:
        whole = copy_of_code(unit, who.department, set_code)
        _, plan = plan_for(unit, who, whole.of, now=now)
        of_line = plan.line(line)
        known = _pieces_of(unit, whole)
        if sum(one.fields.get(LINE) == line for one in known) >= of_line.expected:
            raise BadInput(f"all {of_line.expected} of {of_line.words} are marked already", resource="line")
        other = copy_of_code(unit, who.department, mate) if mate.strip() else None
        plain = code_of(code)
        if unit.bench.copies.by_code(who.department, plain) is not None:
            raise Conflict(f"something here has the code {plain} already", resource="code")
        piece = _new_piece(plan, of_line, whole, code=plain, mate=other, now=now)
        unit.bench.copies.put(piece)
        if other is not None:
            unit.bench.copies.put(replace(other, fields={**other.fields, MATE: piece.id}))
        ids = " ".join([*(one.id for one in known), piece.id])
        unit.bench.copies.put(replace(whole, fields={**whole.fields, PIECES: ids}))
        data = {"code": plain, "set": whole.id, "line": line}
        record(unit, who, "copy-added", subject_of(piece.id), now=now, data=data)
    return piece.id


def _new_piece(
    plan: Plan, line: Line, whole: KeptCopy, *, code: str, mate: KeptCopy | None, now: datetime
) -> KeptCopy:
    text = next(one for one in plan.texts if one.member == line.member)
    return KeptCopy(
        id=new_id("c"),
        department=whole.department,
        code=code,
        kind="instrument",
        of=text.instruction,
        name=line.words,
        state=IN_USE,
        place=whole.name,
        updated=now,
        fields={SET: whole.id, LINE: line.id, MATE: mate.id if mate else ""},
    )


def put_in(doing: Doing, act: PutIn) -> Said:
    """Put a marked instrument into the set before one: another set's, or one without its mate, is refused."""
    require(doing.who, "bench-work")
    unit, here = doing.unit, doing.who.department
    opened = run_of(unit, copy_of_code(unit, here, act.code))
    piece = copy_of_code(unit, here, act.piece)
    if opened.run.place not in {Place.clean_side, Place.packing}:
        raise BadInput(f"{opened.copy.name} is not being put together", resource="code")
    owner = str(piece.fields.get(SET) or "")
    if owner != opened.copy.id:
        known = unit.bench.copies.get(owner)
        belongs = f"{known.name}, {known.code}" if known else "no set"
        raise BadInput(f"{piece.name} {piece.code} belongs to {belongs}, not here", resource="piece")
    pieces = tuple(dict.fromkeys((*opened.run.pieces, piece.id)))
    changed = opened.run.model_copy(update={"pieces": pieces})
    kept = keep_run(unit, opened, changed, now=doing.now, at=in_order(opened, doing))
    return Said(f"{piece.name} {piece.code} is in.", kept.copy.id, kept.copy.state)


def refuse_wrong_pieces(unit: Unit, opened: OpenRun) -> None:
    """Let no set be closed without its marked instruments, or with one whose mate is elsewhere.

    Raises:
        BadInput: which is not in.
    """
    pieces = _pieces_of(unit, opened.copy)
    absent = [one for one in pieces if one.id not in opened.run.pieces]
    if absent:
        named = ", ".join(f"{one.name} {one.code}" for one in absent)
        raise BadInput(f"scan these in before the pack is closed: {named}", resource="code")
    for piece in pieces:
        mate = unit.bench.copies.get(str(piece.fields.get(MATE) or ""))
        if mate is not None and mate.id not in opened.run.pieces:
            raise BadInput(
                f"{piece.name} {piece.code} belongs with {mate.code}, which is not in", resource="code"
            )


def counted_uses(opened: OpenRun) -> KeptCopy:
    """A copy whose set was just closed: every line of it was processed once more."""
    uses = {f"{USES}{line.id}": opened.run.uses.get(line.id, 0) + 1 for line in opened.plan.lines}
    total = int(opened.copy.fields.get("uses") or 0) + 1
    return replace(opened.copy, fields={**opened.copy.fields, **uses, "uses": total})


def _pieces_of(unit: Unit, whole: KeptCopy) -> list[KeptCopy]:
    ids = str(whole.fields.get(PIECES) or "").split()
    return [found for one in ids if (found := unit.bench.copies.get(one)) is not None]


HANDLERS: Final[Mapping[str, Handler]] = {"put-in": put_in}
