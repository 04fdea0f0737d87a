"""Indicators: what is to be read, what was read, the lots; and what a load must show before its release."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from pydantic import Field

from sinkside.bench.recall import CauseKind
from sinkside.desk import indicator_list, indicator_reading
from sinkside.desk import indicators as desk_indicators
from sinkside.desk.indicator_documents import Indicator, LoadHeld
from sinkside.desk.indicator_list import LotInUse
from sinkside.desk.people import names_of
from sinkside.errors import BadInput
from sinkside.records import Row
from sinkside.web.asked import Asked
from sinkside.web.needed_shown import NeededShown, needed_shown
from sinkside.web.recall_links import recall_link
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Option, Screen
from sinkside.web.screens.cycle_list import READ
from sinkside.web.typed_moments import read_moment, typed

screen = Screen("indicators")

_RECORD: Final = "indicator-record"

#: Outcomes as people read them, with their mark's kind.
_OUTCOMES: Final[Mapping[str, tuple[str, str]]] = {
    "waiting": ("Incubates", "note"),
    "negative": ("No growth", "met"),
    "positive": ("Growth", "stop"),
    "not-valid": ("Says nothing", "concern"),
    "passed": ("Changed", "met"),
    "failed": ("Not changed", "stop"),
}


@dataclass(frozen=True)
class IndicatorLine:
    """One indicator: where it is, its lot, the machine, its load, how it stands; from when it is read."""

    address: str
    lot: str
    kind: str
    machine: str
    cycle: str
    words: str
    mark: str
    at: str
    read_from: str
    is_late: bool


@dataclass(frozen=True)
class LotLine:
    """One lot: name and number, kind, last day and whether it is over, hours until it is read."""

    words: str
    kind: str
    expires: str
    is_expired: bool
    hours: str


@dataclass(frozen=True)
class IndicatorsPage:
    """What waits to be read, the first due first; what was read lately; the lots, and a form for new ones."""

    title: str
    address: str
    waiting: tuple[IndicatorLine, ...]
    late: int
    read: tuple[IndicatorLine, ...]
    lots: tuple[LotLine, ...]


@dataclass(frozen=True)
class IndicatorPage:
    """One indicator: what it is of, how it stands, who did the last step; whether it waits and may be read.

    `read_from` says from when on no growth is a result; `is_over` whether that is now. `recall` is where one
    looks at what a failed one reaches; empty for one that did not fail.
    """

    title: str
    address: str
    indicators: str
    cycle: str
    machine: str
    kind: str
    words: str
    mark: str
    started: str
    read_from: str
    is_over: bool
    waits: bool
    control: str
    note: str
    by: str
    at: str
    recall: str


@dataclass(frozen=True)
class BeforeReleasePage:
    """A load before its release: what must be there, what it held, its indicators, the lots to choose from.

    Attributes:
        title: the machine and the program.
        address: of the page.
        cycle: the cycle's page, where one decides.
        file: the name of the recorder's file.
        needed: what must be there, and what of it is.
        held: what was said of the load, in a sentence; empty while nothing was.
        implant: yes or no as it was said; empty before.
        indicators: those of this load.
        chemical_lots: the lots of chemical indicators that are not expired.
        biological_lots: the same of biological ones.
        started: this moment, as the form takes it.
        lots: where lots are added.
    """

    title: str
    address: str
    cycle: str
    file: str
    needed: tuple[NeededShown, ...]
    held: str
    implant: str
    indicators: tuple[IndicatorLine, ...]
    chemical_lots: tuple[Option, ...]
    biological_lots: tuple[Option, ...]
    started: str
    lots: str


class NewLot(Form):
    """A lot of indicators as printed on its box."""

    kind: Literal["biological", "chemical"]
    name: str = Field("", max_length=200)
    lot: str = Field("", max_length=200)
    expires: str = Field("", max_length=10)
    hours: str = Field("", max_length=10)


class ReadIndicator(Form):
    """What the indicator of the load and the control of its lot show."""

    grew: Literal["yes", "no"]
    control: Literal["yes", "no"]
    note: str = Field("", max_length=4000)


class HeldLoad(Form):
    """What the load held."""

    implant: Literal["yes", "no"]
    words: str = Field("", max_length=4000)


class Chemical(Form):
    """What the chemical indicator of the load shows."""

    chemical_lot: str = Field(max_length=100)
    changed: Literal["yes", "no"]


class Biological(Form):
    """The biological indicator of the load, and when it began to incubate, on the department's clocks."""

    biological_lot: str = Field(max_length=100)
    started: str = Field("", max_length=30)


