"""Deviations entered by hand, and worked on until they are closed: each step by whoever may take it."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from sinkside.bench import deviations as pure
from sinkside.bench.case_number import case_number
from sinkside.bench.deviations import DeviationReport, Effect, Told
from sinkside.bench.faults import Fault, fault, policy
from sinkside.bench.no_names import reads_like_a_name
from sinkside.bench.run import Run
from sinkside.desk.access import Visitor, current, require
from sinkside.desk.access import policy as roles
from sinkside.desk.bench.load_deciding import plain_words
from sinkside.desk.bench.runs import copy_of_code
from sinkside.desk.deviations.counting import counted_between
from sinkside.desk.deviations.kept import LEAD, READ, REPORT, WORK, OpenReport, keep_report, opened_report
from sinkside.desk.deviations.making import delay_for, load_for
from sinkside.desk.machine_things import thing_in
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput
from sinkside.instruction import Stage

Step = Callable[[DeviationReport, Told], DeviationReport]


@dataclass(frozen=True)
class Entered:
    """What somebody enters by hand; whatever they do not know may stay empty.

    Attributes:
        fault: its kind.
        words: what was found; the kind's own words where it is empty.
        found: the stage where it was found; where such things mostly are, unless told.
        at: when.
        code: the code of the set.
        device: which instrument of it.
        machine: which machine; the one that the set was in, where the kind is counted there.
        case: the number of the case.
        delay_min: for how many minutes the case waited; reckoned where nobody says so.
        measure: what was done at once.
    """

    fault: str
    at: datetime
    words: str = ""
    found: Stage | None = None
    code: str = ""
    device: str = ""
    machine: str = ""
    case: str = ""
    delay_min: int | None = None
    measure: str = ""


def report(archive: Archive, who: Visitor, entered: Entered, *, now: datetime) -> str:
    """Report a deviation by hand, and say its id.

    Raises:
        NotAllowed: without the right.
        NotThere: if no set here has that code, or there is no such machine.
        BadInput: if there is no such kind, it is in the future, or something reads like a name.
    """
    require(who, REPORT)
    kind = fault(entered.fault)
    if entered.at > now:
        raise BadInput("it was found in the future; expected now or earlier", resource="at")
    measures = (_told(who, entered.measure, now, "measure"),) if entered.measure.strip() else ()
    with archive.unit() as unit:
        made = DeviationReport(
            fault=entered.fault,
            words=_described(entered.words) or kind.words,
            source="hand",
            found=entered.found or _mostly_found(kind, who),
            began=kind.began_at,
            by=who.person,
            at=entered.at,
            device=_described(entered.device),
            case=case_number(entered.case) if entered.case.strip() else "",
            asks=kind.asks,
            measures=measures,
        )
        made = _with_set(unit, who, made, entered)
        if entered.delay_min is not None:
            made = pure.delayed(made, entered.delay_min)
        opened = OpenReport(new_id("d"), made, 0)
        keep_report(unit, who, opened, made, "deviation-reported", now=now)
        return opened.id


def _mostly_found(kind: Fault, who: Visitor) -> Stage:
    """Where such a thing is mostly found; whoever only reports, such as theatre, found it in use."""
    at_use = Stage.point_of_use in kind.found and not who.may(WORK)
    return Stage.point_of_use if at_use else kind.found[0]


def see_report(archive: Archive, who: Visitor, key: str) -> OpenReport:
    """A deviation as it stands.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return opened_report(unit, who, key)


def say_measure(archive: Archive, who: Visitor, key: str, *, words: str, now: datetime) -> None:
    """Say what was done at once.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such deviation here.
        BadInput: without words, or if it is closed.
    """
    require(who, WORK)
    _step(archive, who, key, words, pure.measured, "deviation-measure", now)


def say_delay(archive: Archive, who: Visitor, key: str, *, minutes: int, now: datetime) -> None:
    """Say for how long a case waited.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such deviation here.
        BadInput: if that is no time.
    """
    require(who, WORK)
    with archive.unit() as unit:
        opened = opened_report(unit, who, key)
        after = pure.delayed(opened.report, minutes)
        keep_report(unit, who, opened, after, "deviation-delay", now=now)


def ask_further(archive: Archive, who: Visitor, key: str, *, now: datetime) -> None:
    """Ask for cause, correction and effect where only measures were asked for.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such deviation here.
        BadInput: if they are asked for already.
    """
    require(who, LEAD)
    with archive.unit() as unit:
        opened = opened_report(unit, who, key)
        after = pure.asked_further(opened.report)
        keep_report(unit, who, opened, after, "deviation-asked", now=now)


def say_cause(archive: Archive, who: Visitor, key: str, *, began: Stage, words: str, now: datetime) -> None:
    """Say why it happened, and where it began.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such deviation here.
        BadInput: without words, if it is corrected, or would have begun after it was found.
    """
    require(who, LEAD)
    step = functools.partial(pure.found_cause, began=began)
    _step(archive, who, key, words, step, "deviation-cause", now)


