"""A code that the camera of a tablet took, read as a scanner would have typed it."""

from __future__ import annotations

from typing import Final

from sinkside.desk.parsing_child import ChildLimits, run_child
from sinkside.desk.uploads import Upload
from sinkside.errors import BadInput

#: Somebody stands there and waits.
_LIMITS: Final = ChildLimits(processor_s=20, clock_s=30.0)


def code_on_photo(photo: Upload) -> str:
    """The one code on a photo.

    Args:
        photo: a JPEG, PNG or WebP file.

    Raises:
        UnreadableFile: if it is no photo.
        BadInput: if there is no code on it, or more than one.
    """
    codes = run_child("codes", [(photo.name, photo.data)], limits=_LIMITS)
    if len(codes) == 1:
        return str(codes[0])
    found = f"{len(codes)} codes are on this photo" if codes else "no code can be read on this photo"
    raise BadInput(f"{found}; expected one, near, sharp and whole", resource="photo")
