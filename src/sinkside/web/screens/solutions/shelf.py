"""Solutions at the sink: what must be discarded now, what is in use, what was discarded; and one of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final
from urllib.parse import quote
from zoneinfo import ZoneInfo

from pydantic import Field

from sinkside.bench.recall import CauseKind
from sinkside.department import Chemical
from sinkside.desk import solution_log
from sinkside.desk.people import names_of
from sinkside.desk.solution_documents import SinkSolution
from sinkside.quantities import Range
from sinkside.web.asked import Asked
from sinkside.web.recall_links import recall_link
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Screen

screen = Screen("solutions")

READ: Final = "solution-read"
MAKE: Final = "solution-make"
PLACE: Final = f"{DEPARTMENT}/solutions"

_MINUTE_S: Final = 60
_HOUR_S: Final = 3600


@dataclass(frozen=True)
class SolutionLine:
    """One solution: its page, product, lot, how much; when made, until when it may be used, what is left."""

    address: str
    name: str
    lot: str
    water: str
    amount: str
    made: str
    discard_by: str
    left: str
    by: str


@dataclass(frozen=True)
class ChemicalLine:
    """A chemical that can be made up: where, its dose, its temperatures, how long it may be used.

    `address` is empty where its dose is not known.
    """

    address: str
    name: str
    dose: str
    window: str
    use_within: str


@dataclass(frozen=True)
class SolutionsPage:
    """What must be discarded now, what is in use, what can be made up, what was discarded lately."""

    title: str
    overdue: tuple[SolutionLine, ...]
    in_use: tuple[SolutionLine, ...]
    chemicals: tuple[ChemicalLine, ...]
    discarded: tuple[SolutionLine, ...]


@dataclass(frozen=True)
class RemarkShown:
    """What speaks against a solution without refusing it: level and sentence."""

    level: str
    sentence: str


@dataclass(frozen=True)
class SolutionPage:
    """One solution.

    Attributes:
        title: its product and how much water.
        address: of the page.
        solutions: where the list is.
        line: the same as in the list.
        is_over: whether it must be discarded now.
        is_discarded: whether it was.
        dose: how it was dosed.
        water: the water: from where, how warm, how hard; each with its name.
        lot_until: the last day of the lot; empty where nobody said it.
        remarks: what spoke against it without refusing it.
        discarded: when, by whom and why it was discarded, in a sentence; empty while it is in use.
        recall: where one looks at what its lot reaches.
    """

    title: str
    address: str
    solutions: str
    line: SolutionLine
    is_over: bool
    is_discarded: bool
    dose: str
    water: tuple[tuple[str, str], ...]
    lot_until: str
    remarks: tuple[RemarkShown, ...]
    discarded: str
    recall: str


class DiscardSolution(Form):
    """Why it is discarded, where there is more to say than that its time is over."""

    why: str = Field("", max_length=2000)


@screen.page(PLACE, right=READ, template="solutions.html", nav=Nav("Solutions", 36, "machines"))
def solutions(asked: Asked) -> SolutionsPage:
    """What must be discarded now, what is in use, and what can be made up."""
    found = solution_log.find_solutions(asked.archive, asked.visitor, now=asked.now)
    every = [*found.overdue, *found.in_use, *found.discarded]
    names = names_of(asked.archive, {one.by for _, one in every})
    return SolutionsPage(
        title="Solutions at the sink",
        overdue=tuple(line(asked, key, one, names) for key, one in found.overdue),
        in_use=tuple(line(asked, key, one, names) for key, one in found.in_use),
        chemicals=tuple(chemical_line(asked, one) for one in found.chemicals),
        discarded=tuple(line(asked, key, one, names) for key, one in found.discarded),
    )


@screen.page(f"{PLACE}/{{solution}}", right=READ, template="solution.html")
def solution(asked: Asked, solution: str) -> SolutionPage:
    """One solution: of what it was made, by whom, until when it may be used."""
    known = solution_log.open_solution(asked.archive, asked.visitor, solution)
    names = names_of(asked.archive, {one for one in (known.by, known.discarded_by) if one})
    told = ""
    if known.discarded is not None:
        late = ", after its time was over" if known.discarded > known.discard_by else ""
        at = shown_moment(known.discarded, asked.visitor.zone)
        told = f"Discarded {at}{late}, {names[known.discarded_by]}{f': {known.why}' if known.why else '.'}"
    water = {
        "Water from": known.point_name,
        "Temperature": str(known.temperature or ""),
        "Hardness": f"{known.hardness} of calcium carbonate" if known.hardness else "not known",
    }
    return SolutionPage(
        title=f"{known.name}, {known.water}",
        address=asked.at(f"/solutions/{solution}"),
        solutions=asked.at("/solutions"),
        line=line(asked, solution, known, names),
        is_over=known.discarded is None and known.discard_by <= asked.now,
        is_discarded=known.discarded is not None,
        dose=str(known.dose),
        water=tuple((name, text) for name, text in water.items() if text),
        lot_until=known.lot_until,
        remarks=tuple(RemarkShown(one.level.value, one.message) for one in known.remarks),
        discarded=told,
        recall=recall_link(
            asked,
            CauseKind.chemical,
            known.chemical,
            lot=known.lot,
            words=f"Something is wrong with {known.name}, lot {known.lot}.",
        ),
    )


@screen.act(f"{PLACE}/{{solution}}/discard", right=MAKE, form=DiscardSolution, page=solution)
def discard(asked: Asked, form: DiscardSolution, solution: str) -> Done:
    """Keep that a solution was discarded."""
    done = solution_log.discard(asked.archive, asked.visitor, solution, why=form.why, now=asked.now)
    return Done(go=asked.at("/solutions"), said=f"{done.name}, {done.water}: discarded.")


def line(asked: Asked, key: str, one: SinkSolution, names: Mapping[str, str]) -> SolutionLine:
    """A solution as the list shows it."""
    zone = asked.visitor.zone
    return SolutionLine(
        address=asked.at(f"/solutions/{key}"),
        name=one.name,
        lot=one.lot,
        water=str(one.water),
        amount=str(one.amount),
        made=clock_words(one.made, asked.now, zone),
        discard_by=clock_words(one.discard_by, asked.now, zone),
        left=_left(one, asked.now, zone),
        by=names[one.by],
    )


def chemical_line(asked: Asked, one: Chemical) -> ChemicalLine:
    """A chemical as the list of those that can be made up shows it."""
    return ChemicalLine(
        address=asked.at(f"/solutions/new?chemical={quote(one.id)}") if one.dose else "",
        name=one.name,
        dose=range_words(one.dose),
        window=range_words(one.temperature),
        use_within=str(one.use_within or ""),
    )


def range_words(known: Range | None) -> str:
    """A range as people say it; nothing where there is none."""
    if known is None:
        return ""
    if known.min and known.max:
        return str(known.min) if known.min == known.max else f"{known.min} to {known.max}"
    return f"at least {known.min}" if known.min else f"at most {known.max}"


def clock_words(moment: datetime, now: datetime, zone: str) -> str:
    """A moment as a clock shows it; another day is named."""
    there, today = (one.astimezone(ZoneInfo(zone)) for one in (moment, now))
    clock = there.strftime("%H:%M")
    return clock if there.date() == today.date() else f"{clock} on {there.date().isoformat()}"


def span_words(span: timedelta) -> str:
    """A time as people say it: 3 h 10 min.

    >>> span_words(timedelta(minutes=190))
    '3 h 10 min'
    """
    minutes = int(span.total_seconds() // _MINUTE_S)
    hours, rest = divmod(minutes, _HOUR_S // _MINUTE_S)
    parts = [f"{hours} h"] if hours else []
    return " ".join([*parts, f"{rest} min"]) if rest or not parts else parts[0]


def _left(one: SinkSolution, now: datetime, zone: str) -> str:
    if one.discarded is not None:
        return f"discarded {clock_words(one.discarded, now, zone)}"
    if one.discard_by <= now:
        return f"over for {span_words(now - one.discard_by)}"
    return f"{span_words(one.discard_by - now)} left"