def name_corrector(
    archive: Archive,
    who: Visitor,
    key: str,
    *,
    words: str,
    person: str,
    now: datetime,
    due: datetime | None = None,
) -> None:
    """Say what is to be changed, who does that, and by when; by policy's days unless told.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such deviation here.
        BadInput: if that person is not here, or the deviation is not so far.
    """
    require(who, LEAD)
    day = due or now + timedelta(days=policy().due.correct_days)
    with archive.unit() as unit:
        opened = opened_report(unit, who, key)
        if person not in _nameable(unit, who, now):
            raise BadInput("expected somebody of this department", resource="person")
        after = pure.assigned(opened.report, _told(who, words, now), person, day)
        keep_report(unit, who, opened, after, "deviation-assigned", now=now)


def say_corrected(archive: Archive, who: Visitor, key: str, *, words: str, now: datetime) -> None:
    """Say that the correction is carried out: whoever is named, or who leads.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such deviation here.
        BadInput: if nobody is named, it is done already, or somebody else is named.
    """
    require(who, READ)
    step = functools.partial(pure.corrected, leads=who.may(LEAD))
    _step(archive, who, key, words, step, "deviation-corrected", now)


def check_effect(archive: Archive, who: Visitor, key: str, *, held: bool, words: str, now: datetime) -> None:
    """Say whether a correction held; how often the fault came before and after is counted by itself.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such deviation here.
        BadInput: if there is nothing corrected, who looks corrected it, or it is too early to hold.
    """
    require(who, LEAD)
    with archive.unit() as unit:
        opened = opened_report(unit, who, key)
        before, after = counted_around(unit, who, opened.report, now=now)
        effect = Effect(held=held, told=_told(who, words, now), before=before, after=after)
        known = pure.effect_checked(opened.report, effect, policy().due)
        keep_report(unit, who, opened, known, "deviation-effect", now=now)


def see_effect(
    archive: Archive, who: Visitor, key: str, *, now: datetime
) -> tuple[pure.Counted, pure.Counted]:
    """How often the same fault was found before a correction and after it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such deviation here.
        BadInput: if nothing is corrected.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return counted_around(unit, who, opened_report(unit, who, key).report, now=now)


def people_to_name(archive: Archive, who: Visitor, *, now: datetime) -> tuple[tuple[str, str], ...]:
    """Who in this department may be named to correct something, as pseudonym and name, by name.

    Raises:
        NotAllowed: without the right.
    """
    require(who, LEAD)
    with archive.unit(writes=False) as unit:
        return tuple(sorted(_nameable(unit, who, now).items(), key=lambda one: (one[1], one[0])))


def counted_around(
    unit: Unit, who: Visitor, known: DeviationReport, *, now: datetime
) -> tuple[pure.Counted, pure.Counted]:
    """How often the same fault was found in the days before a correction, and in those after it.

    Raises:
        BadInput: if nothing is corrected.
    """
    done = known.correction.done if known.correction else None
    if done is None:
        raise BadInput("there is no effect to look at", resource="words")
    span = timedelta(days=policy().due.effect_days)
    return (
        counted_between(unit, who, known.fault, done.at - span, done.at),
        counted_between(unit, who, known.fault, done.at, max(min(done.at + span, now), done.at)),
    )


def _nameable(unit: Unit, who: Visitor, now: datetime) -> dict[str, str]:
    """Who reads deviations here now: whoever corrects one must see it."""
    granted = current(unit.people.grants_in(who.department), now)
    reading = {one.person for one in granted if READ in roles().roles[one.role].rights}
    return names_in(unit, reading)


def _step(
    archive: Archive, who: Visitor, key: str, words: str, step: Step, event: str, now: datetime
) -> None:
    with archive.unit() as unit:
        opened = opened_report(unit, who, key)
        after = step(opened.report, _told(who, words, now))
        keep_report(unit, who, opened, after, event, now=now)


def _told(who: Visitor, words: str, now: datetime, field: str = "words") -> Told:
    return Told(words=plain_words(words, field), by=who.person, at=now)


def _described(words: str) -> str:
    """Words on one line, or nothing."""
    line = " ".join(words.split())
    if reads_like_a_name(line):
        raise BadInput("this reads like a name; say it without, a case number is enough", resource="words")
    return line[: pure.LONGEST]


def _with_set(unit: Unit, who: Visitor, made: DeviationReport, entered: Entered) -> DeviationReport:
    """A report with its set, the run and the load of that, its machine, and how long its case waited."""
    told: dict[str, object] = {}
    load = None
    if entered.code.strip():
        copy = copy_of_code(unit, who.department, entered.code)
        kept = unit.bench.runs.get(copy.run) if copy.run else None
        told |= {"code": copy.code, "copy_id": copy.id, "name": copy.name, "run": copy.run}
        load = load_for(unit, fault(entered.fault), Run.model_validate_json(kept.body)) if kept else None
        told["delay_min"] = delay_for(unit, who.department, made.case, copy.id) if made.case else None
    if entered.machine:
        machine = thing_in(unit, who, entered.machine)
        told |= {"machine": machine.id, "machine_name": machine.name}
    elif load is not None:
        name = str(load.fields.get("machine_name") or load.machine)
        told |= {"load": load.id, "machine": load.machine, "machine_name": name}
    return made.model_copy(update=told)
