"""The shelf: every instruction here, handing in a maker's document, and watching it being read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Final, Literal

from fastapi import Query

from sinkside.desk import jobs as desk_jobs
from sinkside.desk import shelf as desk_shelf
from sinkside.desk.access import policy
from sinkside.desk.approving import RIGHT as APPROVE
from sinkside.desk.instruction_view import row_words
from sinkside.desk.instructions import DOCUMENT_ENDINGS
from sinkside.desk.people import names_of
from sinkside.errors import BadInput
from sinkside.records import Row
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Option, Screen, Upload

screen: Final = Screen("instructions")

READ: Final = "instruction-read"
UPLOAD: Final = "instruction-upload"
_MOST_ROWS: Final = 200

#: Which instructions a list shows.
Shown = Literal["all", "to-answer", "to-approve", "approved"]
_STATES: Final[Mapping[Shown, tuple[str, ...]]] = {
    "all": (),
    "to-answer": ("in-work",),
    "to-approve": ("ready",),
    "approved": ("approved",),
}
_STATE_WORDS: Final = {
    "reading": "being read",
    "unread": "could not be read",
    "in-work": "to be checked and answered",
    "ready": "waits for approval",
    "approved": "approved",
}
#: Which language of a document is read; most documents have one, and need no choice.
_LANGUAGES: Final = (
    Option("", "English, or its own if there is none"),
    Option("en", "English"),
    Option("de", "Deutsch"),
    Option("fr", "Français"),
    Option("es", "Español"),
)
#: Who may do what is next, by right, and what that is.
_TURNS: Final = {
    "editor": ("instruction-edit", "to check steps and answer findings"),
    "approver": (APPROVE, "to approve; nobody who wrote it"),
}


@dataclass(frozen=True)
class InstructionLine:
    """One instruction of the list: where it is, what it is of, how it stands, by when, and whose turn.

    `stops`, `concerns` and `notes` count what nothing settles yet; `error` says why a document was not read.
    """

    address: str
    title: str
    about: str
    state: str
    state_words: str
    revision: int
    stops: int
    concerns: int
    notes: int
    confirm_by: str
    overdue: bool
    turn: str
    error: str


@dataclass(frozen=True)
class InstructionsPage:
    """The instructions here: what is due first, then the latest changed; which are shown."""

    title: str
    address: str
    shown: str
    text: str
    instructions: tuple[InstructionLine, ...]
    hand_in: str
    is_cut: bool


@dataclass(frozen=True)
class HandInDocumentPage:
    """The form for a maker's document: the kinds of file and the languages that are read."""

    title: str
    address: str
    instructions: str
    endings: str
    languages: tuple[Option, ...]


@dataclass(frozen=True)
class ReadingPage:
    """A document being read: how far it is, and where it leads once it is over.

    Attributes:
        title: the heading.
        address: of this page.
        going: whether it still waits or runs.
        doing: what is being done.
        done: how many of
        total: so many parts are done.
        leads_to: the instruction, once it can be opened.
        error: why the document was not read.
        hand_in: where another one is handed in.
    """

    title: str
    address: str
    going: bool
    doing: str
    done: int
    total: int
    leads_to: str
    error: str
    hand_in: str


@screen.page(
    f"{DEPARTMENT}/instructions",
    right=READ,
    template="instructions.html",
    nav=Nav("Instructions", 20, "instructions"),
)
def instructions(
    asked: Asked, *, shown: Shown = "all", text: Annotated[str, Query(max_length=200)] = ""
) -> InstructionsPage:
    """Every instruction of this department: what is due first, then the latest changed."""
    rows = desk_shelf.shelf(
        asked.archive, asked.visitor, states=_STATES[shown], text=text or None, limit=_MOST_ROWS
    )
    turns = {str(row.fields["confirm_turn"]) for row in rows if row.fields.get("confirm_turn")}
    names = names_of(asked.archive, turns)
    return InstructionsPage(
        title="Instructions",
        address=asked.at("/instructions"),
        shown=shown,
        text=text,
        instructions=tuple(_line(asked, row, names) for row in rows),
        hand_in=asked.at("/instructions/new") if asked.visitor.may(UPLOAD) else "",
        is_cut=len(rows) == _MOST_ROWS,
    )


