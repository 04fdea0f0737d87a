"""Proof as PDF: a sentence that says what is shown and until when, then tables; never more than was seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from sinkside.aids.codes import qr_values
from sinkside.aids.count_sheet import SheetSize
from sinkside.aids.papers.setting import typeset
from sinkside.language import REFERENCE_LANGUAGE

_GOVERNS: Final = (
    "It says what was seen on the days that are named, and no more. The maker’s current instruction and "
    "local policy govern; a qualified person releases."
)


@dataclass(frozen=True)
class ProofTable:
    """One table: heading, columns, rows; what is said where there are none."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    empty: str = ""


@dataclass(frozen=True)
class ProofRequest:
    """One paper.

    Attributes:
        kind: what it is: record, certificate, cover.
        title: whose or of what it is.
        about: lines below the title.
        said: what it shows, a sentence each, large.
        tables: what it rests on.
        printed: the day of printing, ISO 8601.
        department: whose it is.
        live_url: where the living page is; empty without a server.
        signatures: lines that are signed by hand; none where both signed in the house.
        size: of the paper.
    """

    kind: str
    title: str
    said: tuple[str, ...]
    tables: tuple[ProofTable, ...]
    printed: str
    department: str
    about: tuple[str, ...] = ()
    live_url: str = ""
    signatures: tuple[str, ...] = ()
    size: SheetSize = SheetSize.a4


def proof_pdf(request: ProofRequest) -> bytes:
    """The paper as PDF/UA-1; the same request gives the same bytes.

    Raises:
        NotForTheFloor: if a sign cannot be shown.
    """
    return typeset(_content(request), "proof")


def _content(request: ProofRequest) -> dict[str, Any]:
    code = request.live_url
    return {
        "language": REFERENCE_LANGUAGE,
        "paper": request.size.of_typst,
        "kind": request.kind,
        "title": request.title,
        "about": [*request.about, f"{request.department} · printed {request.printed}"],
        "said": list(request.said),
        "tables": [
            {
                "heading": one.heading,
                "columns": list(one.columns),
                "rows": [list(row) for row in one.rows],
                "empty": one.empty,
            }
            for one in request.tables
        ],
        "signatures": list(request.signatures),
        "code": qr_values(code, opens=True) if code else None,
        "foot": _GOVERNS,
    }
