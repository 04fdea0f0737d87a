"""A poster as PDF."""

from __future__ import annotations

import bisect
import functools
import json
import re
from importlib import resources
from typing import TYPE_CHECKING, Any

from sinkside.aids.fonts import font_folder, refuse_missing_signs
from sinkside.aids.poster.content import Values, poster_content, texts_of
from sinkside.aids.poster.request import PosterRequest
from sinkside.errors import SinksideError

if TYPE_CHECKING:
    from typst import Compiler

#: How much larger than the least that reads at two metres the type may grow, from least to largest.
SCALES = tuple(1.0 + 0.08 * step for step in range(8))

#: More rows than this never fit one column.
_ROWS_IN_ONE_COLUMN = 18

#: A word of more letters than the narrowest column takes, and the pieces it may be broken into.
_TOO_LONG = re.compile(r"\S{25,}")
_PIECE = re.compile(r".{1,22}")


def poster_pdf(request: PosterRequest) -> bytes:
    """An A3 poster, in the largest type that needs no more sheets than the smallest would.

    A route too long for one sheet is set in two columns: down the left, then down the right.

    The same request gives the same bytes.

    Raises:
        NotForTheFloor: if stops are open, no route resolves it, or a sign cannot be shown; a proof is refused
            only for the last.
        BadInput: if the language is unknown.
    """
    request.refuse_unless_fit()
    content = poster_content(request)
    refuse_missing_signs(texts_of({**content, "code": content["code"]["alt"]}), resource=content["title"])
    columns, papers = 1, {}
    if sum(len(group["rows"]) for group in content["groups"]) <= _ROWS_IN_ONE_COLUMN:
        papers[SCALES[0]] = _typeset(content, SCALES[0], columns=1)
    if not papers or sheets(papers[SCALES[0]]) > 1:
        columns, papers = 2, {SCALES[0]: _typeset(content, SCALES[0], columns=2)}
    fewest = sheets(papers[SCALES[0]])

    # In two columns words soon no longer fit beside their figures, and setting them takes longer.
    larger = SCALES[1:] if columns == 1 else SCALES[1:3] if fewest == 1 else SCALES[2:3]

    def needs_more_sheets(scale: float) -> bool:
        papers[scale] = _typeset(content, scale, columns=columns)
        return sheets(papers[scale]) > fewest

    too_large = bisect.bisect_left(larger, True, key=needs_more_sheets)
    return papers[(SCALES[0], *larger)[too_large]]


def broken(values: Any) -> Any:
    r"""Plain values in which words too long for a column may be broken, so that none runs off the sheet.

    >>> broken({"detail": "abcdefghijklmnopqrstuvwxyz"})["detail"].split("\u200b")
    ['abcdefghijklmnopqrstuv', 'wxyz']
    """
    if isinstance(values, dict):
        return {name: broken(value) for name, value in values.items()}
    if isinstance(values, list):
        return [broken(value) for value in values]
    if isinstance(values, str):
        return _TOO_LONG.sub(lambda word: "\u200b".join(_PIECE.findall(word[0])), values)
    return values


def sheets(pdf: bytes) -> int:
    """How many sheets a PDF has."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        return len(document)
    finally:
        document.close()


def _typeset(content: Values, scale: float, *, columns: int) -> bytes:
    layout = {"code": content["code"], "scale": scale, "columns": columns}
    data = json.dumps({**broken(content), **layout}, ensure_ascii=False)
    pdf, warnings = _compiler().compile_with_warnings(
        _template(), format="pdf", sys_inputs={"data": data}, pdf_standards=["ua-1"], timestamp=0
    )
    if warnings or not isinstance(pdf, bytes):
        said = "; ".join(warning.message for warning in warnings) or "no PDF was made"
        raise SinksideError(f"the poster cannot be set: {said}", resource=content["title"])
    return pdf


@functools.cache
def _compiler() -> Compiler:
    """One compiler for all papers: reading fonts costs more than setting a page."""
    import typst

    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(font_folder())]
    )
    return typst.Compiler(font_paths=fonts, ignore_system_fonts=True)


@functools.cache
def _template() -> bytes:
    return resources.files("sinkside.aids.poster").joinpath("poster.typ").read_bytes()
