"""One open recall for one cause: whoever opens it a second time is led to the one that is open."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.desk.access import Visitor, require
from sinkside.desk.keeping import read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.recall.documents import Cause, Recall
from sinkside.desk.recall.rights import KIND, OPENED, READ
from sinkside.errors import Conflict
from sinkside.records import Row, WantedRows


class OpenAlready(Conflict):
    """Something of the same cause is open; the resource is its id."""


def open_of(archive: Archive, who: Visitor, cause: Cause) -> tuple[Row, ...]:
    """The recalls of the same cause that are open, whatever they say in words.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return tuple(_open_of(unit, who, cause))


def refuse_twice(unit: Unit, who: Visitor, cause: Cause, *, but: str = "") -> None:
    """Let one cause have one open recall.

    Asked once more after it was kept, when nobody else writes here until this is over: of two who press at
    the same moment, the second then sees what the first has done.

    Args:
        unit: the transaction.
        who: who opens it.
        cause: what it began with.
        but: the one that is being opened.

    Raises:
        OpenAlready: if another one of the same cause is open.
    """
    for row in _open_of(unit, who, cause):
        if row.id != but:
            raise OpenAlready("a recall of this cause is open already", resource=row.id)


def _open_of(unit: Unit, who: Visitor, cause: Cause) -> Iterator[Row]:
    wanted = WantedRows(states=(OPENED,), fields={"kind": cause.kind.value, "of": cause.of})
    for row in unit.rows.found(KIND, [who.department], wanted):
        known = read_kept(unit, KIND, row.id, Recall)
        if known is not None and _about(known.cause) == _about(cause):
            yield row


def _about(cause: Cause) -> Cause:
    """A cause without its words, and its sets in one order."""
    return cause.model_copy(update={"words": "", "sets": tuple(sorted(cause.sets))})
