"""One machine, room or water point: its day and its days, checks recorded, out of use and back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pydantic import Field

from sinkside.bench.recall import CauseKind
from sinkside.desk import indicator_list, machine_checks, machine_pages, machine_standing
from sinkside.desk.machine_days import findings_of
from sinkside.desk.machine_documents import WHY_WORDS
from sinkside.desk.machine_drawing import DAY_WORDS, days_svg, mark_svg
from sinkside.desk.machine_pages import OpenThing
from sinkside.desk.machine_policy import Asked as AskedHere
from sinkside.desk.machine_policy import Needed
from sinkside.desk.machine_trends import machine_trends
from sinkside.desk.people import names_of
from sinkside.errors import NotThere
from sinkside.web.asked import Asked
from sinkside.web.machine_shown import (
    CauseShown,
    CheckShown,
    DayShown,
    DueShown,
    FindingShown,
    LoadsShown,
    ShownLine,
    cause_shown,
    check_shown,
    day_shown,
    due_shown,
    loads_shown,
    returned_shown,
)
from sinkside.web.machine_words import STATE_WORDS
from sinkside.web.recall_links import recall_link
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Option, Screen
from sinkside.web.screens.machines import READ
from sinkside.web.trends_shown import ProgramShown, programs_shown

screen = Screen("machine")

_CHECK: Final = "machine-check"
_RETURN: Final = "machine-return"
_CHECKS_SHOWN: Final = 12
_DAYS_ON_A_PHONE: Final = 14


@dataclass(frozen=True)
class MachinePage:
    """One machine, room or water point.

    Attributes:
        title: its name.
        address: of the page.
        machines: where the list is.
        kind: what it is, in words.
        state: out-of-use, failed, overdue, due, done, nothing.
        words: the same for people.
        water: water events here that are not closed: where each is opened, what it says.
        findings: what its day has to say.
        causes: why it is out of use, the latest first; none where it is in use.
        to_show: what must be shown before it goes back.
        is_ready: whether all of that is shown.
        asked: the loads since the last good check of each kind that failed.
        dues: its checks and how they stand today.
        line: its days, drawn, for wide screens.
        line_narrow: the last of them, for phones.
        legend: each mark of the line, drawn, with its words.
        days: its days as a table, today first.
        checks: what was recorded, the latest first.
        returned: when, by whom and why it was last returned to use, in a sentence; empty where it never was.
        reasons: why a person may take it out of use.
        programs: what moves first, program by program, from cycle to cycle.
        recall: where one looks at what its failure reaches; empty for a room or tool.
    """

    title: str
    address: str
    machines: str
    kind: str
    state: str
    words: str
    water: tuple[Option, ...]
    findings: tuple[FindingShown, ...]
    causes: tuple[CauseShown, ...]
    to_show: tuple[ShownLine, ...]
    is_ready: bool
    asked: tuple[LoadsShown, ...]
    dues: tuple[DueShown, ...]
    line: str
    line_narrow: str
    legend: tuple[tuple[str, str], ...]
    days: tuple[DayShown, ...]
    checks: tuple[CheckShown, ...]
    returned: str
    reasons: tuple[Option, ...]
    programs: tuple[ProgramShown, ...]
    recall: str


@dataclass(frozen=True)
class QuestionShown:
    """One question of a check: its field, words, kind, unit, what passes, by whose word, and its choices."""

    field: str
    words: str
    kind: str
    unit: str
    passes: str
    source: str
    required: bool
    choices: tuple[Option, ...]


@dataclass(frozen=True)
class CheckPage:
    """The form of one check: how it is done, what it asks, and the records that may stand behind it."""

    title: str
    address: str
    machine: str
    machine_name: str
    how: str
    often: str
    source: str
    consequence: str
    questions: tuple[QuestionShown, ...]
    asks_record: bool
    must_have_record: bool
    records: tuple[Option, ...]


class RecordCheck(Form):
    """What was seen, in the order of the check's questions; the record behind it; anything else."""

    answer_1: str = Field("", max_length=300)
    answer_2: str = Field("", max_length=300)
    answer_3: str = Field("", max_length=300)
    answer_4: str = Field("", max_length=300)
    answer_5: str = Field("", max_length=300)
    answer_6: str = Field("", max_length=300)
    cycle: str = Field("", max_length=100)
    note: str = Field("", max_length=4000)

    @property
    def answers(self) -> list[str]:
        """The answers in order, without empty ones at the end."""
        given = [self.answer_1, self.answer_2, self.answer_3, self.answer_4, self.answer_5, self.answer_6]
        while given and not given[-1].strip():
            given.pop()
        return given


