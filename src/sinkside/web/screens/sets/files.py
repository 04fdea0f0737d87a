"""Sets handed in and taken out as files: a document, or one sheet of a spreadsheet."""

from __future__ import annotations

from typing import Final

from pydantic import Field

from sinkside.desk import set_files
from sinkside.errors import BadDocument, Fault
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Sending, Upload
from sinkside.web.screens.sets.acts import OnRevision, changed
from sinkside.web.screens.sets.page import set_page
from sinkside.web.screens.sets.shelf import EDIT, PLACE, READ, new, screen

_SPREADSHEET: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_DOCUMENT: Final = "application/yaml"

#: More faults at once help nobody.
_FAULTS_TOLD: Final = 60


class HandInForm(Form):
    """What the set is called; a document says it itself."""

    set_name: str = Field("", max_length=200)


@screen.file(f"{PLACE}/template", right=READ)
def template(asked: Asked) -> Sending:
    """The sheet to fill in; every heading has a note on what it holds."""
    return Sending(set_files.template(), _SPREADSHEET, saved_as=f"{asked.visitor.department}-set.xlsx")


@screen.file(f"{PLACE}/{{key}}/sheet", right=READ)
def sheet(asked: Asked, key: str) -> Sending:
    """The contents of a set as the same sheet."""
    return Sending(
        set_files.as_sheet(asked.archive, asked.visitor, key), _SPREADSHEET, saved_as=f"{key}.xlsx"
    )


@screen.file(f"{PLACE}/{{key}}/document", right=READ)
def document(asked: Asked, key: str) -> Sending:
    """A set as a document."""
    return Sending(
        set_files.as_document(asked.archive, asked.visitor, key), _DOCUMENT, saved_as=f"{key}.yaml"
    )


@screen.act(f"{PLACE}/hand-in", right=EDIT, form=HandInForm, page=new, uploads="file")
def hand_in(asked: Asked, form: HandInForm, files: tuple[Upload, ...]) -> Done:
    """Keep what a file says as a new set."""
    try:
        key = set_files.hand_in_set(
            asked.archive, asked.visitor, files[0].handed_in(), name=form.set_name, now=asked.now
        )
    except BadDocument as error:
        raise _told(error) from error
    return Done(go=asked.at(f"/sets/{key}"), said=f"Made from {files[0].name}, by {asked.someone.name}.")


@screen.act(f"{PLACE}/{{key}}/file", right=EDIT, form=OnRevision, page=set_page, uploads="file")
def hand_in_next(asked: Asked, form: OnRevision, files: tuple[Upload, ...], key: str) -> Done:
    """Keep what a file says as the next revision of a set."""
    try:
        number = set_files.hand_in_revision(
            asked.archive,
            asked.visitor,
            key,
            files[0].handed_in(),
            base=form.on_revision,
            now=asked.now,
        )
    except BadDocument as error:
        raise _told(error) from error
    return changed(asked, key, number)


def _told(error: BadDocument) -> BadDocument:
    """Each fault as a sentence with its row and column, or its path; of very many the first."""
    told = [Fault("", str(fault)) for fault in error.faults[:_FAULTS_TOLD]]
    left = len(error.faults) - len(told)
    if left > 0:
        told.append(Fault("", f"and {left} more; mend these first"))
    return BadDocument(told, resource="file")
