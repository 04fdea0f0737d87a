"""One deviation: what is next at the head, then what was found, done, changed, and what that came to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final
from zoneinfo import ZoneInfo

from pydantic import Field

from sinkside.bench.deviations import (
    STANDING_WORDS,
    Correction,
    Counted,
    DeviationReport,
    Standing,
    Told,
    due_of,
    next_step,
)
from sinkside.bench.faults import policy
from sinkside.desk.deviations import working
from sinkside.desk.deviations.charting import PER
from sinkside.desk.deviations.charts_told import stage_words
from sinkside.desk.deviations.kept import LEAD, READ, WORK
from sinkside.desk.people import names_of
from sinkside.errors import BadInput
from sinkside.instruction import Stage
from sinkside.language import number
from sinkside.science.counts import chance_of_so_few
from sinkside.web.asked import Asked
from sinkside.web.days import midnight
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.deviations.new import minutes_of
from sinkside.web.screens.deviations.place import ONE, screen, stages

_LONGEST: Final = 500
#: A chance below this is not told more closely, in per cent.
_LEAST: Final = 0.1


@dataclass(frozen=True)
class StepTold:
    """Something that somebody said: what it was, in which words, by whom and when."""

    what: str
    words: str
    by: str


@dataclass(frozen=True)
class Fact:
    """One fact of it: its name, its words, and where it leads; empty where it leads nowhere."""

    name: str
    words: str
    address: str


@dataclass(frozen=True)
class DeviationPage:
    """One deviation.

    Attributes:
        title: its kind.
        address: its own.
        back: the list.
        words: what was found.
        standing: how it stands, in words.
        next: what is to be done next; empty once it is closed.
        due: by when; overdue where that is past.
        overdue: whether it is.
        facts: set, device, machine, case, and so on.
        steps: what was said of it, in order.
        effect: how often the fault came before and after, where there is something to look at.
        stages: where it may have begun.
        began: where it began, as far as somebody said.
        people: who may be named to correct it.
        may_measure: whether whoever reads this may say what was done at once.
        may_lead: whether they may say the cause.
        may_name: whether they may name who corrects it now.
        may_ask: whether they may ask for more than measures.
        may_correct: whether they may say that it is corrected.
        may_check: whether they may say what that came to.
        from_run: whether it is read from a run of earlier days, and nothing was said of it yet.
    """

    title: str
    address: str
    back: str
    words: str
    standing: str
    next: str
    due: str
    overdue: bool
    facts: tuple[Fact, ...]
    steps: tuple[StepTold, ...]
    effect: tuple[str, ...]
    stages: tuple[Option, ...]
    began: str
    people: tuple[Option, ...]
    may_measure: bool
    may_lead: bool
    may_name: bool
    may_ask: bool
    may_correct: bool
    may_check: bool
    from_run: bool


class Words(Form):
    """What was done, or is so."""

    words: str = Field("", max_length=_LONGEST)


class Minutes(Form):
    """For how long a case waited."""

    delay_min: str = Field("", max_length=6)


class Cause(Words):
    """Why it happened, and where it began."""

    began: str = Field("", max_length=40)


class Named(Words):
    """What is to be changed, by whom, and by which day; by policy's days where that is empty."""

    person: str = Field("", max_length=80)
    due: str = Field("", max_length=40)


class Checked(Words):
    """Whether the correction held."""

    held: str = Field("", max_length=3)


