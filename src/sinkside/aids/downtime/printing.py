"""The paper pack as one PDF."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from sinkside.aids.count_sheet import SheetSize
from sinkside.aids.downtime.forms import forms_of
from sinkside.aids.papers.setting import typeset
from sinkside.department import Department
from sinkside.errors import BadInput
from sinkside.language import REFERENCE_LANGUAGE

#: More sheets of a form than this are copied from the first.
_MOST_SHEETS: Final = 40

_HOW: Final = (
    "Use these sheets while the screens do not answer. Take a new sheet when one is full.",
    "Write the time at which a thing happened. Leave nothing for later, and strike out rather than erase.",
    "Each line has its own number. Whoever enters it afterwards ticks the last column and signs below.",
    "The posters and cards on the wall stay in force, and so do the makers’ instructions and local policy.",
    "No sheet releases a load. A qualified person does, by name.",
)


@dataclass(frozen=True)
class DowntimeRequest:
    """The pack of a department.

    Attributes:
        site: what the department has.
        printed: the day of printing, ISO 8601.
        size: of the paper.
        sheets: how many of each form.
        revision: of the department in the house; 0 for one from a file.
    """

    site: Department
    printed: str
    size: SheetSize = SheetSize.a4
    sheets: int = 1
    revision: int = 0

    def __post_init__(self) -> None:
        if not 1 <= self.sheets <= _MOST_SHEETS:
            raise BadInput(f"{self.sheets} sheets of each; expected 1 to {_MOST_SHEETS}", resource="sheets")


def downtime_pdf(request: DowntimeRequest) -> bytes:
    """All forms of a department in one PDF; the same request gives the same bytes.

    Raises:
        NotForTheFloor: if a sign cannot be shown.
    """
    return typeset(_content(request), "downtime")


def _content(request: DowntimeRequest) -> dict[str, Any]:
    site = request.site
    revision = f"department revision {request.revision}" if request.revision else ""
    return {
        "language": REFERENCE_LANGUAGE,
        "paper": request.size.of_typst,
        "title": "Paper pack for downtime",
        "department": ", ".join(filter(None, (site.hospital, site.name))),
        "edition": " · ".join(filter(None, (revision, f"printed {request.printed}"))),
        "how": list(_HOW),
        "sheets": request.sheets,
        "forms": forms_of(site),
        "words": {
            "contents": "What is in it",
            "number": "No.",
            "program": "Program",
            "entered": "Entered",
            "entered_by": "Entered afterwards by: name, day, time",
            "foot": "The maker’s current instruction and local policy govern. A qualified person releases.",
        },
    }
