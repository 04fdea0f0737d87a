"""Backups: of one moment, readable by anything, restored on either database."""

from __future__ import annotations

import base64
import json
import tarfile
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from sinkside.archive import backup, check, open_archive, restore
from sinkside.archive.migrating import LATEST
from sinkside.errors import BadInput, Conflict, SinksideError, UnreadableFile
from sinkside.journal import check as check_chain
from sinkside.journal import read_event
from support.archive_places import DEPARTMENT, NOW, Place, fill, happening, person, revision, row


def _filled(place: Place) -> Place:
    archive = place.open()
    fill(archive)
    archive.close()
    return place


def test_a_backup_restores_to_the_same(place: Place, new_place: Callable[[], Place], tmp_path: Path) -> None:
    """Everything but sessions is there again; the heads are those that the manifest prints."""
    made = backup(_filled(place).folder, tmp_path / "b.tar", now=NOW)
    there = new_place()
    restore(tmp_path / "b.tar", there.folder, database=there.database)
    report = check(there.folder, printed={head.department: head.printed for head in made.heads})
    assert report.is_sound
    assert (report.events, report.revisions, report.files) == (5, 2, 1)
    archive = there.open()
    with archive.unit() as unit:
        assert unit.people.get(person().id) == person()
        assert unit.people.salt(person().id) == b"s" * 16
        assert unit.people.session("token-1") is None
        assert unit.rows.get("instruction", "i-1") == row(1)
        assert unit.documents.get("instruction", "i-1") == revision(number=2)
        unit.people.note_failure("ada", NOW)
        assert unit.journal.append(DEPARTMENT, happening(9)).sequence == 6
    archive.close()


def test_a_backup_moves_to_the_other_database(
    place: Place, new_place: Callable[[], Place], tmp_path: Path
) -> None:
    """From either database to SQLite and back to where it came from: the same chain."""
    backup(_filled(place).folder, tmp_path / "b.tar", now=NOW)
    restore(tmp_path / "b.tar", tmp_path / "moved")
    backup(tmp_path / "moved", tmp_path / "c.tar", now=NOW)
    back = new_place()
    restore(tmp_path / "c.tar", back.folder, database=back.database)
    reports = [check(folder) for folder in (place.folder, tmp_path / "moved", back.folder)]
    assert all(report.is_sound and report.heads == reports[0].heads for report in reports)


def test_any_program_can_read_a_backup(place: Place, tmp_path: Path) -> None:
    """The tar holds a manifest and lines of JSON; its events are a whole chain by the journal's rules."""
    backup(_filled(place).folder, tmp_path / "b.tar", now=NOW)
    with tarfile.open(tmp_path / "b.tar") as packed:
        said = json.loads(_content(packed, "manifest.json"))
        [events] = [part for part in said["tables"] if part["name"] == "events"]
        column = events["columns"].index("canonical")
        lines = _content(packed, "tables/events.jsonl").splitlines()
    stored = [base64.b64decode(json.loads(line)[column]) for line in lines]
    assert check_chain(stored) is None
    assert read_event(stored[-1]).digest == said["heads"][0]["digest"]
    assert (tmp_path / "b.tar").stat().st_mode & 0o077 == 0


def _content(packed: tarfile.TarFile, name: str) -> bytes:
    stream = packed.extractfile(name)
    assert stream is not None
    return stream.read()


def test_a_backup_while_others_write_is_of_one_moment(
    place: Place, new_place: Callable[[], Place], tmp_path: Path
) -> None:
    """It holds every event acknowledged before it began, and passes the check."""
    archive = _filled(place).open()
    acknowledged = [5]
    stop = threading.Event()

    def write() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            with archive.unit() as unit:
                unit.files.put(f"{number}".encode(), media_type="text/plain", name="n.txt")
                event = unit.journal.append(DEPARTMENT, happening(number))
            acknowledged[0] = event.sequence

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for turn in range(3):
            before = acknowledged[0]
            made = backup(place.folder, tmp_path / f"{turn}.tar", now=NOW)
            assert made.heads[0].sequence >= before
    finally:
        stop.set()
        writer.join()
        archive.close()
    there = new_place()
    restore(tmp_path / "2.tar", there.folder, database=there.database)
    report = check(there.folder)
    assert report.is_sound
    assert report.events == made.heads[0].sequence
    assert report.events > 5


def test_a_backup_names_files_that_it_could_not_take(place: Place, tmp_path: Path) -> None:
    """An altered file is left out and named; the rest is saved, and a check names it again."""
    archive = _filled(place).open()
    [digest] = archive.files.present()
    archive.files.path(digest).write_bytes(b"altered")
    archive.close()
    made = backup(place.folder, tmp_path / "b.tar", now=NOW)
    assert made.faults == (f"file {digest}: this stored file was altered",)
    restore(tmp_path / "b.tar", tmp_path / "there")
    assert [problem.problem for problem in check(tmp_path / "there").problems] == [
        "this stored file is missing"
    ]


def test_nothing_is_overwritten(place: Place, tmp_path: Path) -> None:
    """Neither a backup nor a workspace; and a folder that is missing is said."""
    backup(place.folder, tmp_path / "b.tar", now=NOW)
    with pytest.raises(Conflict, match="there already"):
        backup(place.folder, tmp_path / "b.tar", now=NOW)
    with pytest.raises(BadInput, match="no such folder"):
        backup(place.folder, tmp_path / "none" / "b.tar", now=NOW)
    with pytest.raises(Conflict, match="not empty"):
        restore(tmp_path / "b.tar", place.folder)
    assert not list(tmp_path.glob("*.part"))


def test_an_altered_backup_is_refused_and_leaves_nothing(
    place: Place, new_place: Callable[[], Place], tmp_path: Path
) -> None:
    """A byte changed in a table or file, a cut-off end, or no backup: one sentence, an empty folder."""
    whole = tmp_path / "b.tar"
    backup(_filled(place).folder, whole, now=NOW)
    content = whole.read_bytes()
    for changed in (
        content.replace(b"Ada Quill", b"Eda Quill"),
        content.replace(b"a recorder's file", b"b recorder's file"),
        content[: len(content) // 2],
        b"nothing of the kind",
    ):
        assert changed != content
        (tmp_path / "bad.tar").write_bytes(changed)
        there = new_place()
        with pytest.raises(UnreadableFile):
            restore(tmp_path / "bad.tar", there.folder, database=there.database)
        assert not there.folder.exists() or not list(there.folder.iterdir())
        restore(whole, there.folder, database=there.database)


def test_a_backup_of_a_newer_version_is_refused(place: Place, tmp_path: Path) -> None:
    """The sentence says what is wrong."""
    backup(place.folder, tmp_path / "b.tar", now=NOW)
    newer = (tmp_path / "b.tar").read_bytes().replace(f'"version": "{LATEST}"'.encode(), b'"version": "9999"')
    (tmp_path / "newer.tar").write_bytes(newer)
    with pytest.raises(BadInput, match="newer version"):
        restore(tmp_path / "newer.tar", tmp_path / "there")


def test_what_was_not_restored_cannot_be_opened(place: Place, tmp_path: Path) -> None:
    """Without the mark that is written last a folder is no workspace."""
    backup(place.folder, tmp_path / "b.tar", now=NOW)
    restore(tmp_path / "b.tar", tmp_path / "there")
    (tmp_path / "there" / "workspace.toml").unlink()
    with pytest.raises(SinksideError, match="no workspace"):
        open_archive(tmp_path / "there")
