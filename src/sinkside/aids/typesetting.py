"""Setting a paper from a template and plain values: same values, same bytes."""

from __future__ import annotations

import functools
import json
from collections.abc import Iterator, Mapping
from importlib import resources
from typing import TYPE_CHECKING, Any

from sinkside.aids.fonts import font_folder
from sinkside.errors import SinksideError

if TYPE_CHECKING:
    from typst import Compiler


def set_pdf(package: str, template: str, values: Mapping[str, Any], *, resource: str) -> bytes:
    """A template filled with values, as PDF/UA-1.

    Args:
        package: the package that holds the template.
        template: its file name.
        values: what stands on the paper.
        resource: what is printed, for the sentence when it cannot be.

    Raises:
        SinksideError: if the writer warns of anything or makes no PDF.
    """
    data = json.dumps(values, ensure_ascii=False)
    pdf, warnings = compiler().compile_with_warnings(
        _template(package, template),
        format="pdf",
        sys_inputs={"data": data},
        pdf_standards=["ua-1"],
        timestamp=0,
    )
    if warnings or not isinstance(pdf, bytes):
        said = "; ".join(warning.message for warning in warnings) or "no PDF was made"
        raise SinksideError(f"the paper cannot be set: {said}", resource=resource)
    return pdf


def texts_of(values: Any) -> Iterator[str]:
    """Every text of some values, without drawings, to look for signs that the typeface lacks."""
    if isinstance(values, str):
        yield values
    elif isinstance(values, list):
        for value in values:
            yield from texts_of(value)
    elif isinstance(values, dict):
        for name, value in values.items():
            if name != "svg":
                yield from texts_of(value)


@functools.cache
def compiler() -> Compiler:
    """One compiler for all papers: reading fonts costs more than setting a page."""
    import typst

    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(font_folder())]
    )
    return typst.Compiler(font_paths=fonts, ignore_system_fonts=True)


@functools.cache
def _template(package: str, name: str) -> bytes:
    return resources.files(package).joinpath(name).read_bytes()