@screen.page(ONE, right=READ, template="deviation.html")
def deviation_page(asked: Asked, deviation: str) -> DeviationPage:
    """One deviation as it stands."""
    opened = working.see_report(asked.archive, asked.visitor, deviation)
    known, who = opened.report, asked.visitor
    names = names_of(asked.archive, _people_in(known))
    due = due_of(known, policy().due)
    last, is_open = known.correction, known.standing is not Standing.closed
    done = last.done if last else None
    leads = who.may(LEAD)
    checks = leads and known.standing is Standing.corrected
    return DeviationPage(
        title=policy().faults[known.fault].words,
        address=asked.at(f"/deviations/{deviation}"),
        back=asked.at("/deviations"),
        words=known.words,
        standing=STANDING_WORDS[known.standing],
        next=next_step(known),
        due=due.astimezone(ZoneInfo(who.zone)).date().isoformat() if due else "",
        overdue=due is not None and due <= asked.now,
        facts=tuple(one for one in _facts(asked, known, names) if one.words),
        steps=tuple(_steps(asked, known, names)),
        effect=_effect(asked, deviation) if checks else (),
        stages=stages(),
        began=known.began.value if known.began else "",
        people=_people(asked) if leads else (),
        may_measure=is_open and done is None and who.may(WORK),
        may_lead=leads and done is None,
        may_name=leads and is_open and last is None and bool(known.measures) and known.cause is not None,
        may_ask=leads and known.asks == "measures",
        may_correct=last is not None and done is None and (leads or who.person == last.who),
        may_check=checks,
        from_run=opened.number == 0,
    )


@screen.act(f"{ONE}/measure", right=WORK, form=Words, page=deviation_page)
def measure(asked: Asked, form: Words, deviation: str) -> Done:
    """Keep what was done at once."""
    working.say_measure(asked.archive, asked.visitor, deviation, words=form.words, now=asked.now)
    return _kept(asked, deviation)


@screen.act(f"{ONE}/delay", right=WORK, form=Minutes, page=deviation_page)
def delay(asked: Asked, form: Minutes, deviation: str) -> Done:
    """Keep for how long a case waited."""
    minutes = minutes_of(form.delay_min)
    working.say_delay(asked.archive, asked.visitor, deviation, minutes=minutes, now=asked.now)
    return _kept(asked, deviation)


@screen.act(f"{ONE}/ask", right=LEAD, page=deviation_page)
def ask(asked: Asked, deviation: str) -> Done:
    """Ask for cause, correction and effect."""
    working.ask_further(asked.archive, asked.visitor, deviation, now=asked.now)
    return _kept(asked, deviation)


@screen.act(f"{ONE}/cause", right=LEAD, form=Cause, page=deviation_page)
def cause(asked: Asked, form: Cause, deviation: str) -> Done:
    """Keep why it happened, and where it began."""
    if form.began not in set(Stage):
        raise BadInput("expected a stage of the list", resource="began")
    began = Stage(form.began)
    working.say_cause(asked.archive, asked.visitor, deviation, began=began, words=form.words, now=asked.now)
    return _kept(asked, deviation)


@screen.act(f"{ONE}/correct", right=LEAD, form=Named, page=deviation_page)
def name_corrector(asked: Asked, form: Named, deviation: str) -> Done:
    """Keep what is to be changed, by whom and by when."""
    due = midnight(form.due.strip(), asked.visitor.zone, days=1) if form.due.strip() else None
    if form.due.strip() and due is None:
        raise BadInput("expected a day, such as 2026-12-02", resource="due")
    working.name_corrector(
        asked.archive,
        asked.visitor,
        deviation,
        words=form.words,
        person=form.person,
        now=asked.now,
        due=due,
    )
    return _kept(asked, deviation)


@screen.act(f"{ONE}/corrected", right=READ, form=Words, page=deviation_page)
def corrected(asked: Asked, form: Words, deviation: str) -> Done:
    """Keep that the correction is carried out."""
    working.say_corrected(asked.archive, asked.visitor, deviation, words=form.words, now=asked.now)
    return _kept(asked, deviation)


@screen.act(f"{ONE}/effect", right=LEAD, form=Checked, page=deviation_page)
def effect(asked: Asked, form: Checked, deviation: str) -> Done:
    """Keep what the correction came to."""
    if form.held not in {"yes", "no"}:
        raise BadInput("say whether it held", resource="held")
    held = form.held == "yes"
    working.check_effect(asked.archive, asked.visitor, deviation, held=held, words=form.words, now=asked.now)
    return _kept(asked, deviation)


def _kept(asked: Asked, deviation: str) -> Done:
    return Done(go=asked.at(f"/deviations/{deviation}"), said="Kept.")


