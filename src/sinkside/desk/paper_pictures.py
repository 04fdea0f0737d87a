"""Pages of a paper as pictures, to be looked at in life size before it is printed."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Final

from sinkside.errors import NotThere

#: Fine enough for a screen on which a millimetre is four dots, small enough to be sent at once.
DOTS_PER_INCH: Final = 110

_POINTS_PER_INCH: Final = 72
_MM_PER_INCH: Final = 25.4


@dataclass(frozen=True)
class PageSize:
    """A page's width and height in mm."""

    width_mm: float
    height_mm: float


def page_sizes(pdf: bytes) -> tuple[PageSize, ...]:
    """The pages of a PDF in their order, in life size."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        mm = _MM_PER_INCH / _POINTS_PER_INCH
        sizes = [document.get_page_size(number) for number in range(len(document))]
        return tuple(PageSize(round(width * mm, 1), round(height * mm, 1)) for width, height in sizes)
    finally:
        document.close()


def page_png(pdf: bytes, page: int) -> bytes:
    """The picture of a page, counted from 1.

    Raises:
        NotThere: if the paper has fewer pages.
    """
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        if not 1 <= page <= len(document):
            raise NotThere("the paper has no such page", resource=str(page))
        drawn = document[page - 1].render(scale=DOTS_PER_INCH / _POINTS_PER_INCH).to_pil()
        picture = drawn.convert("P", colors=64)
        written = io.BytesIO()
        picture.save(written, "PNG", optimize=False)
        return written.getvalue()
    finally:
        document.close()


def one_pdf(pdfs: list[bytes]) -> bytes:
    """Several papers as one PDF, sheet after sheet, each on its own size."""
    import pypdfium2

    whole = pypdfium2.PdfDocument.new()
    try:
        for pdf in pdfs:
            part = pypdfium2.PdfDocument(pdf)
            whole.import_pages(part)
            part.close()
        written = io.BytesIO()
        whole.save(written)
        return written.getvalue()
    finally:
        whole.close()
