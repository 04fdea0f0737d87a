"""What needs somebody's attention now, by what their roles let them do, worst first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

from sinkside.desk import cycle_records, lessons, memories, sets, shelf
from sinkside.desk.access import MANAGES_PEOPLE, Visitor, current, policy
from sinkside.desk.bench.alarms import ALARM, alarms_in
from sinkside.desk.bench.downtime import OUTAGE, outages_to_enter
from sinkside.desk.bench.exceptions import EXCEPTION, to_review
from sinkside.desk.bench.load_trouble import investigations
from sinkside.desk.bench.loans import LOAN, loans_to_see_to
from sinkside.desk.bench.shifts import HANDOVER, not_taken_over
from sinkside.desk.bench.theatre import REPORT
from sinkside.desk.deviations.finding import deviations_due
from sinkside.desk.deviations.kept import KIND as DEVIATION
from sinkside.desk.indicators import INDICATOR
from sinkside.desk.instruction_view import row_words
from sinkside.desk.machine_days import ThingToday, names_of_checks, today_in
from sinkside.desk.machine_rows import MACHINE
from sinkside.desk.machine_trends import drifting_in
from sinkside.desk.paper_register import HANG, PAPER, hanging_in
from sinkside.desk.people import name_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.programmes.to_see_to import verification_to_see_to
from sinkside.desk.recall.recalling import open_recalls
from sinkside.desk.recall.rights import KIND as RECALL
from sinkside.desk.set_texts import device_name
from sinkside.desk.set_touched import sets_to_look_at
from sinkside.desk.sign_off_lists import MOST_COUNTED, open_here
from sinkside.desk.solution_log import IN_USE, SOLUTION
from sinkside.findings import LEVELS, Level
from sinkside.records import Row, WantedRows

#: How long ahead something is said that falls due (common practice, no source).
_CONFIRM_AHEAD: Final = timedelta(days=30)
_ACCESS_AHEAD: Final = timedelta(days=14)
_FAILURES_SHOWN: Final = timedelta(days=7)

#: What Today opens of sign-offs: one person's, the list, one's own.
SIGN_OFF: Final = "sign-off"
SIGN_OFFS: Final = "sign-offs"
OWN_SIGN_OFFS: Final = "own-sign-offs"

_LOAD: Final = "load"
_MOST_ROWS: Final = 500
_LAST: Final = datetime.max.replace(tzinfo=UTC)


@dataclass(frozen=True)
class Matter:
    """One thing that needs attention: how much it weighs, a sentence, what to open, and by when."""

    level: Level
    sentence: str
    noun: str
    id: str
    due: datetime | None = None


def today(archive: Archive, who: Visitor, *, now: datetime) -> tuple[Matter, ...]:
    """What needs this person's attention in this department, worst first, then what is due first."""
    with archive.unit(writes=False) as unit:
        matters = [
            *_instructions(unit, who, now),
            *_cycles(unit, who),
            *_machines(unit, who, now),
            *_indicators(unit, who, now),
            *_loads(unit, who),
            *_missing(unit, who),
            *_kept_at_the_bench(unit, who, now),
            *_verification(unit, who, now),
            *_solutions(unit, who, now),
            *_sets(unit, who),
            *_papers(unit, who),
            *_lessons(unit, who),
            *_sign_offs(unit, who, now),
            *_questions(unit, who, now),
            *_jobs(unit, who, now),
            *_people(unit, who, now),
        ]
    return tuple(sorted(matters, key=_order))


@dataclass(frozen=True)
class ForOthers:
    """What waits here for somebody else: how much it weighs, a sentence, which list has it, and for whom."""

    level: Level
    sentence: str
    noun: str
    whom: str


def waiting_for_others(archive: Archive, who: Visitor, *, now: datetime) -> tuple[ForOthers, ...]:
    """What waits in this department for somebody else, as far as this person may see it; worst first."""
    with archive.unit(writes=False) as unit:
        waiting = [*_undecided(unit, who, now), *_unapproved(unit, who, now)]
    return tuple(sorted(waiting, key=lambda one: LEVELS.index(one.level)))


