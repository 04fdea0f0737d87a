"""Files handed in together, taken apart within bounds: of a zip archive, and cycles of a Parquet file."""

from __future__ import annotations

import base64
import io
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from pathlib import PurePosixPath
from typing import Final

from sinkside.cycles.many import RECORDER_ENDINGS
from sinkside.cycles.reading.parquet import PARQUET_MARK
from sinkside.desk.parsing_child import ChildLimits, run_child
from sinkside.desk.uploads import Upload
from sinkside.errors import UnreadableFile

#: What may come out of all archives of one upload; a few kilobytes can be made to unfold without end.
_MOST_UNPACKED_BYTES: Final = 500_000_000
_MOST_MEMBERS: Final = 2_000

#: Somebody waits for the answer at a page.
_LIMITS: Final = ChildLimits(processor_s=60, clock_s=60.0)
_MARK: Final = b"PK\x03\x04"

#: Workbooks and word-processor files are archives too, and no folders of recorder files.
_OFFICE: Final = "[Content_Types].xml"


def unpacked(uploads: Iterable[Upload], *, most_bytes: int) -> list[Upload]:
    """The files, with what a recorder may have written in place of each archive or table that holds it.

    Args:
        uploads: as they were handed in.
        most_bytes: what one file may hold.

    Raises:
        UnreadableFile: if an archive is damaged or locked, unfolds beyond bounds, or holds no recorder file;
            or if a Parquet file is damaged, or asks for too much.
        BadInput: if a Parquet file's cycles are of several machines or programs.
    """
    files: list[Upload] = []
    left = _MOST_UNPACKED_BYTES
    for upload in uploads:
        if upload.data.startswith(PARQUET_MARK):
            files += _cycles_in(upload)
            continue
        if not upload.data.startswith(_MARK):
            files.append(upload)
            continue
        inside = list(_members(upload, most_bytes, left))
        left -= sum(len(member.data) for member in inside)
        files += inside
    return files


def _cycles_in(upload: Upload) -> list[Upload]:
    """The cycles of a Parquet file that holds several; else the file as it is."""
    apart = run_child("cycles", [(upload.plain_name, upload.data)], limits=_LIMITS)
    media_type = upload.media_type
    return [Upload(name, media_type, base64.b64decode(data)) for name, data in apart] or [upload]


def _members(upload: Upload, most_bytes: int, left: int) -> Iterator[Upload]:
    try:
        with zipfile.ZipFile(io.BytesIO(upload.data)) as archive:
            if _OFFICE in archive.namelist():
                yield upload
                return
            yield from _read(archive, upload.plain_name, most_bytes, left)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError) as error:
        raise UnreadableFile("this archive is damaged", resource=upload.plain_name) from error
    except RuntimeError as error:
        # So the library answers a password, and a way of packing that it does not know.
        message = "this archive is locked, or packed in a way that is not read; expected a plain zip"
        raise UnreadableFile(message, resource=upload.plain_name) from error


def _read(archive: zipfile.ZipFile, name: str, most_bytes: int, left: int) -> Iterator[Upload]:
    members = [member for member in archive.infolist() if _is_recorder_file(member)]
    if not members:
        raise UnreadableFile("there is no recorder file in this archive", resource=name)
    if len(members) > _MOST_MEMBERS:
        raise UnreadableFile(f"it holds {len(members)} files; at most {_MOST_MEMBERS}", resource=name)
    for member in members:
        most = min(most_bytes, left)
        with archive.open(member) as file:
            # What the archive says of its sizes is not believed.
            data = file.read(most + 1)
        if len(data) > most:
            raise UnreadableFile(
                f"what is in it is too large; at most {most_bytes / 1e6:.0f} MB for a file and "
                f"{_MOST_UNPACKED_BYTES / 1e6:.0f} MB in all",
                resource=name,
            )
        left -= len(data)
        yield Upload(member.filename, "application/octet-stream", data)


def _is_recorder_file(member: zipfile.ZipInfo) -> bool:
    path = PurePosixPath(member.filename.replace("\\", "/"))
    hidden = any(part.startswith((".", "__")) and part != ".." for part in path.parts)
    return not (member.is_dir() or hidden) and path.suffix.lower() in RECORDER_ENDINGS
