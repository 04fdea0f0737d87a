"""People: accounts, roles, sessions, links, and that an erased person is gone from every byte."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import text

from sinkside.archive import WorkspaceArchive, check
from sinkside.archive.connection import begun, run_outside_transactions
from sinkside.errors import BadInput, Conflict
from sinkside.records import Grant, OneTimeLink, Wanted
from support.archive_places import DEPARTMENT, Place, fill, grant, later, person, row, session


def test_people_are_found_by_sign_in_and_badge(archive: WorkspaceArchive) -> None:
    """The name to sign in with is found whatever its case; what is changed is kept."""
    ada, bo = person(), replace(person(2, "Bo Straße"), badge_digest="")
    with archive.unit() as unit:
        unit.people.add(bo, salt=b"t" * 16)
        unit.people.add(ada, salt=b"s" * 16)
        assert unit.people.by_sign_in("ADA.QUILL1") == ada
        assert unit.people.by_sign_in("BO.STRASSE2") == bo
        assert unit.people.by_badge("badge-1") == ada
        assert unit.people.by_badge("") is None
        assert unit.people.salt(ada.id) == b"s" * 16
        unit.people.change(replace(ada, disabled=True))
        assert unit.people.get(ada.id) == replace(ada, disabled=True)
        assert [one.name for one in unit.people.all()] == ["Ada Quill", "Bo Straße"]


def test_a_name_or_badge_is_nobody_elses(archive: WorkspaceArchive) -> None:
    """A second person with the same name to sign in with, or the same badge, is a conflict."""
    with archive.unit() as unit:
        unit.people.add(person(), salt=b"s" * 16)
        unit.people.add(person(2, "Bo"), salt=b"s" * 16)
        with pytest.raises(Conflict, match="somebody else"):
            unit.people.add(replace(person(3, "Cy"), sign_in="ADA.QUILL1"), salt=b"s" * 16)
        with pytest.raises(Conflict, match="somebody else"):
            unit.people.change(replace(person(2, "Bo"), badge_digest="badge-1"))
        with pytest.raises(BadInput, match="no such person"):
            unit.people.change(person(9, "Nobody"))


def test_roles_are_given_ended_and_withdrawn(archive: WorkspaceArchive) -> None:
    """A role given twice is one with the later end; withdrawn, it is gone."""
    ada = person()
    with archive.unit() as unit:
        unit.people.add(ada, salt=b"s" * 16)
        unit.people.grant(grant(ada))
        unit.people.grant(replace(grant(ada), until=later(9)))
        unit.people.grant(Grant(ada.id, "harbour", "auditor"))
        assert unit.people.grants_in(DEPARTMENT) == [replace(grant(ada), until=later(9))]
        assert len(unit.people.grants(ada.id)) == 2
        unit.people.withdraw(ada.id, DEPARTMENT, "lead")
        assert unit.people.grants_in(DEPARTMENT) == []


def test_sessions_end(archive: WorkspaceArchive) -> None:
    """One session ends, or all; an ended one keeps its end."""
    ada = person()
    with archive.unit() as unit:
        unit.people.add(ada, salt=b"s" * 16)
        for digest in ("one", "two"):
            unit.people.open_session(session(ada, digest))
        unit.people.touch("one", later(5))
        unit.people.end_sessions(ada.id, later(6), token_digest="one")  # noqa: S106 # no secret
        unit.people.end_sessions(ada.id, later(7))
        one, two = unit.people.session("one"), unit.people.session("two")
        assert one == replace(session(ada, "one"), seen=later(5), ended=later(6))
        assert two == replace(session(ada, "two"), ended=later(7))
        assert unit.people.session("three") is None


def test_a_link_works_once_and_in_time(archive: WorkspaceArchive) -> None:
    """A used, expired or unknown link gives nothing."""
    with archive.unit() as unit:
        unit.people.add_link(OneTimeLink("good", "first-account", None, later(60)))
        unit.people.add_link(OneTimeLink("late", "new-password", None, later(0)))
        used = unit.people.use_link("good", later(1))
        assert used == OneTimeLink("good", "first-account", None, later(60), later(1))
        assert unit.people.use_link("good", later(2)) is None
        assert unit.people.use_link("late", later(1)) is None
        assert unit.people.use_link("none", later(1)) is None


def test_failures_are_counted_per_key(archive: WorkspaceArchive) -> None:
    """Failures count since a moment, end with a success, and old ones are dropped."""
    with archive.unit() as unit:
        for seconds in (0, 10, 20):
            unit.people.note_failure("ada", later(seconds))
        assert unit.people.failures("ADA", later(5)) == 2
        assert unit.people.failures("bo", later(0)) == 0
        unit.people.note_failure("bo", later(3 * 86_400))
        assert unit.people.failures("ada", later(-1)) == 0
        unit.people.clear_failures("bo")
        assert unit.people.failures("bo", later(0)) == 0


def _every_byte(place: Place, server: Path | None) -> bytes:
    """All that is on the disk: the workspace, and the database's own files where it is a server's."""
    folders = [place.folder, *([server / "data" / "base"] if server else [])]
    return b"".join(
        path.read_bytes() for folder in folders for path in sorted(folder.rglob("*")) if path.is_file()
    )


def test_an_erased_person_is_in_no_byte(place: Place, request: pytest.FixtureRequest) -> None:
    """After erasing, the name is in no file of the workspace or database, and the chain is whole."""
    server = request.getfixturevalue("postgresql") if place.database else None
    name = f"Zephyrine Quackenbush {place.folder.name}"
    somebody = person(7, name)
    archive = place.open()
    fill(archive)
    with archive.unit() as unit:
        unit.people.add(somebody, salt=b"\xfe\xed" * 16)
        unit.people.grant(grant(somebody))
        unit.people.open_session(session(somebody, "token-7"))
        unit.people.note_failure(somebody.sign_in, later(1))
    with archive.unit() as unit:
        unit.people.change(replace(somebody, language="de"))
    if server:
        run_outside_transactions(archive.engine, ["CHECKPOINT"])
    assert name.encode() in _every_byte(place, server)
    with archive.unit() as unit:
        unit.people.erase(somebody.id)
    with archive.unit(writes=False) as unit:
        assert unit.people.get(somebody.id) is None
        assert unit.people.grants(somebody.id) == []
        assert unit.people.session("token-7") is None
        assert len(unit.journal.events(DEPARTMENT, Wanted())) == 5
    if server:
        run_outside_transactions(archive.engine, ["CHECKPOINT"])
    left = _every_byte(place, server)
    for secret in (name.encode(), somebody.sign_in.encode(), b"\xfe\xed" * 16):
        assert secret not in left
    archive.close()
    assert check(place.folder).is_sound


def test_whoever_reads_meanwhile_keeps_no_byte(tmp_path: Path) -> None:
    """While a backup reads on, SQLite's log cannot be emptied; after the next write it is."""
    place = Place(tmp_path / "w").made()
    archive, other = place.open(), place.open()
    fill(archive)
    with other.unit(writes=False) as reading:
        assert reading.people.get(person().id) == person()
        with archive.unit() as unit:
            unit.people.erase(person().id)
        assert b"Ada Quill" in _every_byte(place, None)
    with archive.unit() as unit:
        unit.rows.put(row(2))
    assert b"Ada Quill" not in _every_byte(place, None)
    with begun(archive.engine, writes=False) as transaction:
        assert transaction.all(text("SELECT name FROM settings WHERE name = 'erased'")) == []
    archive.close()
    other.close()


def test_an_interrupted_erasure_is_finished_on_opening(place: Place) -> None:
    """If the program stopped between erasing and wiping, the next start wipes."""
    archive = place.open()
    fill(archive)
    with begun(archive.engine, writes=True) as transaction:
        archive._unit(transaction).people.erase(person().id)
    archive.close()
    again = place.open()
    with begun(again.engine, writes=False) as transaction:
        assert transaction.all(text("SELECT name FROM settings WHERE name = 'erased'")) == []
    again.close()
    if not place.database:
        assert b"Ada Quill" not in _every_byte(place, None)
