"""Reading squares of modules with libdmtx, which did not write them, from pictures of printed paper."""

from __future__ import annotations

import functools
import importlib
import warnings
from typing import Any

import pypdfium2
from PIL import Image, ImageFilter

#: What libdmtx puts where a symbol has function 1; no label has this sign.
FUNCTION_1 = "^"

#: How strong an edge must be, in percent: what libdmtx takes unless told.
_USUAL_EDGE = 10


def pictures_of(pdf: bytes, *, dots_per_inch: float = 300) -> list[Image.Image]:
    """Each page as a printer of so many dots an inch would set it, in grey."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [page.render(scale=dots_per_inch / 72).to_pil().convert("L") for page in document]
    finally:
        document.close()


def aimed(picture: Image.Image) -> Image.Image:
    """The upper left of a label, where the code is, as somebody who aims a scanner shows it."""
    side = picture.height * 2 // 3
    return picture.crop((0, 0, side, side))


def worn(picture: Image.Image, *, turn: float, blur: float) -> Image.Image:
    """The same printed askew and out of focus: turned by degrees, blurred by a radius in dots."""
    turned = picture.rotate(turn, resample=Image.Resampling.BICUBIC, expand=True, fillcolor=255)
    return turned.filter(ImageFilter.GaussianBlur(blur))


def read_square(picture: Image.Image) -> str | None:
    """What the square on a picture says, function 1 as ^; none where it cannot be read."""
    reader, wrapper = _libdmtx()
    told = wrapper.dmtxDecodeSetProp

    def with_function_1(decoder: object, _name: object, _value: object) -> int:
        return int(told(decoder, wrapper.DmtxProperty.DmtxPropFnc1, ord(FUNCTION_1)))

    reader.dmtxDecodeSetProp = with_function_1
    try:
        # Any option makes the reader set a property; that is where it is told how to say function 1.
        found = reader.decode(picture, max_count=1, threshold=_USUAL_EDGE)
    finally:
        reader.dmtxDecodeSetProp = told
    return found[0].data.decode("ascii") if found else None


@functools.cache
def _libdmtx() -> tuple[Any, Any]:
    """The reader and what it wraps; it compares versions in a way that Python warns of."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        return importlib.import_module("pylibdmtx.pylibdmtx"), importlib.import_module("pylibdmtx.wrapper")
