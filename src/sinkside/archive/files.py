"""Files by the digest of their content, whole or not there at all.

A file is on the disk for good before the row that names it is committed. So a kill can leave a file without a
row, which harms nobody and is swept once it is old, but never a row without its file.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import secrets
from datetime import datetime
from pathlib import Path
from typing import IO

from sqlalchemy import bindparam, delete, insert, select

from sinkside.archive.connection import Transaction
from sinkside.archive.schema import files
from sinkside.errors import Conflict, UnreadableFile
from sinkside.records import StoredFile

_UNFINISHED = ".part"
_PORTION_BYTES = 1 << 20

_FILE = select(files).where(files.c.digest == bindparam("wanted"))


class FileStore:
    """A folder of files, each under the digest of its content."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, digest: str) -> Path:
        """Where a file is, if it is there."""
        return self.folder / digest[:2] / digest

    def write(self, data: bytes) -> str:
        """Keep some bytes for good, and say their digest."""
        digest = hashlib.sha256(data).hexdigest()
        target = self.path(digest)
        if self._is_whole(target, digest):
            os.utime(target)  # it may be an orphan about to be swept for its age
        else:
            self.take(io.BytesIO(data), digest)
        return digest

    def take(self, source: IO[bytes], digest: str) -> None:
        """Keep for good what a stream gives, if it has the digest that it should have.

        Raises:
            UnreadableFile: if it has another; nothing is kept.
        """
        target = self.path(digest)
        make_folder(target.parent)
        unfinished = target.with_name(f"{secrets.token_hex(8)}{_UNFINISHED}")
        found = hashlib.sha256()
        with unfinished.open("xb") as stream:
            while portion := source.read(_PORTION_BYTES):
                found.update(portion)
                stream.write(portion)
            stream.flush()
            os.fsync(stream.fileno())
        if found.hexdigest() != digest:
            unfinished.unlink()
            raise UnreadableFile("this file is not what its digest says", resource=digest)
        unfinished.rename(target)
        settle(target.parent)

    def read(self, digest: str) -> bytes:
        """The content of a file.

        Raises:
            UnreadableFile: if it is missing or was altered.
        """
        try:
            data = self.path(digest).read_bytes()
        except OSError as error:
            raise UnreadableFile("this stored file is missing", resource=digest) from error
        if hashlib.sha256(data).hexdigest() != digest:
            raise UnreadableFile("this stored file was altered", resource=digest)
        return data

    def remove(self, digest: str) -> None:
        """Delete a file that nothing names any more."""
        self.path(digest).unlink(missing_ok=True)

    def fault(self, digest: str) -> str | None:
        """What is wrong with a file that should be there; none if nothing is."""
        path = self.path(digest)
        if not path.is_file():
            return "this stored file is missing"
        return None if self._is_whole(path, digest) else "this stored file was altered"

    def _is_whole(self, target: Path, digest: str) -> bool:
        if not target.is_file():
            return False
        with target.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest() == digest

    def present(self) -> set[str]:
        """The digests of every file that is there, unfinished ones under their own names."""
        return {path.name for path in self.folder.glob("??/*")}

    def sweep(self, unnamed: set[str], *, before: datetime) -> list[str]:
        """Delete unnamed and unfinished files that were last written before a moment; say which."""
        swept = []
        for path in sorted(self.folder.glob("??/*")):
            stray = path.name in unnamed or path.name.endswith(_UNFINISHED)
            with contextlib.suppress(FileNotFoundError):  # somebody else sweeps too, or finished writing it
                if stray and path.stat().st_mtime < before.timestamp():
                    path.unlink()
                    swept.append(path.name)
        return swept


class FileTable:
    """Files by the digest of their content."""

    def __init__(self, transaction: Transaction, store: FileStore) -> None:
        self._do = transaction
        self._store = store
        self.forgotten: list[str] = []

    def put(self, data: bytes, *, media_type: str, name: str) -> StoredFile:
        """Keep a file; the same content is kept once, under its first name."""
        digest = self._store.write(data)
        known = self.get(digest)
        if known:
            return known
        stored = StoredFile(digest=digest, size=len(data), media_type=media_type, name=name)
        try:
            self._do.change(insert(files).values(**vars(stored)))
        except Conflict:
            return self.get(digest) or stored
        return stored

    def get(self, digest: str) -> StoredFile | None:
        """What is known of a file."""
        found = self._do.first(_FILE, wanted=digest)
        return StoredFile(**found) if found else None

    def read(self, digest: str) -> bytes:
        """Its content.

        Raises:
            UnreadableFile: if it is unknown, missing or was altered.
        """
        if self.get(digest) is None:
            raise UnreadableFile("no file of this digest is kept", resource=digest)
        return self._store.read(digest)

    def forget(self, digest: str) -> None:
        """Keep a file no longer; it leaves the disk once the transaction stands."""
        self._do.change(delete(files).where(files.c.digest == digest))
        self.forgotten.append(digest)

    def named(self) -> set[str]:
        """The digests of every file that has a row."""
        return {row["digest"] for row in self._do.all(select(files.c.digest))}


def make_folder(folder: Path) -> None:
    """Make a folder that is still there after a power cut, with whatever leads to it."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    settle(folder.parent)


def settle(folder: Path) -> None:
    """Have the disk remember which names a folder holds."""
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