def _undecided(unit: Unit, who: Visitor, now: datetime) -> Iterator[ForOthers]:
    """Cycles that nobody decided: whoever works with what they processed must know that it stays here."""
    if who.may("cycle-decide") or not who.may("cycle-read"):
        return
    here = [who.department]
    total = unit.rows.count(cycle_records.KIND, here, states=["undecided"])
    wanted = WantedRows(states=["undecided"], fields={"verdict": "meets"})
    meet = unit.rows.count_found(cycle_records.KIND, here, wanted)
    whom = _whom(unit, who, "cycle-decide", now)
    for number, level, is_shown, so in (
        (total - meet, Level.stop, "not shown to meet", "what was processed stays here"),
        (meet, Level.concern, "shown to meet", "nothing is released before"),
    ):
        if number:
            wait = "1 cycle waits" if number == 1 else f"{number} cycles wait"
            its = "its" if number == 1 else "their"
            sentence = f"{wait} for a decision, {is_shown} {its} program: {so}."
            yield ForOthers(level, sentence, cycle_records.KIND, whom)


def _unapproved(unit: Unit, who: Visitor, now: datetime) -> Iterator[ForOthers]:
    if not who.may("instruction-read"):
        return
    for state, right, words in (
        ("in-work", "instruction-edit", "be checked and answered"),
        ("ready", "revision-approve", "be approved"),
    ):
        if who.may(right):
            continue
        number = unit.rows.count(shelf.KIND, [who.department], states=[state])
        if number:
            wait = "1 instruction waits" if number == 1 else f"{number} instructions wait"
            whom = _whom(unit, who, right, now)
            yield ForOthers(Level.note, f"{wait} to {words}.", shelf.KIND, whom)


def _whom(unit: Unit, who: Visitor, right: str, now: datetime) -> str:
    """Who here has a right, by name; nobody where nobody has."""
    roles = {role for role, known in policy().roles.items() if right in known.rights}
    grants = current(unit.people.grants_in(who.department), now)
    names = unit.people.names({grant.person for grant in grants if grant.role in roles})
    return ", ".join(sorted(names.values())) or "nobody here"


def _order(matter: Matter) -> tuple[int, datetime, str]:
    return LEVELS.index(matter.level), matter.due or _LAST, matter.sentence


def _loads(unit: Unit, who: Visitor) -> Iterator[Matter]:
    """Loads that are asked after because a pack was wet or soil was found, for whoever closes that."""
    if who.may("cycle-decide"):
        for one in investigations(unit, who):
            yield Matter(Level.stop, one.found.told, _LOAD, one.found.load, due=one.found.at)


def _missing(unit: Unit, who: Visitor) -> Iterator[Matter]:
    """Missing fragments, for theatre: at the top until somebody answers them."""
    if who.may(REPORT):
        for one in alarms_in(unit, who):
            of = f"{one.what} of {one.copy_name}{f', case {one.case}' if one.case else ''}"
            if one.acknowledged:
                yield Matter(Level.concern, f"{of}: say whether it was found.", ALARM, "")
            else:
                sentence = f"{of} is missing and may be in the patient: answer at once."
                yield Matter(Level.stop, sentence, ALARM, "", due=one.raised)


def _kept_at_the_bench(unit: Unit, who: Visitor, now: datetime) -> Iterator[Matter]:
    """Exceptions, loans with something wrong, handovers not taken, paper, deviations, open recalls."""
    for noun, found in (
        (EXCEPTION, to_review(unit, who, now=now)),
        (LOAN, loans_to_see_to(unit, who, now=now)),
        (HANDOVER, not_taken_over(unit, who)),
        (OUTAGE, outages_to_enter(unit, who)),
        (DEVIATION, deviations_due(unit, who, now=now)),
        (RECALL, open_recalls(unit, who, now=now)),
    ):
        for level, sentence, row in found:
            yield Matter(level, sentence, noun, row.id, row.due)


def _verification(unit: Unit, who: Visitor, now: datetime) -> Iterator[Matter]:
    """Cleaning tests, product tests and texts that are due, and water events that are open."""
    for level, sentence, noun, key, due in verification_to_see_to(unit, who, now=now):
        yield Matter(level, sentence, noun, key, due)


def _instructions(unit: Unit, who: Visitor, now: datetime) -> Iterator[Matter]:
    if not who.may("instruction-read"):
        return
    for row in unit.rows.all(shelf.KIND, [who.department], limit=_MOST_ROWS):
        if row.state == "in-work" and who.may("finding-answer"):
            yield _to_answer(row)
        elif row.state == "ready" and who.may("revision-approve") and not _wrote(who, row):
            revision = row.fields.get("revision")
            sentence = f"{_device(row)}: revision {revision} waits for your approval."
            yield Matter(Level.concern, sentence, shelf.KIND, row.id)
        yield from _to_confirm(row, who, now)


def _device(row: Row) -> str:
    return row_words(row)[0]


