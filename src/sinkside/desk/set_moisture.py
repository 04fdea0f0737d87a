"""The water that may be left in a set of the house: after the cycle of its route, with what is said of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.department import Department
from sinkside.desk import departments, sets
from sinkside.desk.access import Visitor, require
from sinkside.desk.keeping import from_revision
from sinkside.desk.machine_things import profile_of
from sinkside.desk.moisture import chosen_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.remembered import Remembered
from sinkside.desk.set_answers import SetAnswer, answer_of
from sinkside.desk.set_documents import SetThings
from sinkside.desk.set_texts import substitutes_of, texts_of
from sinkside.desk.set_things import Said, keep_things, number_in, things_in, with_said
from sinkside.desk.sets import OpenSet
from sinkside.errors import BadInput, Conflict
from sinkside.instruction import Instruction
from sinkside.moisture import Asked, Chosen, Moisture, Piece, Things, estimate, pieces, reasons_of


@dataclass(frozen=True)
class SetMoisture:
    """What of a set stays wet.

    Attributes:
        opened: the set.
        told: the estimate, or why there is none; none where not even that can be asked.
        not_asked: why it cannot be asked: a device has no text, or nobody said what the department has.
        reasons: for each place of the estimate, why water stays there.
        pieces: the things of the set, with what is known of each.
        things: what somebody said of them.
        number: the revision of that; 0 where nobody did.
        must_be_split: whether the members share no cycle.
    """

    opened: OpenSet
    told: Moisture | None
    not_asked: tuple[str, ...]
    reasons: tuple[tuple[str, ...], ...]
    pieces: tuple[Piece, ...]
    things: SetThings
    number: int
    must_be_split: bool


#: By the digests of everything that the answer hangs on.
_TOLD: Final = Remembered[tuple[str, ...], Moisture](most=200)


def see_moisture(archive: Archive, who: Visitor, key: str) -> SetMoisture:
    """What of a set stays wet after the cycle of its route, and why.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such set here.
    """
    require(who, sets.READ)
    with archive.unit(writes=False) as unit:
        return moisture_in(unit, who, sets.set_in(unit, who, key))


def moisture_in(unit: Unit, who: Visitor, opened: OpenSet) -> SetMoisture:
    """The same of a set that is open, for pages that show more of it."""
    document = opened.document
    found, substitutes = texts_of(unit, who, document), substitutes_of(unit, who, document)
    texts = {called: text for called, one in found.items() if (text := one.instruction)}
    answer = answer_of(unit, who.department, opened.revision, found, substitutes)
    said = things_in(unit, opened.row.id)
    without = [member.called for member in document.members if member.called not in texts]
    not_asked = [f"No instruction is known here of {', '.join(without)}."] if without else []
    kept = unit.documents.get(departments.KIND, who.department)
    if kept is None:
        not_asked.append("Nobody said yet what this department has.")
    if kept is None or without:
        return SetMoisture(
            opened, None, tuple(not_asked), (), (), said, number_in(unit, opened.row.id), answer.must_be_split
        )
    asking = _Asking(opened, texts, from_revision(kept, Department), said, answer)
    digests = (one.revision.digest for one in found.values() if one.revision)
    thing_kept = said.model_dump_json()
    try:
        told = _TOLD.get((opened.revision.digest, kept.digest, thing_kept, *digests), asking.told)
    except BadInput as error:
        told = None
        not_asked.append(f"{error.message[:1].upper()}{error.message[1:]}.")
    return SetMoisture(
        opened=opened,
        told=told,
        not_asked=tuple(not_asked),
        reasons=reasons_of(told) if told else (),
        pieces=pieces(document, texts, asking.things),
        things=said,
        number=number_in(unit, opened.row.id),
        must_be_split=answer.must_be_split,
    )


@dataclass(frozen=True)
class _Asking:
    """Everything that an estimate hangs on."""

    opened: OpenSet
    texts: Mapping[str, Instruction]
    site: Department
    said: SetThings
    answer: SetAnswer

    @property
    def things(self) -> Things:
        """What is said of things that are still in the set."""
        plain = pieces(self.opened.document, self.texts, Things())
        return self.said.known({name for piece in plain for name in (piece.name, piece.member)})

    @property
    def chosen(self) -> Chosen | None:
        """The cycle of the set's route."""
        return chosen_of(self.answer.loads, self.site)

    def told(self) -> Moisture:
        """The estimate."""
        asked = Asked(self.opened.document, self.texts, self.site, profile_of(self.site), self.things)
        return estimate(asked, self.chosen)


def say_of_things(archive: Archive, who: Visitor, key: str, said: Said, *, base: int, now: datetime) -> int:
    """Keep what somebody says of the things of a set, and say which revision that made.

    Args:
        archive: where it is kept.
        who: who says so.
        key: the set.
        said: what is said, and of what.
        base: the revision of it that the person had before them; 0 where there was none.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such set here.
        Conflict: if somebody said more meanwhile, or the set is not in use.
        BadInput: if nothing would change.
        BadDocument: with every fault by field.
    """
    require(who, sets.EDIT)
    with archive.unit() as unit:
        opened = sets.set_in(unit, who, key)
        if opened.row.state != sets.IN_USE:
            raise Conflict("this set is not in use any longer; it stays as it is", resource=key)
        if number_in(unit, key) != base:
            raise Conflict(
                "somebody else said more of its things meanwhile; look at that first", resource=key
            )
        before = things_in(unit, key)
        after = with_said(before, said)
        if after == before:
            raise BadInput("nothing was changed; change a field first", resource=key)
        return keep_things(unit, who, key, after, now=now)
