"""Papers set as PDF by the typesetter: words and figures go in as data, never as markup."""

from __future__ import annotations

import functools
import json
import re
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sinkside.aids.fonts import Script, families, font_folder, refuse_missing_signs, script_of
from sinkside.errors import SinksideError

if TYPE_CHECKING:
    from typst import Compiler

Values = dict[str, Any]

#: A word of more letters than the narrowest column takes, and the pieces it may be broken into. Chinese has
#: no spaces and may be broken nearly anywhere; the typesetter knows where (Unicode Standard Annex 14).
_TOO_LONG = re.compile(r"[^\s\u3000-\u303f\u3400-\u9fff\uff00-\uffef]{25,}")
_PIECE = re.compile(r".{1,22}")

#: Drawings go in as they are.
_IS_DRAWING = "<svg"


def typeset(content: Values, template: str) -> bytes:
    """Set some values by one of the templates in `typ/`, as PDF/UA-1; the same values give the same bytes.

    Raises:
        NotForTheFloor: if the typeface lacks a sign, or is not installed.
        SinksideError: if the typesetter has anything to say.
    """
    language = content["language"]
    refuse_missing_signs(texts_of(content), resource=content["title"], language=language)
    data = json.dumps({**broken(content), "faces": families(language)}, ensure_ascii=False)
    pdf, warnings = _compiler(script_of(language)).compile_with_warnings(
        _main(data, template),
        format="pdf",
        pdf_standards=["ua-1"],
        timestamp=0,
    )
    if warnings or not isinstance(pdf, bytes):
        said = "; ".join(warning.message for warning in warnings) or "no PDF was made"
        raise SinksideError(f"the paper cannot be set: {said}", resource=content["title"])
    return pdf


def _main(data: str, template: str) -> bytes:
    """What is set: a template's paper, with its values as one quoted text that is never read as markup.

    The values go in here, and not as inputs of the system, because whatever was worked out from the templates
    alone then holds for the next paper, too.
    """
    quoted = data.replace("\\", "\\\\").replace('"', '\\"')
    return f'#import "/{template}.typ": paper\n#paper(json(bytes("{quoted}")))\n'.encode()


def texts_of(values: Any) -> Iterator[str]:
    """Every text in some plain values that is set as text."""
    if isinstance(values, str):
        if not values.startswith(_IS_DRAWING):
            yield values
    elif isinstance(values, dict):
        for value in values.values():
            yield from texts_of(value)
    elif isinstance(values, list):
        for value in values:
            yield from texts_of(value)


def broken(values: Any) -> Any:
    r"""Plain values in which words too long for a column may be broken, so that none runs off the sheet.

    >>> broken({"detail": "abcdefghijklmnopqrstuvwxyz"})["detail"].split("\u200b")
    ['abcdefghijklmnopqrstuv', 'wxyz']
    """
    if isinstance(values, dict):
        return {name: broken(value) for name, value in values.items()}
    if isinstance(values, list):
        return [broken(value) for value in values]
    if isinstance(values, str) and not values.startswith(_IS_DRAWING):
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


@functools.cache
def _compiler(script: Script | None) -> Compiler:
    """One compiler for all papers of a script: reading fonts costs more than setting a page."""
    import typst

    folders = [str(font_folder()), *([script.folder] if script else [])]
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=folders)
    return typst.Compiler(root=str(_templates()), font_paths=fonts, ignore_system_fonts=True)


@functools.cache
def _templates() -> Path:
    return Path(str(resources.files("sinkside.aids.papers").joinpath("typ")))
