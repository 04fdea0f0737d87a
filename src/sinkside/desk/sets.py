"""Sets as the archive keeps them: revision by revision, looked at again when a device's text changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.keeping import from_revision, keep_next, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.set_answers import SetAnswer, answer_of, parts_of
from sinkside.desk.set_documents import SetLook
from sinkside.desk.set_texts import (
    Finder,
    TextChanged,
    TextFound,
    changed_since,
    device_name,
    folded,
    look_in,
    look_of,
    standing_findings,
    substitutes_of,
    texts_of,
)
from sinkside.desk.set_things import carry_on
from sinkside.desk.uploads import new_id
from sinkside.documents import to_json
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.findings import Finding, worst_first
from sinkside.records import Making, Revision, Row
from sinkside.sets import SetChange, SetDocument, checked, compare_sets, part_set

KIND: Final = "set"
LOOK: Final = "set-look"
READ: Final = "set-read"
EDIT: Final = "set-edit"

IN_USE: Final = "in-use"
SPLIT: Final = "split"
OUT_OF_USE: Final = "out-of-use"
STATES: Final = (IN_USE, SPLIT, OUT_OF_USE)

_LONGEST_WHY: Final = 2000
_MOST: Final = 5_000
_MOST_NAMES_KEPT: Final = 60


@dataclass(frozen=True)
class OpenSet:
    """A revision of a set: its row, its document, how it was made, and all of them, oldest first."""

    row: Row
    revision: Revision
    document: SetDocument
    history: tuple[Making, ...]

    @property
    def latest(self) -> bool:
        """Whether this is its latest revision."""
        return self.revision.number == self.history[-1].number


@dataclass(frozen=True)
class SeenSet:
    """A set with everything that a page shows of it.

    Attributes:
        opened: the revision.
        texts: its devices' texts by what the set calls them.
        names: what instructions are called that it knows by id.
        answer: contents, mass, findings and route.
        findings: everything that is wrong with it, its texts and its route as a whole; the worst first.
        changed: the devices whose text changed since somebody looked at the set.
        since: what changed since the revision before.
    """

    opened: OpenSet
    texts: Mapping[str, TextFound]
    names: Mapping[str, str]
    answer: SetAnswer
    findings: tuple[Finding, ...]
    changed: tuple[TextChanged, ...]
    since: tuple[SetChange, ...]


@dataclass(frozen=True)
class ComparedSet:
    """Two revisions side by side: how each was made, and what changed; nothing stood before the first."""

    before: Making | None
    after: Making
    changes: tuple[SetChange, ...]


def list_sets(
    archive: Archive, who: Visitor, *, states: Sequence[str] = (), text: str = "", offset: int = 0, limit: int
) -> list[Row]:
    """The sets of this department, the latest changed first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return unit.rows.all(
            KIND, [who.department], states=states, text=text or None, limit=limit, offset=offset
        )


def open_set(archive: Archive, who: Visitor, key: str, *, number: int | None = None) -> OpenSet:
    """A revision of a set, the latest unless told.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return set_in(unit, who, key, number)


def see_set(archive: Archive, who: Visitor, key: str, *, now: datetime, number: int | None = None) -> SeenSet:
    """A set with its texts, its route, what is wrong with it, and what changed.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        opened = set_in(unit, who, key, number)
        document = opened.document
        texts, substitutes = texts_of(unit, who, document), substitutes_of(unit, who, document)
        answer = answer_of(unit, who.department, opened.revision, texts, substitutes)
        standing = standing_findings(document, texts, substitutes, now=now)
        in_use = opened.latest and opened.row.state == IN_USE
        changed = tuple(changed_since(look_in(opened.row), Finder(unit, who))) if in_use else ()
        before = read_kept(unit, KIND, key, SetDocument, opened.revision.number - 1)
        names = _names({**texts, **substitutes}.values())
    return SeenSet(
        opened=opened,
        texts=texts,
        names=names,
        answer=answer,
        findings=tuple(worst_first([*standing, *answer.of_the_route, *answer.findings])),
        changed=changed,
        since=compare_sets(before, document, names=names) if before else (),
    )


