"""What people hand in as files, and the ids that things get."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from pathlib import PurePosixPath

from sinkside.errors import UnreadableFile

_LONGEST_NAME = 200


@dataclass(frozen=True)
class Upload:
    """A file as it was handed in: its name, what the browser called it, its content."""

    name: str
    media_type: str
    data: bytes

    @property
    def plain_name(self) -> str:
        """The name without a path, and without signs that do not print."""
        last = PurePosixPath(self.name.replace("\\", "/")).name
        return "".join(sign for sign in last if sign.isprintable())[:_LONGEST_NAME].strip() or "file"


def check_upload(upload: Upload, *, most_bytes: int, endings: frozenset[str] = frozenset()) -> None:
    """Refuse a file that is empty, too large, or of a kind that is not read.

    Raises:
        UnreadableFile: with what was expected.
    """
    name = upload.plain_name
    ending = PurePosixPath(name).suffix.lower()
    if endings and ending not in endings:
        raise UnreadableFile(
            f"'{ending}' is not read here; expected one of {', '.join(sorted(endings))}", resource=name
        )
    if not upload.data.strip():
        raise UnreadableFile("the file is empty", resource=name)
    if len(upload.data) > most_bytes:
        raise UnreadableFile(
            f"{len(upload.data) / 1e6:.0f} MB is too large; at most {most_bytes / 1e6:.0f} MB", resource=name
        )


def new_id(letter: str) -> str:
    """A random id for a thing, such as `i-3f9c…` for an instruction."""
    return f"{letter}-{secrets.token_hex(8)}"
