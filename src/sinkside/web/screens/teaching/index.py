"""Teaching: every device with an approved instruction, what is still to be learnt first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final
from urllib.parse import urlencode

from fastapi import Query

from sinkside.desk import lessons
from sinkside.desk.lessons import DeviceTaught
from sinkside.plain.names import calm_maker, calm_name
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Nav, Option, Screen
from sinkside.web.teaching_rooms import OF_A_DEVICE, OF_THE_HOUSE, rooms

screen: Final = Screen("teaching")

READ: Final = lessons.READ
_ON_A_PAGE: Final = 100


@dataclass(frozen=True)
class DeviceLine:
    """A device of the list.

    Attributes:
        address: of its lesson, or of only what changed where that is all that is to be learnt.
        title: what it is called.
        about: its maker, and the revision in force.
        state: `changed`, `begun`, `new` or `learnt`.
        words: how far the visitor is, and what to do.
        links: what else there is to teach it with.
    """

    address: str
    title: str
    about: str
    state: str
    words: str
    links: tuple[Option, ...]


@dataclass(frozen=True)
class TeachingPage:
    """Every device with a lesson, what is still to be learnt first.

    Attributes:
        title: the heading.
        address: of this page.
        text: what was searched for.
        devices: of this page of the list.
        newer: the page before; empty on the first.
        older: the page after; empty on the last.
        rooms: rooms of teaching that are not of one device.
        may_learn: whether this person goes through lessons in their own name.
    """

    title: str
    address: str
    text: str
    devices: tuple[DeviceLine, ...]
    newer: str
    older: str
    rooms: tuple[Option, ...]
    may_learn: bool


@screen.page(
    f"{DEPARTMENT}/teaching", right=READ, template="teaching.html", nav=Nav("Teaching", 29, "people")
)
def teaching(
    asked: Asked,
    *,
    text: Annotated[str, Query(max_length=200)] = "",
    page: Annotated[int, Query(ge=1, le=10_000)] = 1,
) -> TeachingPage:
    """Every device with an approved instruction, what is still to be learnt first."""
    found, has_more = lessons.devices(
        asked.archive,
        asked.visitor,
        text=text or None,
        limit=_ON_A_PAGE,
        offset=(page - 1) * _ON_A_PAGE,
    )
    address = asked.at("/teaching")
    return TeachingPage(
        title="Teaching",
        address=address,
        text=text,
        devices=tuple(_line(asked, one) for one in found),
        newer=_page(address, page - 1, text) if page > 1 else "",
        older=_page(address, page + 1, text) if has_more else "",
        rooms=rooms(asked, OF_THE_HOUSE),
        may_learn=asked.visitor.may(lessons.LEARN),
    )


def _page(address: str, page: int, text: str) -> str:
    return f"{address}?{urlencode({'page': page, 'text': text})}"


def _line(asked: Asked, one: DeviceTaught) -> DeviceLine:
    address = asked.at(f"/teaching/{one.row.id}")
    since = f"?since={one.known}" if one.state == "changed" else ""
    maker = calm_maker(str(one.row.fields.get("maker") or ""))
    return DeviceLine(
        address=f"{address}{since}",
        title=calm_name(one.row.title),
        about=", ".join(filter(None, (maker, f"revision {one.revision}"))),
        state=one.state,
        words=_words(asked, one),
        links=rooms(asked, OF_A_DEVICE, one.row.id),
    )


def _words(asked: Asked, one: DeviceTaught) -> str:
    """How far the visitor is with a device, and what to do."""
    if one.state == "learnt" and one.at:
        return f"You went through it, {shown_moment(one.at, asked.visitor.zone)}"
    if one.state == "changed":
        return f"You know revision {one.known}: go through what changed"
    return "Begun: go on" if one.state == "begun" else "Not yet gone through"