class TakeOut(Form):
    """Why a machine is taken out of use."""

    why: Literal["installation", "move", "major-repair", "other"]
    happened: str = Field("", max_length=4000)


class ReturnToUse(Form):
    """Why a machine goes back into use."""

    reason: str = Field("", max_length=4000)


@screen.page(f"{DEPARTMENT}/machines/{{machine}}", right=READ, template="machine.html")
def machine(asked: Asked, machine: str) -> MachinePage:
    """A machine's day, its days, its checks, and what is asked after where one failed."""
    known = machine_pages.open_thing(asked.archive, asked.visitor, machine, now=asked.now)
    address = asked.at(f"/machines/{machine}")
    shown = known.checks[:_CHECKS_SHOWN]
    people = [str(row.fields.get("by", "")) for row in shown]
    people += [cause.by for cause in known.standing.causes] + [known.standing.by]
    names = names_of(asked.archive, [one for one in people if one])
    name = known.thing.name
    return MachinePage(
        title=name,
        address=address,
        machines=asked.at("/machines"),
        kind=known.thing.words,
        state=known.today.state,
        words=STATE_WORDS[known.today.state],
        water=tuple(Option(asked.at(f"/verification/water/{key}"), words) for key, words in known.water),
        findings=tuple(
            FindingShown(one.level.value, one.message, one.remedy)
            for one in findings_of(known.today, asked.visitor.zone)
            if one.rule != "machine-out-of-use"
        ),
        causes=tuple(cause_shown(one, asked, names) for one in reversed(known.standing.causes)),
        to_show=tuple(
            ShownLine(one.name, one.done, one.wanted, one.is_shown, f"{address}/checks/{one.check}")
            for one in known.to_show
        ),
        is_ready=all(one.is_shown for one in known.to_show),
        asked=tuple(loads_shown(one, known, asked) for one in known.asked),
        dues=tuple(due_shown(one, address, asked) for one in known.today.dues),
        line=days_svg(known.days, key="days", name=name),
        line_narrow=days_svg(known.days[-_DAYS_ON_A_PHONE:], key="days-narrow", name=name),
        legend=tuple((mark_svg(state), words) for state, words in DAY_WORDS.items()),
        days=tuple(day_shown(one) for one in reversed(known.days)),
        checks=tuple(check_shown(one, asked, names) for one in shown),
        returned=returned_shown(known, asked, names),
        reasons=tuple(Option(why, WHY_WORDS[why].capitalize()) for why in machine_standing.SAID_BY_PEOPLE),
        programs=programs_shown(asked, machine_trends(asked.archive, asked.visitor, machine)),
        recall=_recall(asked, known),
    )


def _recall(asked: Asked, known: OpenThing) -> str:
    """Where one looks at what a failure of it reaches; with why it is out of use, where it is."""
    thing, causes = known.thing, known.standing.causes
    if not thing.machines:
        return ""
    if thing.machine is None:
        return recall_link(asked, CauseKind.water, thing.id, words=f"A result of {thing.name} was bad.")
    last = causes[-1] if causes else None
    if last is not None and last.why == "positive-biological":
        cycle = indicator_list.open_indicator(asked.archive, asked.visitor, last.evidence).cycle
        return recall_link(
            asked, CauseKind.indicator, thing.id, words=f"{thing.name}: {last.words}", cycle=cycle
        )
    words = f"{thing.name}: {last.words}" if last else ""
    return recall_link(asked, CauseKind.machine, thing.id, words=words)