def make_set(archive: Archive, who: Visitor, document: SetDocument, *, now: datetime, note: str = "") -> str:
    """Keep a new set, and say its id; the same one sent twice by a person is one.

    Raises:
        NotAllowed: without the right.
        BadInput: if another set in use here is called so.
        BadDocument: if it contradicts itself.
    """
    require(who, EDIT)
    checked(document)
    key = new_id("s")
    with archive.unit() as unit:
        for row in _of_name(unit, who, document.name):
            kept = unit.documents.get(KIND, row.id)
            if kept and kept.by == who.person and from_revision(kept, SetDocument) == document:
                return row.id
        _refuse_same_name(unit, who, document.name)
        _keep(unit, who, key, document, now=now, note=_short(note))
    return key


def change_set(
    archive: Archive,
    who: Visitor,
    key: str,
    document: SetDocument,
    *,
    base: int,
    now: datetime,
    note: str = "",
) -> int:
    """Keep the next revision of a set, and say which.

    Args:
        archive: where it is kept.
        who: who says so.
        key: the set.
        document: what it is now.
        base: the revision that the person had before them.
        now: the moment.
        note: why, or where it comes from.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        Conflict: if there is a later revision already, or the set is not in use.
        BadInput: if nothing would change, or another set in use here is called so.
        BadDocument: if it contradicts itself.
    """
    require(who, EDIT)
    checked(document)
    with archive.unit() as unit:
        opened = _open_for_change(unit, who, key, base)
        if document == opened.document:
            raise BadInput("nothing was changed; change a field first", resource=key)
        _refuse_same_name(unit, who, document.name, but=key)
        return _keep(unit, who, key, document, now=now, note=_short(note)).number


def look_at(archive: Archive, who: Visitor, key: str, *, base: int, now: datetime) -> None:
    """Keep that somebody looked at a set again and leaves it as it is.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        Conflict: if there is a later revision already, or the set is not in use.
    """
    require(who, EDIT)
    with archive.unit() as unit:
        opened = _open_for_change(unit, who, key, base)
        look = look_of(unit, who, opened.document, base)
        kept = keep_next(unit, LOOK, key, look, by=who.person, now=now)
        unit.rows.put(replace(opened.row, fields={**opened.row.fields, "look": to_json(look, compact=True)}))
        data = {"revision": base, "digest": kept.digest}
        record(unit, who, "set-looked-at", f"{KIND}:{key}", now=now, data=data)


def split_set(archive: Archive, who: Visitor, key: str, *, base: int, now: datetime) -> tuple[str, ...]:
    """Part a set whose devices have no cycle in common, one set a cycle, and say their ids.

    Each part is a set of its own from then on; the set itself is kept and is in use no longer.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        Conflict: if there is a later revision already, or the set is not in use.
        BadInput: if one cycle is common to all, or another set in use here is called as a part would be.
    """
    require(who, EDIT)
    with archive.unit() as unit:
        opened = _open_for_change(unit, who, key, base)
        document = opened.document
        texts, substitutes = texts_of(unit, who, document), substitutes_of(unit, who, document)
        answer = answer_of(unit, who.department, opened.revision, texts, substitutes)
        if not answer.must_be_split:
            raise BadInput("one cycle is common to all devices; there is nothing to split", resource=key)
        made = []
        for part in part_set(document, parts_of(document, answer)):
            _refuse_same_name(unit, who, part.name)
            made.append(new_id("s"))
            _keep(unit, who, made[-1], part, now=now, note=f"Split from {document.name}, revision {base}")
            carry_on(unit, who, key, made[-1], part, now=now)
        row = replace(
            opened.row, state=SPLIT, updated=now, fields={**opened.row.fields, "parts": " ".join(made)}
        )
        unit.rows.put(row)
        data = {"revision": base, "parts": made}
        record(unit, who, "set-split", f"{KIND}:{key}", now=now, data=data)
    return tuple(made)


def take_out_of_use(archive: Archive, who: Visitor, key: str, *, base: int, why: str, now: datetime) -> None:
    """Keep that a set is not used any longer.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        Conflict: if there is a later revision already, or the set is not in use.
        BadInput: without a reason.
    """
    require(who, EDIT)
    if not why.strip():
        raise BadInput("expected a reason", resource="why")
    with archive.unit() as unit:
        opened = _open_for_change(unit, who, key, base)
        kept = {**opened.row.fields, "why": _short(why)}
        unit.rows.put(replace(opened.row, state=OUT_OF_USE, updated=now, fields=kept))
        data = {"revision": base, "why": _short(why)}
        record(unit, who, "set-out-of-use", f"{KIND}:{key}", now=now, data=data)