def _to_answer(row: Row) -> Matter:
    if row.fields.get("turn") == "maker":
        sentence = f"{_device(row)}: the maker was asked; attach the answer when it comes."
        return Matter(Level.note, sentence, shelf.KIND, row.id)
    kinds = {
        "stops_open": ("stop", "stops"),
        "concerns_open": ("concern", "concerns"),
        "steps_open": ("step to accept", "steps to accept"),
    }
    numbers = {field: int(row.fields.get(field) or 0) for field in kinds}
    left = [f"{number} {kinds[field][number != 1]}" for field, number in numbers.items() if number]
    asked = int(row.fields.get("asked") or 0)
    waiting = f"; {asked} asked of the maker" if asked else ""
    level = Level.stop if numbers["stops_open"] else Level.concern
    sentence = f"{_device(row)}: {', '.join(left)} before approval{waiting}."
    return Matter(level, sentence, shelf.KIND, row.id)


def _wrote(who: Visitor, row: Row) -> bool:
    return who.person in {row.fields.get("drafted_by"), *shelf.words_in(row, "writers")}


def _to_confirm(row: Row, who: Visitor, now: datetime) -> Iterator[Matter]:
    mine = row.fields.get("confirm_turn") == who.person
    if row.due is None or row.due - now > _CONFIRM_AHEAD or not (mine or who.may("revision-approve")):
        return
    day = row.fields.get("confirm_by")
    if row.due <= now:
        sentence = f"{_device(row)}: was to be confirmed current by {day}."
        yield Matter(Level.stop, sentence, shelf.KIND, row.id, row.due)
    else:
        level = Level.concern if mine else Level.note
        sentence = f"{_device(row)}: confirm by {day} that the text is current."
        yield Matter(level, sentence, shelf.KIND, row.id, row.due)


_WEIGHT_OF_VERDICT: Final = {
    "fails": Level.stop,
    "unclear": Level.concern,
    "unread": Level.concern,
    "meets": Level.note,
}
_SAID_OF_VERDICT: Final = {
    "fails": "fails its program",
    "unclear": "is unclear",
    "unread": "could not be read",
    "meets": "meets its program",
}


def _cycles(unit: Unit, who: Visitor) -> Iterator[Matter]:
    if not who.may("cycle-decide"):
        return
    for row in unit.rows.all(cycle_records.KIND, [who.department], states=["undecided"], limit=_MOST_ROWS):
        verdict = str(row.fields.get("verdict") or "unread")
        machine = row.fields.get("machine_name")
        sentence = f"{machine}, {row.title}: the record {_SAID_OF_VERDICT[verdict]}; nobody has decided."
        yield Matter(_WEIGHT_OF_VERDICT[verdict], sentence, cycle_records.KIND, row.id, row.due)


def _machines(unit: Unit, who: Visitor, now: datetime) -> Iterator[Matter]:
    """What is out of use, and the checks that wait, one matter a thing."""
    if not who.may("machine-check"):
        return
    known = today_in(unit, who, now=now)
    due = [one.thing.name for one in known if one.state != "out-of-use" and one.of("due")]
    for one in known:
        name = one.thing.name
        if one.state == "out-of-use":
            reason = str(one.row.fields.get("reason", "")).rstrip(".") if one.row else ""
            yield Matter(Level.stop, f"{name} is out of use: {reason}.", MACHINE, one.thing.id)
            continue
        for level, words, dues in (
            (Level.stop, "did not pass", one.of("failed")),
            (Level.concern, "overdue", one.of("overdue")),
        ):
            if dues:
                yield Matter(level, f"{name}, {words}: {names_of_checks(dues)}.", MACHINE, one.thing.id)
    yield from _drifts(unit, who, known)
    if due:
        yield Matter(Level.note, f"Checks are due today: {', '.join(due)}.", MACHINE, "")


def _drifts(unit: Unit, who: Visitor, known: Sequence[ThingToday]) -> Iterator[Matter]:
    """Machines of which a figure drifts, for whoever may have them looked at; one matter a program."""
    if not who.may("machine-return"):
        return
    for one in known:
        for program in drifting_in(unit, who, one.thing, one.row) if one.thing.machine else ():
            sentence = f"{one.thing.name}, {program.program}, drifts: {', '.join(program.moved)}."
            yield Matter(Level.concern, sentence, MACHINE, one.thing.id)


def _indicators(unit: Unit, who: Visitor, now: datetime) -> Iterator[Matter]:
    """Biological indicators whose hours are over and that nobody has read."""
    if not who.may("indicator-record"):
        return
    for row in unit.rows.all(INDICATOR, [who.department], states=["waiting"], limit=_MOST_ROWS):
        if row.due is not None and row.due <= now:
            sentence = f"{row.fields['machine_name']}: a biological indicator is to be read; {row.title}."
            yield Matter(Level.concern, sentence, INDICATOR, row.id, row.due)