@screen.page(
    f"{DEPARTMENT}/machines/{{machine}}/checks/{{check}}", right=_CHECK, template="machine_check.html"
)
def check_form(asked: Asked, machine: str, check: str) -> CheckPage:
    """The form of one check of one machine."""
    known = machine_pages.open_thing(asked.archive, asked.visitor, machine, now=asked.now)
    needed = next((one for one in known.needed if one.id == check), None)
    if needed is None or needed.check.record == "indicator":
        raise NotThere("there is no such check here", resource=check)
    records = _records(asked, known, needed)
    return CheckPage(
        title=f"{needed.check.name}: {known.thing.name}",
        address=asked.at(f"/machines/{machine}/checks/{check}"),
        machine=asked.at(f"/machines/{machine}"),
        machine_name=known.thing.name,
        how=needed.check.how,
        often="before a return to use" if needed.check.asked == "for-return" else needed.often,
        source="" if needed.check.asked == "for-return" else needed.source,
        consequence=_consequence(needed),
        questions=tuple(
            _question(one, place, has_records=bool(records)) for place, one in enumerate(needed.asked, 1)
        ),
        asks_record=bool(records) or needed.check.record == "must",
        must_have_record=needed.check.record == "must",
        records=records,
    )


@screen.act(
    f"{DEPARTMENT}/machines/{{machine}}/checks/{{check}}", right=_CHECK, form=RecordCheck, page=check_form
)
def record_check(asked: Asked, form: RecordCheck, machine: str, check: str) -> Done:
    """Record a check; one that does not pass takes the machine out of use where the policy says so."""
    kept = machine_checks.record_check(
        asked.archive,
        asked.visitor,
        machine,
        check,
        form.answers,
        note=form.note,
        cycle=form.cycle,
        now=asked.now,
    )
    done = kept.check
    said = f"{done.check_name}: {'passed' if done.passed else 'not passed'}."
    if kept.out_of_use:
        said += f" {done.thing_name} is out of use."
    if kept.loads:
        said += (
            f" {len(kept.loads)} since the last good one {'is' if len(kept.loads) == 1 else 'are'} listed."
        )
    return Done(go=asked.at(f"/machines/{machine}"), said=said)


@screen.act(f"{DEPARTMENT}/machines/{{machine}}/out-of-use", right=_CHECK, form=TakeOut, page=machine)
def take_out(asked: Asked, form: TakeOut, machine: str) -> Done:
    """Take a machine out of use, or add a reason where it is out already."""
    machine_standing.take_out_of_use(
        asked.archive, asked.visitor, machine, form.why, reason=form.happened, now=asked.now
    )
    return Done(go=asked.at(f"/machines/{machine}"), said=f"Out of use, by {asked.someone.name}.")


@screen.act(f"{DEPARTMENT}/machines/{{machine}}/in-use", right=_RETURN, form=ReturnToUse, page=machine)
def return_to_use(asked: Asked, form: ReturnToUse, machine: str) -> Done:
    """Return a machine to use, once it has shown what it must."""
    machine_standing.return_to_use(asked.archive, asked.visitor, machine, reason=form.reason, now=asked.now)
    return Done(go=asked.at(f"/machines/{machine}"), said=f"In use again, by {asked.someone.name}.")


def _consequence(needed: Needed) -> str:
    if needed.check.failed != "out-of-use":
        return "If it does not pass, that is told; nothing is taken out of use."
    loads = " and lists the loads since the last good one" if needed.check.loads else ""
    return f"If it does not pass, this takes it out of use{loads}."


def _question(one: AskedHere, place: int, *, has_records: bool) -> QuestionShown:
    question, bound = one.question, one.bound
    return QuestionShown(
        field=f"answer_{place}",
        words=question.words,
        kind=question.kind,
        unit=question.unit,
        passes=bound.text if bound else "",
        source=bound.source if bound else "",
        required=question.required and not (question.from_record and has_records),
        choices=tuple(Option(choice, choice.capitalize()) for choice in question.choices),
    )


def _records(asked: Asked, known: OpenThing, needed: Needed) -> tuple[Option, ...]:
    with asked.archive.unit(writes=False) as unit:
        cycles = machine_pages.cycles_behind(unit, asked.visitor, known.thing, needed, now=asked.now)
    return tuple(
        Option(
            one.id,
            f"{shown_moment(one.at, asked.visitor.zone)} · {one.program} · {one.outcome} · {one.file_name}",
        )
        for one in cycles
    )