@screen.page(
    f"{DEPARTMENT}/indicators", right=READ, template="indicators.html", nav=Nav("Indicators", 33, "machines")
)
def indicators(asked: Asked) -> IndicatorsPage:
    """What is to be read, what was read, and the lots."""
    found = indicator_list.find_indicators(asked.archive, asked.visitor, now=asked.now)
    waiting = tuple(_row_line(asked, row) for row in found.waiting)
    return IndicatorsPage(
        title="Indicators",
        address=asked.at("/indicators"),
        waiting=waiting,
        late=sum(one.is_late for one in waiting),
        read=tuple(_row_line(asked, row) for row in found.read),
        lots=tuple(
            LotLine(
                one.words, one.kind, one.expires, one.is_expired, f"{one.hours:g} h" if one.hours else "–"
            )
            for one in found.lots
        ),
    )


@screen.act(f"{DEPARTMENT}/indicators", right=_RECORD, form=NewLot, page=indicators)
def add_lot(asked: Asked, form: NewLot) -> Done:
    """Add a lot of indicators."""
    try:
        expires = date.fromisoformat(form.expires)
    except ValueError as error:
        raise BadInput("expected the last day, such as 2027-05-31", resource="expires") from error
    hours = _hours(form.hours) if form.hours.strip() else None
    desk_indicators.add_lot(
        asked.archive,
        asked.visitor,
        form.kind,
        name=form.name,
        lot=form.lot,
        expires=expires,
        hours=hours,
        now=asked.now,
    )
    return Done(go=asked.at("/indicators"), said="The lot is kept.")


@screen.page(f"{DEPARTMENT}/indicators/{{indicator}}", right=READ, template="indicator.html")
def indicator(asked: Asked, indicator: str) -> IndicatorPage:
    """One indicator, to be read."""
    known = indicator_list.open_indicator(asked.archive, asked.visitor, indicator)
    zone = asked.visitor.zone
    words, mark = _OUTCOMES[known.outcome]
    grew = known.control_grew
    return IndicatorPage(
        title=known.lot_words,
        address=asked.at(f"/indicators/{indicator}"),
        indicators=asked.at("/indicators"),
        cycle=asked.at(f"/cycles/{known.cycle}"),
        machine=known.machine_name,
        kind=known.kind,
        words=words,
        mark=mark,
        started=shown_moment(known.started, zone),
        read_from=shown_moment(known.read_from, zone) if known.read_from else "",
        is_over=known.read_from is not None and known.read_from <= asked.now,
        waits=known.outcome == "waiting",
        control="" if grew is None else "grew" if grew else "did not grow",
        note=known.note,
        by=names_of(asked.archive, [known.by])[known.by],
        at=shown_moment(known.at, zone),
        recall=_recall(asked, known) if mark == "stop" else "",
    )


@screen.act(f"{DEPARTMENT}/indicators/{{indicator}}", right=_RECORD, form=ReadIndicator, page=indicator)
def read_indicator(asked: Asked, form: ReadIndicator, indicator: str) -> Done:
    """Read a biological indicator and its control; growth takes the sterilizer out of use."""
    read = indicator_reading.read_biological(
        asked.archive,
        asked.visitor,
        indicator,
        grew=form.grew == "yes",
        control_grew=form.control == "yes",
        note=form.note,
        now=asked.now,
    )
    if read.out_of_use:
        said = f"Growth: {read.indicator.machine_name} is out of use, {len(read.loads)} loads are listed."
        return Done(go=asked.at(f"/machines/{read.indicator.machine}"), said=said)
    return Done(go=asked.at(f"/indicators/{indicator}"), said=f"{_OUTCOMES[read.indicator.outcome][0]}.")


@screen.page(f"{DEPARTMENT}/cycles/{{cycle}}/before-release", right=READ, template="before_release.html")
def before_release(asked: Asked, cycle: str) -> BeforeReleasePage:
    """What a load must show before its release, and where one records it."""
    known = indicator_list.load_before_release(asked.archive, asked.visitor, cycle, now=asked.now)
    held = known.held
    return BeforeReleasePage(
        title=f"{known.cycle.record.machine_name}: {known.cycle.record.program.name}",
        address=asked.at(f"/cycles/{cycle}/before-release"),
        cycle=asked.at(f"/cycles/{cycle}"),
        file=known.cycle.record.file_name,
        needed=needed_shown(known.needed),
        held=_held(held) if held else "",
        implant="" if held is None else "yes" if held.implant else "no",
        indicators=tuple(_indicator_line(asked, one_id, one) for one_id, one in known.indicators),
        chemical_lots=_choices(known.lots, "chemical"),
        biological_lots=_choices(known.lots, "biological"),
        started=typed(asked, asked.now),
        lots=asked.at("/indicators"),
    )


