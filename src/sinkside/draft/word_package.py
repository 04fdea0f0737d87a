"""A word-processor file (.docx) is an archive of markup: it is weighed before any of it is unfolded."""

from __future__ import annotations

import io
import zipfile
from typing import Any

from sinkside.errors import UnreadableFile

_ARCHIVE_MARK = b"PK\x03\x04"
#: How older word processors, and locked files of newer ones, begin.
_OLD_FILE_MARK = bytes.fromhex("d0cf11e0a1b11ae1")
_MAIN_PART = "word/document.xml"

_MOST_MEMBERS = 4_000
_MOST_BYTES = 200_000_000
_MOST_BYTES_OF_XML = 60_000_000
#: Text and markup shrink to a fortieth at the utmost; what shrinks more is made to swell.
_HIGHEST_RATIO = 150
_RATIO_COUNTS_FROM_BYTES = 1_000_000
_DECLARATIONS = ("<!DOCTYPE", "<!ENTITY")


def is_word_file(data: bytes) -> bool:
    """Whether a file is an archive with the main part of a word-processor file."""
    if not data.startswith(_ARCHIVE_MARK):
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _MAIN_PART in archive.namelist()
    except (zipfile.BadZipFile, ValueError):
        return False


def opened_word_file(data: bytes, *, resource: str) -> Any:
    """The document of a word-processor file, once it was weighed.

    Raises:
        UnreadableFile: if it is old, locked, broken, or made to swell.
    """
    if data.startswith(_OLD_FILE_MARK):
        raise UnreadableFile(
            "this is locked, or of an older word processor (.doc); expected .docx, .pdf or .txt",
            resource=resource,
        )
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            _weigh(archive, resource)
        import docx

        return docx.Document(io.BytesIO(data))
    except UnreadableFile:
        raise
    except Exception as error:  # what the reader raises on a broken file is not documented
        raise UnreadableFile(
            "this word-processor file is broken and cannot be opened", resource=resource
        ) from error


def _weigh(archive: zipfile.ZipFile, resource: str) -> None:
    """Refuse an archive with too many members, too much in them, or declarations that could swell."""
    members = archive.infolist()
    if len(members) > _MOST_MEMBERS:
        raise UnreadableFile(
            f"it holds {len(members):,} files; a word-processor file has at most {_MOST_MEMBERS:,}",
            resource=resource,
        )
    total = sum(member.file_size for member in members)
    if total > _MOST_BYTES:
        raise UnreadableFile(
            f"it unfolds to {total / 1e6:,.0f} MB; at most {_MOST_BYTES / 1e6:.0f} MB", resource=resource
        )
    for member in members:
        swells = member.file_size > _HIGHEST_RATIO * max(member.compress_size, 1)
        if swells and member.file_size > _RATIO_COUNTS_FROM_BYTES:
            raise UnreadableFile(
                f"'{member.filename}' in it unfolds to more than {_HIGHEST_RATIO} times its size, "
                "as no document does",
                resource=resource,
            )
        if member.filename.lower().endswith((".xml", ".rels")):
            _weigh_markup(archive, member, resource)


def _weigh_markup(archive: zipfile.ZipFile, member: zipfile.ZipInfo, resource: str) -> None:
    if member.file_size > _MOST_BYTES_OF_XML:
        raise UnreadableFile(
            f"'{member.filename}' in it holds {member.file_size / 1e6:,.0f} MB of markup; "
            f"at most {_MOST_BYTES_OF_XML / 1e6:.0f} MB",
            resource=resource,
        )
    content = archive.read(member)
    if any(
        mark.encode(code) in content for mark in _DECLARATIONS for code in ("ascii", "utf-16-le", "utf-16-be")
    ):
        raise UnreadableFile(
            f"'{member.filename}' in it declares markup of its own, as no word-processor file does",
            resource=resource,
        )
