"""Tampering after an evidence file was made: the check names the event, and the printed head fails."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator

import pytest
from sqlalchemy import select, text, update

from sinkside.archive import WorkspaceArchive, check_archive
from sinkside.archive.connection import begun
from sinkside.archive.schema import events, heads
from sinkside.desk.evidence.checking import check_head
from sinkside.desk.evidence.making import make_evidence
from sinkside.journal import Event, read_event
from support.archive_places import Place
from support.evidence_house import EvidenceHouse, evidence_house_in

_HERE = "north"


@pytest.fixture
def made(new_place: Callable[[], Place]) -> Iterator[tuple[EvidenceHouse, WorkspaceArchive, str]]:
    """The house on a database, its archive, and the head that is printed on an evidence file of it."""
    archive = new_place().made().open()
    house = evidence_house_in(archive)
    desk = house.bench.house
    file = make_evidence(archive, desk.visitor("lena"), house.run(), now=house.bench.now)
    house.bench.done("tom", "arrive", code="SET-3")
    yield house, archive, file.made.head
    archive.close()


def _unguarded(archive: WorkspaceArchive) -> None:
    """What whoever owns the database can do: take away what keeps events from being changed."""
    with begun(archive.engine, writes=True) as transaction:
        drop = ["DROP TRIGGER events_no_update"] if transaction.on_sqlite else []
        for statement in drop or ["DROP TRIGGER events_no_change ON events"]:
            transaction.connection.execute(text(statement))


def _stored(archive: WorkspaceArchive) -> list[Event]:
    with archive.unit(writes=False) as unit:
        return [read_event(one) for one in unit.journal.stored(_HERE)]


def _write(archive: WorkspaceArchive, event: Event, *, digest: str) -> None:
    with begun(archive.engine, writes=True) as transaction:
        transaction.connection.execute(
            update(events)
            .where(events.c.department == _HERE, events.c.sequence == event.sequence)
            .values(canonical=event.canonical, digest=digest)
        )


def _packed_by_somebody_else(chain: list[Event]) -> Event:
    """The event by which the set was packed, with another person's pseudonym."""
    packed = next(one for one in chain if one.kind == "tapped" and one.data["act"]["act"] == "pack")  # type: ignore[index, call-overload] # an act of a tap
    other = next(one.actor for one in chain if one.actor not in {packed.actor, "system"})
    return packed.model_copy(update={"actor": other})


def test_an_altered_event_is_named_and_the_printed_head_matches_no_more(
    made: tuple[EvidenceHouse, WorkspaceArchive, str],
) -> None:
    """Somebody else is written in as who packed it: both checks name that event, and refuse the head."""
    house, archive, head = made
    lena = house.bench.house.visitor("lena")
    assert check_head(archive, lena, head).matches
    assert check_archive(archive, printed={_HERE: head}).is_sound
    altered = _packed_by_somebody_else(_stored(archive))
    kept = next(one for one in _stored(archive) if one.sequence == altered.sequence).digest
    _unguarded(archive)
    _write(archive, altered, digest=kept)
    checked = check_head(archive, lena, head)
    assert not checked.matches
    assert f"broken at event {altered.sequence + 1}" in checked.sentence
    assert "one of the two was changed" in checked.sentence
    assert f"The printed head {head} no longer matches" in checked.sentence
    problems = [str(one) for one in check_archive(archive, printed={_HERE: head}).problems]
    place = f"department {_HERE}, event {altered.sequence}: was altered"
    assert any(one.startswith(place) for one in problems)


def test_a_chain_written_anew_does_not_have_the_printed_head(
    made: tuple[EvidenceHouse, WorkspaceArchive, str],
) -> None:
    """Whoever owns the database makes every later digest fit: the chain is whole, and the paper tells."""
    house, archive, head = made
    lena = house.bench.house.visitor("lena")
    chain = _stored(archive)
    altered = _packed_by_somebody_else(chain)
    _unguarded(archive)
    last = altered
    _write(archive, altered, digest=altered.digest)
    for event in chain[altered.sequence :]:
        last = event.model_copy(update={"previous": last.digest})
        _write(archive, last, digest=hashlib.sha256(last.canonical).hexdigest())
    with begun(archive.engine, writes=True) as transaction:
        transaction.connection.execute(
            update(heads).where(heads.c.department == _HERE).values(digest=last.digest)
        )
        kept = transaction.all(select(heads).where(heads.c.department == _HERE))
    assert kept[0]["sequence"] == len(chain)
    checked = check_head(archive, lena, head)
    assert not checked.matches
    assert f"Event {head.partition('-')[0]} is not the one whose head was printed" in checked.sentence
    problems = [str(one) for one in check_archive(archive, printed={_HERE: head}).problems]
    assert any("is not the one whose head was printed" in one for one in problems)
