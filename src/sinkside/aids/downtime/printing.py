"""The paper pack as one PDF."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from sinkside.aids.count_sheet import SheetSize
from sinkside.aids.downtime.forms import forms_of
from sinkside.aids.papers.bilingual import Bilingual, Readers
from sinkside.aids.papers.setting import Values, typeset
from sinkside.department import Department
from sinkside.errors import BadInput

#: More sheets of a form than this are copied from the first.
_MOST_SHEETS: Final = 40

_TITLE: Final = "Paper pack for downtime"

_HOW: Final = (
    "Use these sheets while the screens do not answer. Take a new sheet when one is full.",
    "Write the time at which a thing happened. Leave nothing for later, and strike out rather than erase.",
    "Each line has its own number. Whoever enters it afterwards ticks the last column and signs below.",
    "The posters and cards on the wall stay in force, and so do the makers’ instructions and local policy.",
    "No sheet releases a load. A qualified person does, by name.",
)

_WORDS: Final = {
    "contents": "What is in it",
    "number": "No.",
    "program": "Program",
    "entered": "Entered",
    "entered_by": "Entered afterwards by: name, day, time",
    "foot": "The maker’s current instruction and local policy govern. Release by a qualified person.",
}


@dataclass(frozen=True)
class DowntimeRequest:
    """The pack of a department.

    Attributes:
        site: what the department has.
        printed: the day of printing, ISO 8601.
        size: of the paper.
        sheets: how many of each form.
        revision: of the department in the house; 0 for one from a file.
        readers: who writes on it.
    """

    site: Department
    printed: str
    size: SheetSize = SheetSize.a4
    sheets: int = 1
    revision: int = 0
    readers: Readers = field(default_factory=Readers)

    def __post_init__(self) -> None:
        if not 1 <= self.sheets <= _MOST_SHEETS:
            raise BadInput(f"{self.sheets} sheets of each; expected 1 to {_MOST_SHEETS}", resource="sheets")


def downtime_pdf(request: DowntimeRequest) -> bytes:
    """All forms of a department in one PDF; the same request gives the same bytes.

    Raises:
        NotForTheFloor: if a sign cannot be shown, a word has no translation, or, unless it is a proof, nobody
            reviewed its words.
    """
    return typeset(_content(request), "downtime")


def _content(request: DowntimeRequest) -> Values:
    site, told = request.site, Bilingual(request.readers)
    department = ", ".join(filter(None, (site.hospital, site.name)))
    content = {
        "paper": request.size.of_typst,
        "title": told.both(_TITLE),
        "department": told.name(department),
        "edition": list(_edition(request, told)),
        "how": [told.both(sentence) for sentence in _HOW],
        "sheets": request.sheets,
        "forms": forms_of(site, told),
        "words": {name: told.both(english) for name, english in _WORDS.items()},
    }
    return told.settled(content, resource=department or _TITLE)


def _edition(request: DowntimeRequest, told: Bilingual) -> Iterator[Values]:
    if request.revision:
        yield told.both("department revision {revision}", revision=request.revision)
    yield told.both("printed {printed}", printed=request.printed)
