"""Codes of sets: which physical sets there are, how each stands, and the form that gives one its code."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query
from pydantic import Field

from sinkside.desk import sets
from sinkside.desk.bench import copies
from sinkside.records import Row, WantedCopies
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.bench.guide import stands_in_words, station_of
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.screens.bench.shown import FrameShown, frame

_COPIES: Final = f"{PLACE}/copies"
_MOST: Final = 200


@dataclass(frozen=True)
class CopyShown:
    """A physical set: its id, code, name, page, how it stands and where it is."""

    id: str
    code: str
    name: str
    address: str
    stands: str
    place: str


@dataclass(frozen=True)
class CopiesPage:
    """The physical sets that have a code, found by words in name or code, and the sets to give one to."""

    title: str
    frame: FrameShown
    address: str
    text: str
    copies: tuple[CopyShown, ...]
    sets: tuple[Option, ...]


class NewCopy(Form):
    """A code, which set it is on, and what this one is called where there are several."""

    key: str = Field(max_length=100)
    code: str = Field(max_length=200)
    name: str = Field("", max_length=120)


class Retired(Form):
    """Which physical set is taken out of use for good, by its code, and why."""

    retired: str = Field(max_length=200)
    why: str = Field("", max_length=500)


@screen.page(_COPIES, right=copies.READ, template="bench_copies.html")
def copies_page(asked: Asked, *, text: Annotated[str, Query(max_length=100)] = "") -> CopiesPage:
    """The physical sets that have a code."""
    wanted = WantedCopies(text=text.strip(), limit=_MOST)
    found = copies.find_copies(asked.archive, asked.visitor, wanted)
    may_add = asked.visitor.may(copies.EDIT)
    return CopiesPage(
        title="Sets with a code",
        frame=frame(asked, here=asked.at("/bench/copies")),
        address=asked.at("/bench/copies"),
        text=text,
        copies=tuple(
            CopyShown(
                id=one.id,
                code=one.code,
                name=one.name,
                address=asked.at(f"/bench/at/{station_of(one)}/{one.id}"),
                stands=stands_in_words(one),
                place=one.place,
            )
            for one in found
        ),
        sets=tuple(Option(one.id, one.title) for one in (_sets(asked) if may_add else ())),
    )


def _sets(asked: Asked) -> list[Row]:
    return sets.list_sets(asked.archive, asked.visitor, states=(sets.IN_USE,), limit=_MOST)


@screen.act(f"{_COPIES}/retire", right=copies.EDIT, form=Retired, page=copies_page)
def retire(asked: Asked, form: Retired) -> Done:
    """Take a physical set out of use for good."""
    copies.take_out_of_use(asked.archive, asked.visitor, form.retired, why=form.why, now=asked.now)
    return Done(go=asked.at("/bench/copies"), said=f"{form.retired.strip()} is out of use.")


@screen.act(_COPIES, right=copies.EDIT, form=NewCopy, page=copies_page)
def add(asked: Asked, form: NewCopy) -> Done:
    """Give a physical set its code."""
    copies.add_copy(asked.archive, asked.visitor, form.key, code=form.code, name=form.name, now=asked.now)
    return Done(go=asked.at("/bench/copies"), said=f"The code {form.code.strip()} is known now.")
