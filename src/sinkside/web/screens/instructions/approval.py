"""Approving a revision, confirming that a text is current, and handing in the next one."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from sinkside.desk import approving
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Done, Form, Upload
from sinkside.web.screens.instructions.page import instruction as page
from sinkside.web.screens.instructions.shelf import READ, UPLOAD, handed_in, screen

_INSTRUCTION = f"{DEPARTMENT}/instructions/{{instruction}}"


class Confirming(Form):
    """By when the text must be confirmed current, and whose turn that is; the acting person's unless told."""

    confirm_by: date
    confirm_turn: str = Field("", max_length=100)


class Approving(Confirming):
    """Which revision is approved, as the person had it before them."""

    base: int = Field(ge=1, le=1_000_000)


@screen.act(f"{_INSTRUCTION}/approve", right=approving.RIGHT, form=Approving, page=page)
def approve(asked: Asked, form: Approving, instruction: str) -> Done:
    """Approve the latest revision, by somebody who did not write it."""
    approving.approve(
        asked.archive,
        asked.visitor,
        instruction,
        revision=form.base,
        confirm_by=form.confirm_by,
        confirm_turn=form.confirm_turn or None,
        now=asked.now,
    )
    said = f"Revision {form.base} is approved."
    return Done(go=asked.at(f"/instructions/{instruction}#approval"), said=said)


@screen.act(f"{_INSTRUCTION}/confirm", right=READ, form=Confirming, page=page)
def confirm(asked: Asked, form: Confirming, instruction: str) -> Done:
    """Confirm that the maker's text is still the current one."""
    approving.confirm_current(
        asked.archive,
        asked.visitor,
        instruction,
        confirm_by=form.confirm_by,
        confirm_turn=form.confirm_turn or None,
        now=asked.now,
    )
    said = f"The text is confirmed current; next by {form.confirm_by.isoformat()}."
    return Done(go=asked.at(f"/instructions/{instruction}#approval"), said=said)


@screen.act(f"{_INSTRUCTION}/document", right=UPLOAD, page=page, uploads="document")
def hand_in_next(asked: Asked, document: tuple[Upload, ...], instruction: str) -> Done:
    """Hand in the maker's next document of the same device."""
    return handed_in(asked, document, instruction)
