"""The roster: who works on which shift; a person's posts are changed on their own page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

from pydantic import Field

from sinkside.desk import roster as desk_roster
from sinkside.desk.roster import RosterSeen, ShiftPosts
from sinkside.desk.sign_off_policy import EDIT
from sinkside.records import Post
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.sign_offs.people import person as person_page
from sinkside.web.screens.sign_offs.shelf import PLACE as SIGN_OFFS
from sinkside.web.screens.sign_offs.shelf import READ, Part, Text, screen
from sinkside.web.sign_off_words import last_day_of

PLACE: Final = f"{SIGN_OFFS}/roster"

#: So many names of a shift stand on a page; of several shifts, the first of each.
_AT_ONCE: Final = 200
_FIRST: Final = 24


@dataclass(frozen=True)
class PostLine:
    """Somebody on a shift: their page, name, and last day for agency staff."""

    address: str
    name: str
    last_day: str


@dataclass(frozen=True)
class ShiftShown:
    """A shift with whoever is on it, or the first of them; `more` leads to all of them."""

    id: str
    name: str
    hours: str
    is_on: bool
    count: int
    people: tuple[PostLine, ...]
    more: str


@dataclass(frozen=True)
class RosterPage:
    """Every shift with its people, or one of them page by page; who works here and is on no shift."""

    title: str
    address: str
    list: str
    shift: str
    shifts: tuple[ShiftShown, ...]
    without: tuple[Option, ...]
    without_count: int
    before: str
    after: str


class PostForm(Form):
    """A shift, and the last day on it for agency staff."""

    shift: str = Field(max_length=200)
    last_day: date | None = None


class OffForm(Form):
    """The shift that somebody leaves."""

    shift: str = Field(max_length=200)


@screen.page(PLACE, right=READ, template="roster.html")
def roster(asked: Asked, *, shift: Text = "", part: Part = 1) -> RosterPage:
    """Who works on which shift."""
    seen = desk_roster.see_roster(asked.archive, asked.visitor, shift, now=asked.now)
    if shift and not seen.shifts:
        seen = desk_roster.see_roster(asked.archive, asked.visitor, now=asked.now)
    chosen = [one for one in seen.shifts if one.shift.id == shift]
    start = (part - 1) * _AT_ONCE
    address = asked.at("/sign-offs/roster")
    longest = len(chosen[0].posts) if chosen else 0
    return RosterPage(
        title="Roster",
        address=address,
        list=asked.at("/sign-offs"),
        shift=shift if chosen else "",
        shifts=tuple(
            _shift(asked, seen, one, one.posts[start : start + _AT_ONCE] if chosen else one.posts[:_FIRST])
            for one in chosen or seen.shifts
        ),
        without=tuple(
            Option(asked.at(f"/sign-offs/people/{person}"), seen.names[person])
            for person in (() if chosen else seen.without[:_FIRST])
        ),
        without_count=0 if chosen else len(seen.without),
        before=f"{address}?shift={shift}&part={part - 1}" if chosen and part > 1 else "",
        after=f"{address}?shift={shift}&part={part + 1}" if longest > start + _AT_ONCE else "",
    )


@screen.act(f"{PLACE}/{{person}}", right=EDIT, form=PostForm, page=person_page)
def put_on(asked: Asked, form: PostForm, person: str) -> Done:
    """Put somebody on a shift, or change their last day."""
    desk_roster.post(asked.archive, asked.visitor, person, form.shift, last_day=form.last_day, now=asked.now)
    return Done(go=asked.at(f"/sign-offs/people/{person}"), said="The roster is changed.")


@screen.act(f"{PLACE}/{{person}}/end", right=EDIT, form=OffForm, page=person_page)
def take_off(asked: Asked, form: OffForm, person: str) -> Done:
    """Take somebody off a shift."""
    desk_roster.take_off(asked.archive, asked.visitor, person, form.shift, now=asked.now)
    return Done(go=asked.at(f"/sign-offs/people/{person}"), said="The roster is changed.")


def _shift(asked: Asked, seen: RosterSeen, one: ShiftPosts, posts: tuple[Post, ...]) -> ShiftShown:
    days = ", ".join(day.value.capitalize() for day in one.shift.days)
    return ShiftShown(
        id=one.shift.id,
        name=one.shift.name,
        hours=f"{one.shift.begins}–{one.shift.ends}" + (f", {days}" if days else ""),
        is_on=one.is_on,
        count=len(one.posts),
        people=tuple(
            PostLine(
                asked.at(f"/sign-offs/people/{post.person}"),
                seen.names[post.person],
                last_day_of(post.until, asked.visitor.zone) if post.until else "",
            )
            for post in posts
        ),
        more=asked.at(f"/sign-offs/roster?shift={one.shift.id}") if len(one.posts) > len(posts) else "",
    )