_OF_LOAD: Final = f"{DEPARTMENT}/cycles/{{cycle}}/before-release"


@screen.act(f"{_OF_LOAD}/load", right=_RECORD, form=HeldLoad, page=before_release)
def say_load(asked: Asked, form: HeldLoad, cycle: str) -> Done:
    """Say what a load held."""
    desk_indicators.say_load(
        asked.archive, asked.visitor, cycle, implant=form.implant == "yes", words=form.words, now=asked.now
    )
    return Done(go=asked.at(f"/cycles/{cycle}/before-release"), said="What the load held is kept.")


@screen.act(f"{_OF_LOAD}/chemical", right=_RECORD, form=Chemical, page=before_release)
def look_at_chemical(asked: Asked, form: Chemical, cycle: str) -> Done:
    """Record what the chemical indicator of a load shows."""
    desk_indicators.look_at_chemical(
        asked.archive,
        asked.visitor,
        cycle,
        form.chemical_lot,
        passed=form.changed == "yes",
        now=asked.now,
    )
    return Done(go=asked.at(f"/cycles/{cycle}/before-release"), said="The chemical indicator is kept.")


@screen.act(f"{_OF_LOAD}/biological", right=_RECORD, form=Biological, page=before_release)
def place_biological(asked: Asked, form: Biological, cycle: str) -> Done:
    """Record that the biological indicator of a load incubates."""
    started = read_moment(
        asked, form.started, field="started", expected="expected when it began, such as 2026-05-31T14:20"
    )
    desk_indicators.place_biological(
        asked.archive, asked.visitor, cycle, form.biological_lot, started=started, now=asked.now
    )
    return Done(go=asked.at(f"/cycles/{cycle}/before-release"), said="The biological indicator incubates.")


def _recall(asked: Asked, known: Indicator) -> str:
    """Where one looks at what a failed indicator reaches."""
    how = "grew" if known.kind == "biological" else "did not change"
    words = f"{known.lot_words}, in {known.machine_name}, {how}."
    return recall_link(asked, CauseKind.indicator, known.machine, cycle=known.cycle, words=words)


def _hours(text: str) -> float:
    try:
        hours = float(text.replace(",", "."))
    except ValueError:
        hours = 0.0
    if not 0 < hours <= 24 * 14:
        raise BadInput("expected hours, such as 3 or 0.5", resource="hours")
    return hours


def _held(held: LoadHeld) -> str:
    said = "With an implant" if held.implant else "No implant"
    return f"{said}: {held.words}" if held.words else f"{said}."


def _choices(lots: tuple[LotInUse, ...], kind: str) -> tuple[Option, ...]:
    return tuple(
        Option(one.id, f"{one.words}, to {one.expires}")
        for one in lots
        if one.kind == kind and not one.is_expired
    )


def _row_line(asked: Asked, row: Row) -> IndicatorLine:
    words, mark = _OUTCOMES[row.state]
    is_late = row.due is not None and row.due <= asked.now
    return IndicatorLine(
        address=asked.at(f"/indicators/{row.id}"),
        lot=row.title,
        kind=str(row.fields["kind"]),
        machine=str(row.fields["machine_name"]),
        cycle=asked.at(f"/cycles/{row.fields['cycle']}"),
        words="To be read" if is_late else words,
        mark="concern" if is_late else mark,
        at=shown_moment(row.updated, asked.visitor.zone),
        read_from=shown_moment(row.due, asked.visitor.zone) if row.due else "",
        is_late=is_late,
    )


def _indicator_line(asked: Asked, indicator: str, known: Indicator) -> IndicatorLine:
    words, mark = _OUTCOMES[known.outcome]
    waits = known.outcome == "waiting"
    is_late = waits and known.read_from is not None and known.read_from <= asked.now
    return IndicatorLine(
        address=asked.at(f"/indicators/{indicator}"),
        lot=known.lot_words,
        kind=known.kind,
        machine=known.machine_name,
        cycle=asked.at(f"/cycles/{known.cycle}"),
        words="To be read" if is_late else words,
        mark="concern" if is_late else mark,
        at=shown_moment(known.at, asked.visitor.zone),
        read_from=shown_moment(known.read_from, asked.visitor.zone) if waits and known.read_from else "",
        is_late=is_late,
    )
