"""Handing over: what the next shift has to know, by itself and in a note; and who took it over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from pydantic import Field

from sinkside.bench.handover import LONGEST_NOTE, Handed, HandedKind, Handover
from sinkside.desk.bench import shifts as desk
from sinkside.desk.people import names_of
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.bench.place import PLACE, screen

LIST: Final = f"{PLACE}/handover"
ONE: Final = f"{LIST}/{{handover}}"

#: In the order in which the next shift needs to know.
_KINDS: Final[Sequence[tuple[HandedKind, str]]] = (
    ("soaks", "Soaks now"),
    ("due", "To be cleaned soon"),
    ("held", "Held"),
    ("open", "Under way"),
)


@dataclass(frozen=True)
class HandedShown:
    """One thing that is handed over: set, code, where it is, what is to know, until when; if that is over."""

    name: str
    code: str
    place: str
    words: str
    until: str
    is_over: bool


@dataclass(frozen=True)
class HandedGroup:
    """Things of one kind, what presses first at the head."""

    words: str
    things: tuple[HandedShown, ...]


@dataclass(frozen=True)
class HandoverLine:
    """One handover: its page, which shift, when, by whom, its note, who took it over and when."""

    address: str
    shift: str
    at: str
    by: str
    note: str
    taken: str
    answer: str


@dataclass(frozen=True)
class ShiftsPage:
    """What nobody took over yet, what stands open now, and what was taken over lately."""

    title: str
    address: str
    waiting: tuple[HandoverLine, ...]
    now: tuple[HandedGroup, ...]
    shifts: tuple[Option, ...]
    taken: tuple[HandoverLine, ...]


@dataclass(frozen=True)
class HandoverPage:
    """One handover as it was given: what stood open then, and whether whoever reads this may take it over."""

    title: str
    address: str
    handovers: str
    line: HandoverLine
    groups: tuple[HandedGroup, ...]
    may_take: bool


class HandOver(Form):
    """Which shift hands over, and what else the next one has to know."""

    shift: str = Field("", max_length=80)
    note: str = Field("", max_length=LONGEST_NOTE)


class TakeOver(Form):
    """What whoever takes over says."""

    answer: str = Field("", max_length=LONGEST_NOTE)


@screen.page(LIST, right=desk.READ, template="bench_shifts.html")
def shifts_page(asked: Asked) -> ShiftsPage:
    """What the next shift has to know now."""
    found = desk.find_shifts(asked.archive, asked.visitor, now=asked.now)
    names = names_of(asked.archive, _people(kept for _, kept in (*found.open, *found.taken)))
    return ShiftsPage(
        title="Handover",
        address=asked.at("/bench/handover"),
        waiting=tuple(_line(asked, key, kept, names) for key, kept in found.open),
        now=_groups(asked, found.now, asked.now),
        shifts=tuple(Option(one, one) for one in found.shifts),
        taken=tuple(_line(asked, key, kept, names) for key, kept in found.taken),
    )


@screen.act(LIST, right=desk.WORK, form=HandOver, page=shifts_page)
def hand_over(asked: Asked, form: HandOver) -> Done:
    """Hand over what stands open now."""
    key = desk.hand_over(asked.archive, asked.visitor, form.shift, note=form.note, now=asked.now)
    return Done(go=asked.at(f"/bench/handover/{key}"), said="Handed over; somebody else takes it over.")


@screen.page(ONE, right=desk.READ, template="bench_handover.html")
def handover_page(asked: Asked, handover: str) -> HandoverPage:
    """One handover as it was given."""
    kept = desk.open_handover(asked.archive, asked.visitor, handover)
    line = _line(asked, handover, kept, names_of(asked.archive, _people([kept])))
    own = kept.by == asked.visitor.person
    return HandoverPage(
        title=f"Handover: {kept.shift}",
        address=line.address,
        handovers=asked.at("/bench/handover"),
        line=line,
        groups=_groups(asked, kept.handed, kept.at),
        may_take=not kept.is_taken and not own and asked.visitor.may(desk.WORK),
    )


@screen.act(ONE, right=desk.WORK, form=TakeOver, page=handover_page)
def take_over(asked: Asked, form: TakeOver, handover: str) -> Done:
    """Take it over."""
    desk.take_over(asked.archive, asked.visitor, handover, answer=form.answer, now=asked.now)
    return Done(go=asked.at("/bench/handover"), said="You took over.")


def _people(kept: Iterable[Handover]) -> set[str]:
    return {person for one in kept for person in (one.by, one.taken_by) if person}


def _groups(asked: Asked, handed: Sequence[Handed], at: datetime) -> tuple[HandedGroup, ...]:
    """What is handed over, kind by kind; of some moment, so that what was over then is told."""
    whole = Handover(shift="-", at=at, by="", handed=tuple(handed))
    groups = (
        HandedGroup(words, tuple(_shown(asked, one, at) for one in whole.of(kind))) for kind, words in _KINDS
    )
    return tuple(one for one in groups if one.things)


def _shown(asked: Asked, one: Handed, at: datetime) -> HandedShown:
    zone = ZoneInfo(asked.visitor.zone)
    until = one.until.astimezone(zone) if one.until else None
    same_day = until is not None and until.date() == at.astimezone(zone).date()
    told = until.strftime("%H:%M" if same_day else "%Y-%m-%d %H:%M") if until else ""
    over = one.until is not None and one.until <= at
    return HandedShown(one.name, one.code, one.place, one.words, told, over)


def _line(asked: Asked, key: str, kept: Handover, names: Mapping[str, str]) -> HandoverLine:
    zone = asked.visitor.zone
    taken = kept.taken_at
    return HandoverLine(
        address=asked.at(f"/bench/handover/{key}"),
        shift=kept.shift,
        at=shown_moment(kept.at, zone),
        by=names.get(kept.by, kept.by),
        note=kept.note,
        taken=f"{names.get(kept.taken_by, kept.taken_by)}, {shown_moment(taken, zone)}" if taken else "",
        answer=kept.answer,
    )
