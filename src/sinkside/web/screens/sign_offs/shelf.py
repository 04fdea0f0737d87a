"""Sign-offs: what is to be done next, kind by kind, of everybody or of one shift; people found by name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query

from sinkside.desk import sign_off_policy
from sinkside.desk.sign_off_lists import MOST_COUNTED, TO_DO, Seen, ToDo, ToDoList, what_is_to_do
from sinkside.desk.sign_off_people import people_called
from sinkside.teach.sign_offs import State
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Nav, Option, Screen
from sinkside.web.sign_off_words import STATES, StateShown, since_said, state_shown, stations_said

screen = Screen("sign-offs")

READ: Final = sign_off_policy.READ
GIVE: Final = sign_off_policy.GIVE
PLACE: Final = f"{DEPARTMENT}/sign-offs"

Text = Annotated[str, Query(max_length=200)]
Offset = Annotated[int, Query(ge=0, le=10_000_000)]
Part = Annotated[int, Query(ge=1, le=10_000)]

_FIRST: Final = 12
_AT_ONCE: Final = 60


@dataclass(frozen=True)
class ToDoLine:
    """One person and family with the stations concerned: where both open, and since or until when."""

    person: str
    name: str
    family: str
    family_name: str
    stations: str
    since: str


@dataclass(frozen=True)
class ToDoSection:
    """What is to be done of one kind: its first lines, how many in words, and where the rest is."""

    state: StateShown
    lines: tuple[ToDoLine, ...]
    total: str
    all: str
    more: str


@dataclass(frozen=True)
class SignOffsPage:
    """What is to be done next, kind by kind, or one kind page by page; people found by name.

    Attributes:
        title: the heading.
        address: of the page.
        shift: the shift that is shown; empty for all.
        state: the kind that is shown; empty for all.
        text: the name that was searched for.
        shifts: the shifts to choose from.
        states: the kinds to choose from.
        sections: what is to be done.
        found: who was found, where they open.
        weeks: how many weeks ahead an end is told.
    """

    title: str
    address: str
    shift: str
    state: str
    text: str
    shifts: tuple[Option, ...]
    states: tuple[Option, ...]
    sections: tuple[ToDoSection, ...]
    found: tuple[Option, ...]
    weeks: int


@screen.page(PLACE, right=READ, template="sign_offs.html", nav=Nav("Sign-offs", 39, "people"))
def sign_offs(
    asked: Asked, *, shift: Text = "", state: Text = "", text: Text = "", offset: Offset = 0
) -> SignOffsPage:
    """What is to be done next about sign-offs, the most pressing first."""
    wanted = State(state) if state in {one.value for one in TO_DO} else None
    seen = what_is_to_do(
        asked.archive,
        asked.visitor,
        now=asked.now,
        shift=shift,
        state=wanted,
        offset=offset if wanted else 0,
        limit=_AT_ONCE if wanted else _FIRST,
    )
    return SignOffsPage(
        title="Sign-offs",
        address=asked.at("/sign-offs"),
        shift=shift,
        state=wanted.value if wanted else "",
        text=text,
        shifts=(Option("", "Every shift"), *(Option(*one) for one in seen.shifts.items())),
        states=(Option("", "All that is to be done"), *(Option(one.value, STATES[one][1]) for one in TO_DO)),
        sections=tuple(_section(asked, seen, one, shift) for one in seen.lists if one.lines or wanted),
        found=_found(asked, text),
        weeks=seen.ahead.days // 7,
    )


def _section(asked: Asked, seen: Seen, listed: ToDoList, shift: str) -> ToDoSection:
    by_kind = asked.at(f"/sign-offs?state={listed.state.value}&shift={shift}")
    next_page = f"{by_kind}&offset={listed.next_offset}" if listed.next_offset else ""
    total = f"more than {MOST_COUNTED}" if listed.total > MOST_COUNTED else str(listed.total)
    return ToDoSection(
        state=state_shown(listed.state),
        lines=tuple(_line(asked, seen, listed.state, one) for one in listed.lines),
        total=f"{total} {'sign-off' if listed.total == 1 else 'sign-offs'}",
        all=by_kind,
        more=next_page,
    )


def _line(asked: Asked, seen: Seen, state: State, one: ToDo) -> ToDoLine:
    return ToDoLine(
        person=asked.at(f"/sign-offs/people/{one.person}?family={one.family}"),
        name=seen.names[one.person],
        family=asked.at(f"/sign-offs/families/{one.family}"),
        family_name=seen.families[one.family],
        stations=stations_said(one.stations),
        since=since_said(one.first, state, asked.visitor.zone),
    )


def _found(asked: Asked, text: str) -> tuple[Option, ...]:
    if not text.strip():
        return ()
    people = people_called(asked.archive, asked.visitor, text, now=asked.now)
    return tuple(Option(asked.at(f"/sign-offs/people/{person}"), name) for person, name in people)