def compare_revisions(
    archive: Archive, who: Visitor, key: str, *, before: int | None = None, after: int | None = None
) -> ComparedSet:
    """What changed between two revisions: the latest and the one before it unless told.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such set here, or no such revision.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        opened = set_in(unit, who, key)
        makings = {one.number: one for one in opened.history}
        new = after or opened.revision.number
        old = before or new - 1
        if new not in makings or (old not in makings and old != 0):
            raise NotThere("there is no such revision of this set", resource=key)
        was = set_in(unit, who, key, old).document if old else None
        is_now = set_in(unit, who, key, new).document
        found = [texts_of(unit, who, one) for one in (was, is_now) if one]
        names = _names(text for texts in found for text in texts.values())
    return ComparedSet(makings.get(old), makings[new], compare_sets(was, is_now, names=names))


def set_in(unit: Unit, who: Visitor, key: str, number: int | None = None) -> OpenSet:
    """A revision of a set of this department, for the verbs that need it.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(KIND, key)
    revision = unit.documents.get(KIND, key, number)
    if row is None or revision is None or row.department != who.department:
        raise NotThere("there is no such set here", resource=key)
    history = tuple(unit.documents.history(KIND, key))
    return OpenSet(row, revision, from_revision(revision, SetDocument), history)


def _open_for_change(unit: Unit, who: Visitor, key: str, base: int) -> OpenSet:
    opened = set_in(unit, who, key)
    if opened.row.state != IN_USE:
        raise Conflict("this set is not in use any longer; it stays as it is", resource=key)
    if opened.revision.number != base:
        raise Conflict(
            f"somebody else made revision {opened.revision.number} meanwhile; look at it and change that",
            resource=key,
        )
    return opened


def _of_name(unit: Unit, who: Visitor, name: str) -> list[Row]:
    """The sets in use here that are called so, in whatever case."""
    word = next(iter(name.split()), "")
    rows = unit.rows.all(KIND, [who.department], states=[IN_USE], text=word, limit=_MOST)
    return [row for row in rows if folded(row.title) == folded(name)]


def _refuse_same_name(unit: Unit, who: Visitor, name: str, *, but: str = "") -> None:
    """Refuse a second set of one name: whoever fetches a set by its name must get the right one."""
    if any(row.id != but for row in _of_name(unit, who, name)):
        raise BadInput(f"another set in use here is called '{name}'; give it another name", resource="name")


def _keep(unit: Unit, who: Visitor, key: str, document: SetDocument, *, now: datetime, note: str) -> Revision:
    """Keep the next revision, its line in the list, what was seen of its texts, and the event."""
    before = unit.documents.get(KIND, key)
    was = from_revision(before, SetDocument) if before else None
    revision = keep_next(unit, KIND, key, document, by=who.person, now=now, note=note)
    look = look_of(unit, who, document, revision.number)
    keep_next(unit, LOOK, key, look, by=who.person, now=now)
    unit.rows.put(_row(who, key, document, revision, look))
    data = {
        "revision": revision.number,
        "digest": revision.digest,
        "changes": len(compare_sets(was, document)),
    }
    record(unit, who, "set-changed" if before else "set-made", f"{KIND}:{key}", now=now, data=data)
    return revision


def _row(who: Visitor, key: str, document: SetDocument, revision: Revision, look: SetLook) -> Row:
    names = ", ".join(member.called for member in document.members[:_MOST_NAMES_KEPT])
    fields: dict[str, str | int] = {
        "revision": revision.number,
        "by": revision.by,
        "devices": sum(member.count for member in document.members),
        "pieces": document.counted,
        "mass": str(document.mass or ""),
        "packaging": document.packaging or "",
        "contents": names,
        "look": to_json(look, compact=True),
    }
    return Row(KIND, key, who.department, IN_USE, document.name, revision.at, fields=fields)


def _names(texts: Iterable[TextFound]) -> dict[str, str]:
    return {found.row.id: device_name(found.row) for found in texts if found.row}


def _short(why: str) -> str:
    if len(why) > _LONGEST_WHY:
        raise BadInput(f"it has {len(why)} characters; expected at most {_LONGEST_WHY}", resource="why")
    return why.strip()
