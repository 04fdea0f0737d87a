"""Files: by content, whole or not at all."""

from __future__ import annotations

import hashlib
import io
from datetime import UTC, datetime, timedelta

import pytest

from sinkside.archive import WorkspaceArchive
from sinkside.archive.files import FileStore
from sinkside.errors import UnreadableFile


def test_the_same_content_is_kept_once(archive: WorkspaceArchive) -> None:
    """Two uploads of one content are one file under its first name, by its SHA-256."""
    with archive.unit() as unit:
        first = unit.files.put(b"abc", media_type="text/plain", name="a.txt")
        assert unit.files.put(b"abc", media_type="text/csv", name="b.csv") == first
        assert first.digest == hashlib.sha256(b"abc").hexdigest()
        assert (unit.files.get(first.digest), unit.files.read(first.digest)) == (first, b"abc")
    assert archive.files.present() == {first.digest}


def test_a_missing_or_altered_file_is_named(archive: WorkspaceArchive) -> None:
    """Reading says which file is not what was kept; putting the content again heals it."""
    with archive.unit() as unit:
        kept = unit.files.put(b"abc", media_type="text/plain", name="a.txt")
        archive.files.path(kept.digest).write_bytes(b"abd")
        with pytest.raises(UnreadableFile, match="altered") as caught:
            unit.files.read(kept.digest)
        assert caught.value.resource == kept.digest
        archive.files.path(kept.digest).unlink()
        with pytest.raises(UnreadableFile, match="missing"):
            unit.files.read(kept.digest)
        unit.files.put(b"abc", media_type="text/plain", name="a.txt")
        assert unit.files.read(kept.digest) == b"abc"
        with pytest.raises(UnreadableFile, match="no file"):
            unit.files.read("00" * 32)


def test_strays_are_swept_by_age(archive: WorkspaceArchive) -> None:
    """A file without a row, and an unfinished one, go once they are old; kept ones stay."""
    with archive.unit() as unit:
        kept = unit.files.put(b"kept", media_type="text/plain", name="a.txt")
    stray = archive.files.write(b"stray")
    unfinished = archive.files.path(kept.digest).with_name("0.part")
    unfinished.write_bytes(b"ke")
    now = datetime.now(UTC)
    assert archive.sweep(now) == []
    assert sorted(archive.sweep(now + timedelta(days=2))) == sorted([stray, "0.part"])
    assert archive.files.present() == {kept.digest}


def test_a_stream_is_kept_only_under_its_own_digest(archive: WorkspaceArchive) -> None:
    """Content that is not what its digest says leaves nothing behind."""
    store: FileStore = archive.files
    with pytest.raises(UnreadableFile, match="digest"):
        store.take(io.BytesIO(b"abc"), "00" * 32)
    assert store.present() == set()