def _people(asked: Asked) -> tuple[Option, ...]:
    people = working.people_to_name(asked.archive, asked.visitor, now=asked.now)
    return tuple(Option(person, name) for person, name in people)


def _people_in(known: DeviationReport) -> set[str]:
    told = [*known.measures, *([known.cause] if known.cause else [])]
    for one in known.corrections:
        told += [one.what, *([one.done] if one.done else []), *([one.effect.told] if one.effect else [])]
    return {known.by, *(one.by for one in told), *(one.who for one in known.corrections)}


def _facts(asked: Asked, known: DeviationReport, names: Mapping[str, str]) -> Iterator[Fact]:
    zone = asked.visitor.zone
    who = names.get(known.by, known.by)
    yield Fact("Found", f"at {stage_words(known.found.value)}, {shown_moment(known.at, zone)}, by {who}", "")
    yield Fact("Began", f"at {stage_words(known.began.value)}" if known.began else "not known yet", "")
    yield Fact("Set", f"{known.name} {known.code}".strip(), "")
    yield Fact("Device", known.device, "")
    machine = asked.at(f"/machines/{known.machine}") if asked.visitor.may("machine-read") else ""
    yield Fact("Machine", known.machine_name, machine)
    load = asked.at(f"/bench/loads/{known.load}") if asked.visitor.may("bench-read") else ""
    yield Fact("Load", "the load that it was in" if known.load else "", load)
    yield Fact("Case", known.case, "")
    yield Fact("Delay", _delay(known), "")


def _delay(known: DeviationReport) -> str:
    if known.delay_min is None:
        return "nobody said whether the case waited" if known.case else ""
    how = "as told" if known.delay_told else "from the begin of the case and the giving out of the set"
    return f"{known.delay_min} min, {how}"


def _steps(asked: Asked, known: DeviationReport, names: Mapping[str, str]) -> Iterator[StepTold]:
    def step(what: str, told: Told) -> StepTold:
        by = f"{names.get(told.by, told.by)}, {shown_moment(told.at, asked.visitor.zone)}"
        return StepTold(what, told.words, by)

    for measure_told in known.measures:
        yield step("Done at once", measure_told)
    if known.cause:
        yield step("Cause", known.cause)
    for one in known.corrections:
        yield step(_to_do(one, names, asked.visitor.zone), one.what)
        if one.done:
            yield step("Corrected", one.done)
        if one.effect:
            said = step("It held" if one.effect.held else "It did not hold", one.effect.told)
            counts = " ".join(_counts(one.effect.before, one.effect.after))
            yield StepTold(said.what, f"{said.words} {counts}", said.by)


def _to_do(one: Correction, names: Mapping[str, str], zone: str) -> str:
    day = one.due.astimezone(ZoneInfo(zone)).date().isoformat()
    return f"To be corrected by {names.get(one.who, one.who)}, until {day}"


def _effect(asked: Asked, deviation: str) -> tuple[str, ...]:
    """How often the fault came before and after, and whether that may be chance."""
    before, after = working.see_effect(asked.archive, asked.visitor, deviation, now=asked.now)
    return _counts(before, after)


def _counts(before: Counted, after: Counted) -> tuple[str, ...]:
    told = [_counted("Before", before), _counted("Since", after)]
    if before.sets and after.sets:
        chance = chance_of_so_few((before.found, before.sets), (after.found, after.sets))
        told.append(
            f"If nothing had changed, so few or fewer would come with a chance of {_percent(chance)}."
        )
    else:
        told.append("Without sets that were packed in both times, nothing can be said of the rate.")
    return tuple(told)


def _counted(when: str, one: Counted) -> str:
    rate = f", {number(PER * one.found / one.sets, decimals=2)} per {PER} sets" if one.sets else ""
    return f"{when}: {one.found} in {one.days} days, {one.sets} sets packed{rate}."


def _percent(chance: float) -> str:
    percent = 100 * chance
    return f"under {_LEAST} %" if percent < _LEAST else f"{number(percent, decimals=1)} %"
