"""Every version before this one: its house is opened, upgraded with all that it knew, and can be read."""

from __future__ import annotations

import hashlib
import html
import re
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from starlette.routing import Match

from sinkside import wiring
from sinkside.archive import (
    CheckReport,
    WorkspaceArchive,
    check,
    create_workspace,
    migrating,
    open_archive,
    restore,
    upgrade,
)
from sinkside.errors import BadInput
from sinkside.records import ByMachine, WantedCopies
from sinkside.settings import Settings
from sinkside.web import Context, create_app
from sinkside.web.app import declared_routes
from support.archive_places import DEPARTMENT, NOW, Place
from support.browserless import Caller, signed_in
from support.kept_versions import KeptVersion, kept_versions, released_migrations, unpacked

AT = f"/at/{DEPARTMENT}"

#: So many pages are read of each kind that the program declares; more take the time of a whole suite.
_OF_EACH_KIND = 1

#: A page, one that leads on, and the sentence that says why a paper is not ready for the floor.
_READ = {200, 303, 409}

every_version = pytest.mark.parametrize("version", kept_versions())


def test_a_house_is_kept_of_every_version_before_this_one() -> None:
    """Whoever adds a migration first runs `tools/keep_version.py`, which keeps a house as it was before."""
    assert set(released_migrations()) - set(kept_versions()) == set()


@every_version
def test_a_released_migration_is_not_changed_afterwards(version: str, tmp_path: Path) -> None:
    """Migrated to that version today, a database has the very tables that the program of then made."""
    kept = unpacked(version, tmp_path)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(migrating, "LATEST", version)
        create_workspace(tmp_path / "today")
    assert _statements(tmp_path / "today") == _statements(kept.house)


def _statements(house: Path) -> list[tuple[str, str]]:
    """The statements that made the tables and indexes of a workspace, as SQLite keeps them."""
    with sqlite3.connect(house / "sinkside.sqlite3") as connection:
        return connection.execute(
            "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY name"
        ).fetchall()


@every_version
def test_a_house_of_an_older_version_is_upgraded_with_all_that_it_knew(
    version: str, new_place: Callable[[], Place], tmp_path: Path
) -> None:
    """Refused by name, then upgraded: the printed heads, each event, revision and file, and the bench."""
    kept = unpacked(version, tmp_path)
    there = _as_it_was(kept, new_place())
    if version != migrating.LATEST:
        with pytest.raises(BadInput, match="sinkside upgrade"):
            open_archive(there.folder)
        assert upgrade(there.folder, now=NOW) is not None
    _knows_all(kept, check(there.folder, printed=kept.heads))
    archive = there.open()
    assert _events(archive, kept) == _events_of_then(kept)
    if version >= "0003":
        _has_its_bench(archive, kept)
    archive.close()


def _as_it_was(kept: KeptVersion, there: Place) -> Place:
    """On SQLite the house itself; on PostgreSQL its backup, restored as the program of then did it."""
    if not there.database:
        return Place(kept.house)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(migrating, "LATEST", kept.version)
        restore(kept.backup, there.folder, database=there.database)
    return there


def _knows_all(kept: KeptVersion, report: CheckReport) -> None:
    assert (report.problems, report.heads) == ([], kept.heads)
    assert (report.events, report.revisions) == (kept.rows["events"], kept.rows["revisions"])
    assert report.files == kept.rows["files"]


def _events(archive: WorkspaceArchive, kept: KeptVersion) -> set[tuple[object, ...]]:
    """The digest of each event, computed from the bytes that are stored now."""
    with archive.unit(writes=False) as unit:
        return {
            (department, number, hashlib.sha256(stored).hexdigest())
            for department in kept.heads
            for number, stored in enumerate(unit.journal.stored(department), _first_event(kept))
        }


def _first_event(kept: KeptVersion) -> int:
    return min(int(str(number)) for (number,) in kept.column("events", "sequence"))


def _events_of_then(kept: KeptVersion) -> set[tuple[object, ...]]:
    return set(kept.column("events", "department", "sequence", "digest"))


def _has_its_bench(archive: WorkspaceArchive, kept: KeptVersion) -> None:
    """Sets, runs, taps and loads; and a recall still finds what went through the sterilizer."""
    with archive.unit(writes=False) as unit:
        copies = unit.bench.copies.found(DEPARTMENT, WantedCopies())
        runs = [run for copy in copies for run in unit.bench.runs.of_copy(DEPARTMENT, copy.id)]
        taps = [tap for copy in copies for tap in unit.bench.taps.on_copy(DEPARTMENT, copy.id)]
        loads = unit.bench.loads.of_machine(DEPARTMENT, "sterilizer-1", since=NOW.replace(year=2000))
        ever = (NOW.replace(year=2000), NOW.replace(year=2100))
        traced = unit.bench.tracing.touched(DEPARTMENT, [ByMachine(frozenset({"sterilizer-1"}), *ever)])
    assert (len(copies), len(runs)) == (kept.rows["copies"], kept.rows["runs"])
    assert len(taps) > 40
    assert {one.load for one in traced} == {load.id for load in loads if load.started}
    assert len(traced) == 2


@every_version
def test_a_backup_of_an_older_version_is_restored_up_to_date(
    version: str, new_place: Callable[[], Place], tmp_path: Path
) -> None:
    """In one step, at the heads that were printed then."""
    kept, there = unpacked(version, tmp_path), new_place()
    restore(kept.backup, there.folder, database=there.database)
    _knows_all(kept, check(there.folder, printed=kept.heads))


@every_version
def test_every_page_of_an_upgraded_house_can_be_read(version: str, tmp_path: Path) -> None:
    """What its lead comes to by following links from Today, some pages of each kind, is there."""
    kept = unpacked(version, tmp_path)
    if version != migrating.LATEST:
        upgrade(kept.house, now=NOW)
    archive = open_archive(kept.house)
    context = Context(
        archive=archive,
        settings=Settings(),
        clock=wiring.now,
        badge_key=bytes(32),
        handlers=wiring.job_handlers(),
    )
    app = create_app(context)
    lead = signed_in(app, archive, "lead", now=wiring.now())
    read = dict(_pages(lead))
    archive.close()
    assert {address: status for address, status in read.items() if status not in _READ} == {}
    kinds = {re.split("[/?]", address)[3] for address in read}
    assert kinds >= {
        "today",
        "instructions",
        "cycles",
        "machines",
        "sets",
        "record",
        "solutions",
        "sign-offs",
    }
    assert len(read) > 50, sorted(read)


def _pages(lead: Caller) -> Iterator[tuple[str, int]]:
    """Pages of the department, from link to link, and how each answered."""
    kinds: Counter[str] = Counter()
    waiting, seen = [f"{AT}/today"], {f"{AT}/today"}
    while waiting:
        address = waiting.pop(0)
        kind = _kind(lead, address)
        kinds[kind] += 1
        if kinds[kind] > _OF_EACH_KIND:
            continue
        answer = lead.get(address)
        yield address, answer.status_code
        for link in _links(answer.text):
            if link not in seen:
                seen.add(link)
                waiting.append(link)


def _links(text: str) -> list[str]:
    """Links to other pages of the department."""
    return [html.unescape(link) for link in re.findall(rf'href="({AT}/[^"#]+)["#]', text)]


def _kind(lead: Caller, address: str) -> str:
    """The declared page that an address leads to."""
    scope = {"type": "http", "method": "GET", "path": address.partition("?")[0]}
    for route in declared_routes(lead.app):
        if route.matches(scope)[0] is Match.FULL:
            return route.path
    return address