def _solutions(unit: Unit, who: Visitor, now: datetime) -> Iterator[Matter]:
    """Solutions at the sink whose time is over."""
    if not who.may("solution-make"):
        return
    for row in unit.rows.all(SOLUTION, [who.department], states=[IN_USE], limit=_MOST_ROWS):
        if row.due is not None and row.due <= now:
            sentence = f"Discard now: {row.title}, lot {row.fields['lot']}."
            yield Matter(Level.concern, sentence, SOLUTION, row.id, row.due)


def _sets(unit: Unit, who: Visitor) -> Iterator[Matter]:
    """Sets of which a device's text is another one than when somebody looked at them."""
    if not who.may(sets.EDIT):
        return
    for one in sets_to_look_at(unit, who):
        names = ", ".join(device_name(changed.row) for changed in one.changed)
        sentence = f"{one.row.title}: the text changed of {names}; look at the set again."
        yield Matter(Level.concern, sentence, sets.KIND, one.row.id)


def _papers(unit: Unit, who: Visitor) -> Iterator[Matter]:
    """Papers that hang here and are out of date; each place is a decision of its own."""
    if not who.may(HANG):
        return
    for one in hanging_in(unit, who):
        if not one.known.standing.is_current:
            what = f"{one.place.place}: the {one.known.paper.kind} of {one.known.paper.title} is out of date"
            sentence = f"{what}; replace it or take it away."
            yield Matter(Level.stop, sentence, PAPER, one.known.code)


def _lessons(unit: Unit, who: Visitor) -> Iterator[Matter]:
    """Devices that changed since this person learnt them."""
    for one in lessons.changed_since_learnt(unit, who):
        sentence = f"{device_name(one.row)} changed since you learnt it: go through what changed."
        yield Matter(Level.concern, sentence, lessons.LESSON, one.row.id)


def _sign_offs(unit: Unit, who: Visitor, now: datetime) -> Iterator[Matter]:
    """Sign-offs that are open again, one decision a person and device family; how many ended or end soon."""
    seen = open_here(unit, who, now=now)
    for line in seen.lines:
        changes = "; ".join(line.first.changes).rstrip(".")
        again = f"{seen.families[line.family]}, {line.at}: open again. {changes}."
        if line.person == who.person:
            yield Matter(Level.concern, f"Your sign-off for {again}", OWN_SIGN_OFFS, "")
        else:
            name = seen.names[line.person]
            yield Matter(Level.concern, f"{name}, sign-off for {again}", SIGN_OFF, line.person)
    for number, level, words in (
        (seen.ended, Level.concern, "ended and not given anew"),
        (seen.ending, Level.note, f"about to end, within {seen.ahead.days // 7} weeks"),
    ):
        if number:
            many = f"more than {MOST_COUNTED}" if number > MOST_COUNTED else str(number)
            yield Matter(level, f"Sign-offs {words}: {many}.", SIGN_OFFS, "")


def _questions(unit: Unit, who: Visitor, now: datetime) -> Iterator[Matter]:
    """The two or three questions of the day; whoever does not answer them misses nothing else."""
    number = memories.number_left(unit, who, now=now)
    if number:
        asked = "1 question" if number == 1 else f"{number} questions"
        yield Matter(Level.note, f"{asked} for you today.", memories.LEARNING, "")


def _jobs(unit: Unit, who: Visitor, now: datetime) -> Iterator[Matter]:
    for job in unit.jobs.all([who.department], states=["failed"]):
        if job.by == who.person and now - job.asked <= _FAILURES_SHOWN:
            what = job.arguments.get("file_name", "Judging recorder files")
            sentence = job.error if job.error.startswith(what) else f"{what}: {job.error}"
            yield Matter(Level.concern, f"{sentence.rstrip('.')}.", "job", job.id)


def _people(unit: Unit, who: Visitor, now: datetime) -> Iterator[Matter]:
    if not who.may(MANAGES_PEOPLE):
        return
    for grant in unit.people.grants_in(who.department):
        if grant.until is not None and now < grant.until <= now + _ACCESS_AHEAD:
            role = policy().roles[grant.role].name
            day = grant.until.date().isoformat()
            sentence = f"{name_of(unit, grant.person)}: access as {role} ends on {day}."
            yield Matter(Level.note, sentence, "person", grant.person, grant.until)