@screen.page(f"{DEPARTMENT}/instructions/new", right=UPLOAD, template="instructions_new.html")
def new_instruction(asked: Asked) -> HandInDocumentPage:
    """The form for a maker's document."""
    return HandInDocumentPage(
        title="Hand in a maker’s document",
        address=asked.at("/instructions/new"),
        instructions=asked.at("/instructions") if asked.visitor.may(READ) else "",
        endings=",".join(sorted(DOCUMENT_ENDINGS)),
        languages=_LANGUAGES,
    )


class HandingIn(Form):
    """Which of its languages a document is to be read in; empty for whichever suits."""

    language: Literal["", "en", "de", "fr", "es"] = ""


@screen.act(
    f"{DEPARTMENT}/instructions/new",
    right=UPLOAD,
    form=HandingIn,
    page=new_instruction,
    uploads="document",
)
def hand_in(asked: Asked, form: HandingIn, document: tuple[Upload, ...]) -> Done:
    """Keep a maker's document and have it read, in one of its languages if one is chosen."""
    return handed_in(asked, document, language=form.language)


@screen.page(
    f"{DEPARTMENT}/instructions/{{instruction}}/reading", right=READ, template="instruction_reading.html"
)
def reading(asked: Asked, instruction: str) -> ReadingPage:
    """How far the reading of a document is."""
    row = desk_shelf.instruction_row(asked.archive, asked.visitor, instruction)
    job = None
    if row.fields.get("job"):
        job = desk_jobs.open_job(asked.archive, asked.visitor, str(row.fields["job"]))
    error = str(row.fields.get("error") or "")
    is_over = job is None and not error and bool(row.fields.get("revision"))
    return ReadingPage(
        title=f"Reading {row.fields.get('pending_file') or row.title}" if job else row_words(row)[0],
        address=asked.at(f"/instructions/{row.id}/reading"),
        going=job is not None,
        doing=job.doing if job else "",
        done=job.done if job else 0,
        total=job.total if job else 0,
        leads_to=asked.at(f"/instructions/{row.id}") if is_over else "",
        error=error,
        hand_in=asked.at("/instructions/new") if asked.visitor.may(UPLOAD) else "",
    )


def handed_in(
    asked: Asked, document: tuple[Upload, ...], instruction: str | None = None, *, language: str = ""
) -> Done:
    """Hand in one document, as a new instruction or as the next revision of one; lead to its reading.

    Raises:
        BadInput: if there is more than one, or it is of a kind that is not read.
    """
    if len(document) != 1:
        raise BadInput("expected one document at a time", resource="document")
    kept = desk_shelf.hand_in(
        asked.archive,
        asked.visitor,
        document[0].handed_in(),
        now=asked.now,
        instruction=instruction,
        language=language or None,
    )
    if asked.visitor.may(READ):
        return Done(go=asked.at(f"/instructions/{kept.instruction}/reading"))
    return Done(go=asked.at(f"/jobs/{kept.job}"))


def turn_words(row: Row, names: Mapping[str, str]) -> str:
    """Whose turn it is, in words."""
    turn = str(row.fields.get("turn") or "")
    if turn == "confirmer":
        person = str(row.fields.get("confirm_turn") or "")
        return names.get(person, person)
    if turn == "maker":
        return "the maker, to answer"
    right, doing = _TURNS.get(turn, ("", ""))
    roles = " or ".join(role.name for role in policy().roles.values() if right in role.rights)
    return f"{roles}, {doing}" if roles else ""


def is_overdue(due: datetime | None, now: datetime) -> bool:
    """Whether a moment has passed."""
    return due is not None and due <= now


def _line(asked: Asked, row: Row, names: Mapping[str, str]) -> InstructionLine:
    fields = row.fields
    is_open = bool(fields.get("revision")) and row.state not in {"reading", "unread"}
    title, about = row_words(row)
    return InstructionLine(
        address=asked.at(f"/instructions/{row.id}{'' if is_open else '/reading'}"),
        title=title,
        about=about,
        state=row.state,
        state_words=_STATE_WORDS[row.state],
        revision=int(fields.get("revision") or 0),
        stops=int(fields.get("stops_open") or 0),
        concerns=int(fields.get("concerns_open") or 0),
        notes=int(fields.get("notes_open") or 0),
        confirm_by=str(fields.get("confirm_by") or ""),
        overdue=is_overdue(row.due, asked.now),
        turn=turn_words(row, names),
        error=str(fields.get("error") or ""),
    )
