"""Makers' texts: whether ours is the current one, when that was last asked, who answered, when it is due."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pydantic import Field

from sinkside.bench.programmes.text_currency import Currency
from sinkside.desk.instruction_view import row_words
from sinkside.desk.programmes import texts
from sinkside.desk.programmes.policy import READ, RECORD
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form
from sinkside.web.screens.verification.place import PLACE, read_day, screen

LIST: Final = f"{PLACE}/texts"
_LONGEST: Final = 2000

_WORDS: Final = {
    Currency.replaced: "Another edition is current",
    Currency.waits: "Asked; no answer yet",
    Currency.never_asked: "Not asked yet",
    Currency.current: "The maker says it is current",
}


@dataclass(frozen=True)
class TextLine:
    """A text: its page, what it is, how it stands, what was last asked and answered, and the two forms.

    Attributes:
        id: the instruction's.
        address: of its page.
        device: what it is of.
        about: maker, document and edition, as we use it.
        words: how it stands towards its maker.
        is_replaced: whether the maker has another edition.
        last: what was last asked, and answered.
        due: by when it must be confirmed current.
        is_late: whether that is over.
        waits: whether an answer is to come.
        may_confirm: whether the person may confirm it until a day.
    """

    id: str
    address: str
    device: str
    about: str
    words: str
    is_replaced: bool
    last: str
    due: str
    is_late: bool
    waits: bool
    may_confirm: bool


@dataclass(frozen=True)
class TextsPage:
    """The approved texts, what another edition has replaced first, then what is due first."""

    title: str
    address: str
    back: str
    texts: tuple[TextLine, ...]
    may_record: bool


class AskedMaker(Form):
    """How the maker was asked."""

    how: str = Field("", max_length=_LONGEST)


class MakerAnswered(Form):
    """What the maker answered."""

    said_by: str = Field("", max_length=_LONGEST)
    answer: Literal["current", "other"] = "other"
    edition: str = Field("", max_length=_LONGEST)
    confirm_until: str = Field("", max_length=40)


@screen.page(LIST, right=READ, template="verification_texts.html")
def texts_page(asked: Asked) -> TextsPage:
    """Whether the texts that are used here are their makers' current ones."""
    found = texts.find_texts(asked.archive, asked.visitor)
    return TextsPage(
        title="Are these texts current?",
        address=asked.at("/verification/texts"),
        back=asked.at("/verification"),
        texts=tuple(_line(asked, one) for one in found),
        may_record=asked.visitor.may(RECORD),
    )


@screen.act(f"{LIST}/{{instruction}}/asked", right=RECORD, form=AskedMaker, page=texts_page)
def ask_maker(asked: Asked, form: AskedMaker, instruction: str) -> Done:
    """Keep that the maker was asked."""
    texts.ask_maker(asked.archive, asked.visitor, instruction, how=form.how, now=asked.now)
    return Done(go=asked.at("/verification/texts"), said="Kept: the maker was asked.")


@screen.act(f"{LIST}/{{instruction}}/answered", right=RECORD, form=MakerAnswered, page=texts_page)
def maker_answered(asked: Asked, form: MakerAnswered, instruction: str) -> Done:
    """Keep what the maker answered."""
    answer = texts.Answer(
        said_by=form.said_by,
        is_current=form.answer == "current",
        edition=form.edition,
        confirm_by=read_day(form.confirm_until, "confirm_until"),
    )
    texts.maker_answered(asked.archive, asked.visitor, instruction, answer, now=asked.now)
    said = "Kept." if answer.is_current else "Kept. Hand the maker's current text in; ours is replaced."
    return Done(go=asked.at("/verification/texts"), said=said)


def _line(asked: Asked, one: texts.TextSeen) -> TextLine:
    device, about = row_words(one.row)
    due = one.row.due
    return TextLine(
        id=one.row.id,
        address=asked.at(f"/instructions/{one.row.id}"),
        device=device,
        about=about,
        words=_WORDS[one.stands],
        is_replaced=one.stands is Currency.replaced,
        last=_last(asked, one),
        due=str(one.row.fields.get("confirm_by") or ""),
        is_late=due is not None and due <= asked.now,
        waits=one.stands is Currency.waits,
        may_confirm=texts.may_confirm(asked.visitor, one.row),
    )


def _last(asked: Asked, one: texts.TextSeen) -> str:
    if one.last is None:
        return ""
    zone = asked.visitor.zone
    told = f"Asked {shown_moment(one.last.at, zone)[:10]}: {one.last.how}."
    if one.last.answer is None:
        return told
    answer = one.last.answer
    what = "ours is current" if answer.is_current else f"{answer.edition} is current"
    return f"{told} Answered {shown_moment(answer.at, zone)[:10]} by {answer.said_by}: {what}."
