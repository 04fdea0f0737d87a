"""Programmes: planned, opened, changed; what their tests show, and readings drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pydantic import Field

from sinkside.bench.programmes.programme import Method, read_value
from sinkside.bench.programmes.proof import chart_of, how_many_show
from sinkside.cycles import Trend
from sinkside.desk.machine_chart import trend_chart
from sinkside.desk.machine_policy import source_words
from sinkside.desk.people import names_of
from sinkside.desk.programmes import planning, seeing
from sinkside.desk.programmes.policy import PLAN, READ, RECORD, method_of, pass_mark, policy
from sinkside.desk.programmes.seeing import SeenProgramme
from sinkside.desk.set_texts import device_name
from sinkside.language import measure
from sinkside.limits import published
from sinkside.records import Row
from sinkside.sources import WAYS_OF_READING
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.verification.place import PLACE, screen, when

ONE: Final = f"{PLACE}/programmes/{{programme}}"
_LONGEST: Final = 2000
_RESULTS_SHOWN: Final = 40
_FEWEST_DRAWN: Final = 3


@dataclass(frozen=True)
class MethodShown:
    """A method to choose: its id and name, how it is done, whether it has numbers, whose pass mark holds."""

    id: str
    name: str
    how: str
    has_numbers: bool
    mark: str


@dataclass(frozen=True)
class NewProgrammePage:
    """The form by which a programme is planned."""

    title: str
    address: str
    back: str
    methods: tuple[MethodShown, ...]
    devices: tuple[Option, ...]
    period_days: int
    how_often: str


@dataclass(frozen=True)
class DeviceShown:
    """A device of a programme.

    Attributes:
        id: its key.
        name: what it is called.
        places: where it is tested.
        times: how many in each period.
        due: when it is due, in words.
        is_late: whether that day is over.
        why: what makes it due so soon; empty where its turn does.
        what: what is to be done after a failure; empty where there is none.
        stopped: whether work on it is stopped.
        proof: what its tests show.
        test: the address of the form of a test; empty for who may not.
        change: the address of its change; empty for who may not.
    """

    id: str
    name: str
    places: tuple[str, ...]
    times: int
    due: str
    is_late: bool
    why: str
    what: str
    stopped: bool
    proof: str
    test: str
    change: str


@dataclass(frozen=True)
class ResultLine:
    """A result in a list: its page, day, device, whether it passed, its highest reading, code and who."""

    address: str
    day: str
    device: str
    passed: bool
    worst: str
    code: str
    by: str


@dataclass(frozen=True)
class ProgrammePage:
    """One programme: what is due next at the head, what tests show, what was found.

    Attributes:
        title: its name.
        address: of the page.
        back: where everything that is verified is.
        method: by which method, and how that is done.
        mark: what passes, and who says so.
        beside: published figures that are no pass marks, each with that said.
        period: how often, in words.
        ended: when it ended; empty while it runs.
        devices: what is tested, what is due first at the head.
        needed: how many tests without a failure show what.
        chart: the highest readings as a drawing; empty where there are too few.
        results: the latest ones.
        to_add: devices that may be added; nothing for who may not plan.
        may_plan: whether the person may change it.
    """

    title: str
    address: str
    back: str
    method: tuple[str, str]
    mark: str
    beside: tuple[str, ...]
    period: str
    ended: str
    devices: tuple[DeviceShown, ...]
    needed: str
    chart: str
    results: tuple[ResultLine, ...]
    to_add: tuple[Option, ...]
    may_plan: bool


class Planning(Form):
    """What a programme is to be."""

    name: str = Field("", max_length=_LONGEST)
    method: str = Field("", max_length=100)
    at_most: str = Field("", max_length=40)
    said_by: str = Field("", max_length=_LONGEST)
    period_days: int = Field(0, ge=0, le=366)
    devices: list[str] = Field([], max_length=100)


class Adding(Form):
    """Which devices come in."""

    devices: list[str] = Field([], max_length=100)


class Changing(Form):
    """How often and where a device is tested; places stand one a line."""

    times: int = Field(1, ge=0, le=366)
    places: str = Field("", max_length=_LONGEST)


class Reasoned(Form):
    """Why."""

    reason: str = Field("", max_length=_LONGEST)


@screen.page(f"{PLACE}/programmes/new", right=PLAN, template="verification_new.html")
def new_programme(asked: Asked) -> NewProgrammePage:
    """The form by which a programme is planned."""
    rows, site = seeing.to_choose(asked.archive, asked.visitor)
    shown = []
    for key, method in policy().methods.items():
        mark = pass_mark(method, site)
        words = f"{mark.text()}: {source_words(mark.source, mark.jurisdiction)}" if mark else ""
        shown.append(MethodShown(key, method.name, method.how, method.kind == "number", words))
    return NewProgrammePage(
        title="Plan a programme of cleaning tests",
        address=asked.at("/verification/programmes/new"),
        back=asked.at("/verification"),
        methods=tuple(shown),
        devices=tuple(Option(row.id, device_name(row)) for row in rows),
        period_days=policy().period_days,
        how_often=WAYS_OF_READING[policy().how_often_read],
    )


@screen.act(f"{PLACE}/programmes/new", right=PLAN, form=Planning, page=new_programme)
def plan_programme(asked: Asked, form: Planning) -> Done:
    """Begin a programme."""
    method = method_of(form.method)
    planned = planning.Planned(
        name=form.name,
        method=form.method,
        devices=form.devices,
        at_most=_number(form.at_most) if method.kind == "number" else None,
        said_by=form.said_by,
        period_days=form.period_days,
    )
    key = planning.make_programme(asked.archive, asked.visitor, planned, now=asked.now)
    return Done(
        go=asked.at(f"/verification/programmes/{key}"), said="Planned. What is due first stands at the head."
    )


@screen.page(ONE, right=READ, template="verification_programme.html")
def programme_page(asked: Asked, programme: str) -> ProgrammePage:
    """One programme."""
    seen = seeing.see_programme(asked.archive, asked.visitor, programme, now=asked.now)
    known, may_plan = seen.programme, asked.visitor.may(PLAN) and not seen.programme.ended
    names = names_of(asked.archive, {str(row.fields["by"]) for row in seen.asked.rows[:_RESULTS_SHOWN]})
    return ProgrammePage(
        title=known.name,
        address=asked.at(f"/verification/programmes/{programme}"),
        back=asked.at("/verification"),
        method=(seen.method.name, seen.method.how),
        mark=mark_words(seen),
        beside=beside_words(seen.method),
        period=f"Each period of {known.period_days} days",
        ended=known.ended.isoformat() if known.ended else "",
        devices=_devices(asked, seen, may_plan=may_plan),
        needed=f"{how_many_show(0.05)} tests without a failure show that fewer than 5 in 100 would fail, "
        f"{how_many_show(0.1)} that fewer than 10 in 100 would.",
        chart=_chart(asked, seen),
        results=tuple(_result_line(asked, seen, row, names) for row in seen.asked.rows[:_RESULTS_SHOWN]),
        to_add=tuple(Option(row.id, device_name(row)) for row in seen.to_add) if may_plan else (),
        may_plan=may_plan,
    )


@screen.act(f"{ONE}/devices", right=PLAN, form=Adding, page=programme_page)
def add_devices(asked: Asked, form: Adding, programme: str) -> Done:
    """Add devices."""
    planning.add_devices(asked.archive, asked.visitor, programme, form.devices, now=asked.now)
    return Done(go=asked.at(f"/verification/programmes/{programme}"), said="Added.")


@screen.act(f"{ONE}/devices/{{tested}}", right=PLAN, form=Changing, page=programme_page)
def change_device(asked: Asked, form: Changing, programme: str, tested: str) -> Done:
    """Change how often and where a device is tested."""
    change = planning.OfDevice(form.times, form.places.splitlines())
    planning.change_device(asked.archive, asked.visitor, programme, tested, change, now=asked.now)
    return Done(go=asked.at(f"/verification/programmes/{programme}"), said="Changed.")


@screen.act(f"{ONE}/devices/{{tested}}/go-on", right=PLAN, form=Reasoned, page=programme_page)
def let_go_on(asked: Asked, form: Reasoned, programme: str, tested: str) -> Done:
    """Let work on a device go on."""
    planning.let_go_on(asked.archive, asked.visitor, programme, tested, reason=form.reason, now=asked.now)
    return Done(go=asked.at(f"/verification/programmes/{programme}"), said="Work goes on.")


@screen.act(f"{ONE}/end", right=PLAN, page=programme_page)
def end_programme(asked: Asked, programme: str) -> Done:
    """End a programme."""
    planning.end_programme(asked.archive, asked.visitor, programme, now=asked.now)
    return Done(go=asked.at("/verification"), said="Ended; its results stay.")


def mark_words(seen: SeenProgramme) -> str:
    """What passes, and who says so."""
    known = seen.programme
    if known.at_most is None:
        return "Nothing is seen at any place."
    return f"At most {measure(known.at_most, seen.method.unit)} at every place: {known.said_by}."


def beside_words(method: Method) -> tuple[str, ...]:
    """Published figures that are no pass marks of this test, each with what it is."""
    told = []
    for figure in (published(name) for name in method.beside):
        what = (
            "one study's observation, no limit"
            if figure.kind == "observation"
            else "for laboratory tests of a rinsed area, no pass mark at the bench"
        )
        size = figure.text().replace("cm2", "cm²")
        told.append(f"{size} – {what} ({source_words(figure.source, figure.jurisdiction)}).")
    return tuple(told)


def _number(text: str) -> float | None:
    if not text.strip():
        return None
    return read_value("pass mark", text, "", at_most=0.0).value


def _devices(asked: Asked, seen: SeenProgramme, *, may_plan: bool) -> tuple[DeviceShown, ...]:
    address = asked.at(f"/verification/programmes/{seen.key}")
    may_test = asked.visitor.may(RECORD) and not seen.programme.ended
    shown = []
    for due in seen.asked.dues:
        standing, one = seen.asked.standings[due.device.id], due.device
        shown.append(
            DeviceShown(
                id=one.id,
                name=one.name,
                places=one.places,
                times=one.times,
                due=when(due.day, seen.day),
                is_late=due.is_overdue(seen.day),
                why=due.why,
                what=standing.step.what if standing.step else "",
                stopped=standing.is_stopped,
                proof=seen.shown[one.id].sentence,
                test=f"{address}/test/{one.id}" if may_test else "",
                change=f"{address}/devices/{one.id}" if may_plan else "",
            )
        )
    return tuple(sorted(shown, key=lambda one: not one.stopped))


def _result_line(asked: Asked, seen: SeenProgramme, row: Row, names: dict[str, str]) -> ResultLine:
    worst = row.fields.get("worst")
    by = str(row.fields["by"])
    return ResultLine(
        address=asked.at(f"/verification/programmes/{seen.key}/results/{row.id}"),
        day=str(row.fields["day"]),
        device=row.title,
        passed=bool(row.fields["passed"]),
        worst=measure(float(worst), seen.method.unit) if isinstance(worst, (int, float)) else "",
        code=str(row.fields["code"] or ""),
        by=names.get(by, by),
    )


def _chart(asked: Asked, seen: SeenProgramme) -> str:
    """The highest readings from test to test; nothing where there are few, or no numbers."""
    rows = [row for row in reversed(seen.asked.rows) if isinstance(row.fields.get("worst"), (int, float))]
    if len(rows) < _FEWEST_DRAWN:
        return ""
    values = [float(row.fields["worst"] or 0) for row in rows]
    chart = chart_of(values)
    trend = Trend(
        figure="worst",
        title="Highest reading of each test",
        unit=seen.method.unit,
        decimals=1,
        cycles=tuple(row.id for row in rows),
        at=tuple(row.updated for row in rows),
        values=tuple(values),
        opening=len(rows),
        settled=chart is not None,
        centre=chart.level.centre if chart else None,
        low=max(chart.low, 0.0) if chart else None,
        high=chart.high if chart else None,
        limit=seen.programme.at_most,
    )
    days = [shown_moment(row.updated, asked.visitor.zone)[:10] for row in rows]
    return trend_chart(trend, key="worst", title=trend.title, days=days, each="test").svg
