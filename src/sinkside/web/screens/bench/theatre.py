"""Theatre's pages: a case with its sets, what is reported of each, and missing fragments to answer."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import Any, Final

from pydantic import Field, ValidationError

from sinkside.bench.case_acts import DAMAGE_WORDS, AlarmOutcome
from sinkside.bench.case_number import case_number
from sinkside.bench.tap import Tap
from sinkside.desk.bench import alarms as desk_alarms
from sinkside.desk.bench import cases as desk
from sinkside.desk.bench import theatre_view
from sinkside.desk.bench.copies import READ
from sinkside.desk.bench.tapping import tap
from sinkside.desk.bench.theatre import ISSUED, REPORT, USED
from sinkside.errors import BadInput
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.bench.arrivals import AlarmShown, alarm_shown
from sinkside.web.screens.bench.cases import STATES as CASE_STATES
from sinkside.web.screens.bench.moments import clock, room_words
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.typed_moments import read_moment, typed

CASE: Final = f"{PLACE}/cases/{{case}}"
USE: Final = f"{CASE}/used/{{copy_id}}"
THEATRE: Final = f"{PLACE}/theatre"
ANSWER: Final = f"{THEATRE}/{{alarm}}"

_OF_CASE: Final = {
    "wanted": "wanted",
    "reserved": "reserved",
    ISSUED: "issued, not reported yet",
    USED: "reported as used",
}
_OUTCOMES: Final = (
    Option(AlarmOutcome.looking.value, "we know and are looking"),
    Option(AlarmOutcome.found.value, "found"),
    Option(AlarmOutcome.not_found.value, "not found"),
)
_NOTHING: Final = Option("", "nothing")


@dataclass(frozen=True)
class SetLine:
    """One set of a case: which, how it stands there, and where it is reported; empty where it cannot be."""

    name: str
    code: str
    state: str
    report: str


@dataclass(frozen=True)
class CasePage:
    """One case: when and where, its sets, a field to scan one that was used, and a button to close it."""

    title: str
    address: str
    cases: str
    number: str
    room: str
    begins: str
    state: str
    ended: str
    sets: tuple[SetLine, ...]
    may_report: bool
    key: str


@dataclass(frozen=True)
class UsedPage:
    """What theatre is asked about one set that was used.

    Attributes:
        title: the heading.
        address: of the page, where the report is sent.
        case: the page of the case.
        number: its number.
        code: the set's code.
        last_used: what the field for the end of its use holds at first.
        tasks: what its texts ask for at the point of use.
        single_use: its parts that are thrown away after use.
        lines: its list, to choose from.
        kinds: what may be wrong.
        key: makes a report harmless that is sent twice.
    """

    title: str
    address: str
    case: str
    number: str
    code: str
    last_used: str
    tasks: tuple[Option, ...]
    single_use: tuple[Option, ...]
    lines: tuple[Option, ...]
    kinds: tuple[Option, ...]
    key: str


@dataclass(frozen=True)
class TheatrePage:
    """Missing fragments that nobody has closed, the unanswered first, and where cases are reported."""

    title: str
    address: str
    cases: str
    alarms: tuple[AlarmShown, ...]
    outcomes: tuple[Option, ...]
    may_answer: bool
    key: str


class Scanned(Form):
    """A code that a scanner read."""

    code: str = Field("", max_length=120)


class Keyed(Form):
    """An act that is sent once, however often the button is pressed."""

    key: str = Field("", max_length=80)


class Used(Keyed):
    """What theatre reports of one set."""

    last_used: str = Field("", max_length=40)
    done: list[str] = Field([], max_length=99)
    discarded: list[str] = Field([], max_length=99)
    damaged: str = Field("", max_length=10)
    kind: str = Field("", max_length=20)
    missing: str = Field("", max_length=10)
    missing_count: int = Field(1, ge=1, le=99)


class Answered(Keyed):
    """What theatre answers to a missing fragment."""

    case: str = Field("", max_length=60)
    outcome: str = Field("", max_length=20)


@screen.page(CASE, right=READ, template="bench_case.html")
def case_page(asked: Asked, case: str) -> CasePage:
    """One case, and what is reported of its sets."""
    seen = desk.open_case(asked.archive, asked.visitor, case)
    may_report = asked.visitor.may(REPORT) and not seen.closed
    here = asked.at(f"/bench/cases/{case}")
    return CasePage(
        title=f"Case {seen.case.number}",
        address=here,
        cases=asked.at("/bench/cases"),
        number=seen.case.number,
        room=room_words(seen.case.room),
        begins=clock(asked, seen.case.begins),
        state=CASE_STATES.get(seen.case.state, seen.case.state),
        ended=clock(asked, seen.case.ended) if seen.case.ended else "",
        sets=tuple(_set(here, one, may_report=may_report) for one in seen.sets),
        may_report=may_report,
        key=_key(),
    )


@screen.act(f"{CASE}/scan", right=REPORT, form=Scanned, page=case_page)
def scan_used(asked: Asked, form: Scanned, case: str) -> Done:
    """Open the report of the set whose code was scanned."""
    desk.open_case(asked.archive, asked.visitor, case)
    copy = theatre_view.scanned(asked.archive, asked.visitor, form.code)
    return Done(go=asked.at(f"/bench/cases/{case}/used/{copy}"))


@screen.act(f"{CASE}/close", right=REPORT, form=Keyed, page=case_page)
def close_case(asked: Asked, form: Keyed, case: str) -> Done:
    """Close a case."""
    seen = desk.open_case(asked.archive, asked.visitor, case)
    said = _tapped(asked, form.key, {"act": "close-case", "case": seen.case.number})
    return Done(go=asked.at("/bench/cases"), said=said)


@screen.page(USE, right=REPORT, template="bench_used.html")
def used_page(asked: Asked, case: str, copy_id: str) -> UsedPage:
    """What theatre is asked about one set."""
    seen = desk.open_case(asked.archive, asked.visitor, case)
    found = theatre_view.use_asked(asked.archive, asked.visitor, copy_id, now=asked.now)
    return UsedPage(
        title=f"{found.copy.name}, used",
        address=asked.at(f"/bench/cases/{case}/used/{copy_id}"),
        case=asked.at(f"/bench/cases/{case}"),
        number=seen.case.number,
        code=found.copy.code,
        last_used=typed(asked, asked.now),
        tasks=tuple(Option(one.id, f"{one.member}: {one.words}") for one in found.tasks),
        single_use=tuple(Option(part, words) for part, words in found.thrown_away.items()),
        lines=(_NOTHING, *(Option(one.id, one.words) for one in found.lines)),
        kinds=tuple(Option(kind.value, words) for kind, words in DAMAGE_WORDS.items()),
        key=_key(),
    )


@screen.act(USE, right=REPORT, form=Used, page=used_page)
def report_used(asked: Asked, form: Used, case: str, copy_id: str) -> Done:
    """Keep what theatre reports of one set, and start its soil clock."""
    seen = desk.open_case(asked.archive, asked.visitor, case)
    found = theatre_view.use_asked(asked.archive, asked.visitor, copy_id, now=asked.now)
    act: dict[str, Any] = {
        "act": "report-use",
        "code": found.copy.code,
        "case": seen.case.number,
        "last_used": read_moment(asked, form.last_used, field="last_used"),
        "treated": bool(form.done),
        "undone": [one.id for one in found.tasks if one.id not in form.done] if form.done else [],
        "discarded": form.discarded,
        "damaged": [{"line": form.damaged, "kind": form.kind}] if form.damaged else [],
        "missing": [{"line": form.missing, "count": form.missing_count}] if form.missing else [],
    }
    return Done(go=asked.at(f"/bench/cases/{case}"), said=_tapped(asked, form.key, act))


@screen.page(THEATRE, right=READ, template="bench_theatre.html")
def theatre_page(asked: Asked) -> TheatrePage:
    """What theatre must know now: missing fragments."""
    return TheatrePage(
        title="Theatre",
        address=asked.at("/bench/theatre"),
        cases=asked.at("/bench/cases"),
        alarms=tuple(alarm_shown(asked, one) for one in desk_alarms.alarms(asked.archive, asked.visitor)),
        outcomes=_OUTCOMES,
        may_answer=asked.visitor.may(REPORT),
        key=_key(),
    )


@screen.act(ANSWER, right=REPORT, form=Answered, page=theatre_page)
def answer_alarm(asked: Asked, form: Answered, alarm: str) -> Done:
    """Answer a missing fragment, with the number of the case."""
    told = desk_alarms.open_alarm(asked.archive, asked.visitor, alarm)
    act = {
        "act": "acknowledge-alarm",
        "alarm": told.id,
        "case": case_number(form.case),
        "outcome": form.outcome or AlarmOutcome.looking.value,
    }
    return Done(go=asked.at("/bench/theatre"), said=_tapped(asked, form.key, act))


def _set(here: str, one: desk.SetOfCase, *, may_report: bool) -> SetLine:
    can = may_report and one.copy and one.state in {ISSUED, "reserved"}
    return SetLine(
        name=one.name,
        code=one.code,
        state=_OF_CASE.get(one.state, one.state),
        report=f"{here}/used/{one.copy}" if can else "",
    )


def _key() -> str:
    return f"form-{secrets.token_hex(8)}"


def _tapped(asked: Asked, key: str, act: dict[str, Any]) -> str:
    """Do one act by the road of all taps, and say what came of it.

    Raises:
        BadInput: if it was refused: why.
    """
    try:
        one = Tap.model_validate({"key": key or _key(), "at": asked.now, "act": act})
    except ValidationError as error:
        fault = error.errors()[0]
        field = str(fault["loc"][-1])
        raise BadInput("expected one of what the form offers", resource=field) from error
    tapped = tap(asked.archive, asked.visitor, [one], now=asked.now)[0]
    if tapped.outcome == "refused":
        raise BadInput(tapped.said)
    return tapped.said
