"""One page of a PDF or of a picture file as a picture, with the words that stand on it and where."""

from __future__ import annotations

import base64
import io
from typing import Any

from sinkside.draft.layout import Word, grouped, gutter_of
from sinkside.draft.pdf_words import shown_words
from sinkside.errors import UnreadableFile

#: Pixels for each point of the page: sharp on a tablet at its usual size.
_PIXELS_PER_POINT = 2.0
_MOST_PIXELS = 2600.0
_POINTS_PER_INCH = 72.0


def page_picture(data: bytes, page: int, *, resource: str) -> dict[str, Any]:
    """A page as a PNG in base64, its size in points, and its words in reading order with their boxes.

    Args:
        data: the PDF or picture file.
        page: which, from 1.
        resource: its name, for the sentence if it cannot be shown.

    Raises:
        UnreadableFile: if it has no such page, or is broken.
    """
    from sinkside.draft.scan import is_image

    if is_image(data):
        return _image(data, page, resource)
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(data)
        if not 1 <= page <= len(document):
            raise UnreadableFile(f"there is no page {page}; it has {len(document)}", resource=resource)
        sheet = document[page - 1]
        width, height = sheet.get_size()
        scale = min(_PIXELS_PER_POINT, _MOST_PIXELS / max(width, height))
        picture = sheet.render(scale=scale, grayscale=True).to_pil()
        pages = len(document)
        words = _words(sheet, page, resource)
        document.close()
    except pypdfium2.PdfiumError as error:
        raise UnreadableFile("this PDF is broken and cannot be shown", resource=resource) from error
    return _told(picture, size=(width, height), pages=pages, words=words)


def _words(sheet: Any, page: int, resource: str) -> list[Word]:
    """The words of a page, or of a page that is only a picture those that are seen on it."""
    from sinkside.draft.scan import ScanReader, scanned_picture

    words = shown_words(sheet, number=page, resource=resource)
    scanned = scanned_picture(sheet, signs=sum(len(word.text) for word in words))
    return words if scanned is None else ScanReader(resource).shown_words(scanned)


def _image(data: bytes, page: int, resource: str) -> dict[str, Any]:
    """A page of a picture file."""
    from sinkside.draft.scan import ScanReader, image_pictures

    pictures = list(image_pictures(data, resource=resource))
    if not 1 <= page <= len(pictures):
        raise UnreadableFile(f"there is no page {page}; it has {len(pictures)}", resource=resource)
    chosen = pictures[page - 1]
    words = ScanReader(resource).shown_words(chosen)
    size = tuple(side / chosen.dpi * _POINTS_PER_INCH for side in chosen.image.size)
    chosen.image.thumbnail((_MOST_PIXELS, _MOST_PIXELS))
    return _told(chosen.image, size=(size[0], size[1]), pages=len(pictures), words=words)


def _told(picture: Any, *, size: tuple[float, float], pages: int, words: list[Word]) -> dict[str, Any]:
    out = io.BytesIO()
    picture.save(out, format="PNG", optimize=False)
    ordered = _in_order(words, size[0])
    return {
        "png": base64.b64encode(out.getvalue()).decode("ascii"),
        "width": size[0],
        "height": size[1],
        "pages": pages,
        "words": [[word.text, word.x0, word.top, word.x1, word.bottom] for word in ordered],
    }


def _in_order(words: list[Word], width: float) -> list[Word]:
    """Words line by line; of a page in two columns, the left one first."""
    gutter = gutter_of(words, width)
    if gutter is None:
        return [word for line in grouped(words) for word in line]
    left = [word for word in words if word.x0 < gutter]
    right = [word for word in words if word.x0 >= gutter]
    return [word for side in (left, right) for line in grouped(side) for word in line]
