"""Codes on a photo: what a scanner would have typed."""

from __future__ import annotations

import io
from typing import Final

from sinkside.errors import UnreadableFile

#: What a scanner types where a symbol has function 1 (GS1 General Specifications, the separator GS; memory).
_SEPARATOR: Final = "\x1d"


def codes_on(picture: bytes, *, resource: str) -> tuple[str, ...]:
    """The texts of all codes on a photo that was read already, each once; none where there is no code.

    Args:
        picture: a JPEG.
        resource: its name, for the sentence if it cannot be read.

    Raises:
        UnreadableFile: if it is no picture.
    """
    import zxingcpp
    from PIL import Image, UnidentifiedImageError

    try:
        opened = Image.open(io.BytesIO(picture)).convert("L")
    except (UnidentifiedImageError, OSError) as error:
        raise UnreadableFile("this is no picture", resource=resource) from error
    found = zxingcpp.read_barcodes(opened, text_mode=zxingcpp.TextMode.Plain)
    return tuple(dict.fromkeys(one.text.strip(_SEPARATOR) for one in found if one.text))
