"""An evidence file in words: what is not recorded, what it comes to, then chapter by chapter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from sinkside.aids.evidence import (
    EvidenceBlock,
    EvidenceLine,
    EvidencePicture,
    EvidenceRequest,
    EvidenceSaid,
    EvidenceSection,
    EvidenceTable,
)
from sinkside.aids.report.wording import ANSWERS
from sinkside.desk.cycle_documents import Judged
from sinkside.desk.evidence.facts import LoadThen, RunFacts
from sinkside.desk.evidence.told_beside import (
    of_book,
    of_cases,
    of_exceptions,
    of_papers,
    of_recalls,
    of_solutions,
)
from sinkside.desk.evidence.told_loads import DrawnRecord, decided, heading_of, of_load
from sinkside.desk.evidence.told_run import of_run, of_signing
from sinkside.desk.evidence.told_texts import of_routes, of_texts
from sinkside.desk.evidence.wording import Clock
from sinkside.language import computed
from sinkside.plain.names import calm_name
from sinkside.route import Station

#: The values of a verdict that are told at once.
_FIRST_VALUES: Final = ("exposure", "f0", "a0")

#: The book is the same for everything that is made at one moment, and nothing that changed of a run.
_BOOK: Final = "The record book"


@dataclass(frozen=True)
class Telling:
    """What a file is told with: what recorders wrote, what families are called, who makes it, and when."""

    by: str
    at: datetime
    records: Mapping[str, DrawnRecord] = field(default_factory=dict)
    families: Mapping[str, str] = field(default_factory=dict)
    live_url: str = ""


def request_of(facts: RunFacts, telling: Telling) -> EvidenceRequest:
    """Everything that an evidence file says, people by their pseudonyms."""
    clock = Clock(facts.site.zone)
    where = facts.department
    department = ", ".join(filter(None, (where.hospital, where.name))) if where else facts.site.name
    return EvidenceRequest(
        title=facts.copy.name,
        about=(
            f"Code {facts.copy.code} · {_list(facts)}",
            f"Run {facts.kept.id}, opened {clock.at(facts.kept.opened)} · {department}",
            f"Moments are local time, {facts.site.zone}.",
        ),
        gaps=tuple(one.told for one in facts.gaps),
        warned=tuple(_warned(facts, clock)),
        short=tuple(in_short(facts, clock)),
        sections=tuple(_sections(facts, telling, clock)),
        head=str(facts.head) if facts.head else "no event",
        made=f"Made {clock.at(telling.at)} by {by_whom(telling.by)}",
        code=f"sinkside evidence {facts.kept.id} at {facts.head}",
        live_url=telling.live_url,
    )


def lines_of(request: EvidenceRequest) -> tuple[str, ...]:
    """Everything that a file says of a run, a line each, for telling it from a later one."""
    found = [f"{about} · {sentence}" for about, sentence in request.gaps]
    found += request.warned
    for section in request.sections:
        if section.heading != _BOOK:
            found += [line for block in section.blocks for line in _lines(section.heading, block)]
    return tuple(dict.fromkeys(found))


def in_short(facts: RunFacts, clock: Clock, *, of: str = "") -> Iterator[tuple[str, str, str]]:
    """What it comes to: what, how it was, and the figures or names behind that.

    Args:
        facts: of which run.
        clock: the department's.
        of: one load of it, by its id, alone.
    """
    if of:
        yield from (_of_load(load, clock) for load in facts.loads if load.load.id == of)
        return
    yield "Stands now", *_stands(facts)
    for load in facts.loads:
        if load.inside:
            yield _of_load(load, clock)
    for text in facts.texts:
        approved = "approval not recorded"
        if text.approval:
            approved = f"approved by {text.approval.by}, {clock.at(text.approval.at)}"
        name = calm_name(text.instruction.device.name)
        yield "Instruction", f"{name}, revision {text.made.number}", approved
    if facts.before:
        case = facts.before.case
        yield "Used before in", f"case {case.number}", f"begun {clock.at(case.begins)}"
    for one in facts.after:
        yield "Made ready for", f"case {one.case.number}", one.state


def by_whom(person: str) -> str:
    """Who made a file: a pseudonym, or, at the command line, nobody who is signed in.

    >>> by_whom("system")
    'the command line, where nobody is signed in'
    """
    return "the command line, where nobody is signed in" if person == "system" else person


def section_of_book(facts: RunFacts) -> EvidenceSection:
    """The head of the chain, and how it is checked."""
    return EvidenceSection(_BOOK, of_book(facts))


def _list(facts: RunFacts) -> str:
    of = "its list" if facts.plan.name == facts.copy.name else f"the list of {facts.plan.name}"
    return f"revision {facts.plan.set_revision} of {of}"


def _stands(facts: RunFacts) -> tuple[str, str]:
    if facts.copy.run != facts.kept.id:
        return "processed again since", "this file is of an earlier run of the set"
    words = facts.copy.state.replace("-", " ")
    return words, "" if facts.copy.place == words else facts.copy.place


def _of_load(load: LoadThen, clock: Clock) -> tuple[str, str, str]:
    judged = load.cycle.judged if load.cycle else None
    label = "Sterilized" if load.load.station == Station.sterilizer.value else "Washed"
    if judged is None:
        return label, f"{load.load.program}: no record of the cycle", decided(load, clock)
    word = ANSWERS[judged.verdict.verdict][1].lower() if judged.verdict else judged.outcome
    figures = "; ".join(_values(judged))
    return label, f"{load.load.program}: {word}", ". ".join(filter(None, (figures, decided(load, clock))))


def _values(judged: Judged) -> Iterator[str]:
    known = judged.verdict.values if judged.verdict else {}
    for name in _FIRST_VALUES:
        if name in known:
            one = known[name]
            words = {"exposure": "exposure", "f0": "F0", "a0": "A0"}[name]
            rests = f" (reference {one.reference_c:g} °C, z {one.z_k:g} K)" if one.reference_c else ""
            yield f"{words} {computed(one.value, one.unit)}{rests}"


def _warned(facts: RunFacts, clock: Clock) -> Iterator[str]:
    for one in facts.recalls:
        state = f"closed {clock.at(one.recall.closed.at)}" if one.recall.closed else "open"
        yield f"■ Recall, {state}: {one.recall.cause.words}"
    for hold in facts.run.open_holds():
        yield f"■ Held: {hold.why}"
    if facts.exceptions:
        yield "■ Let out under exception: see the form below."


def _sections(facts: RunFacts, telling: Telling, clock: Clock) -> Iterator[EvidenceSection]:
    yield EvidenceSection("The instruction", of_texts(facts, clock))
    yield EvidenceSection("The route", of_routes(facts))
    exceptions = tuple(of_exceptions(facts, clock))
    if exceptions:
        yield EvidenceSection("Exceptions", exceptions)
    recalls = tuple(of_recalls(facts, clock))
    if recalls:
        yield EvidenceSection("Recalls", recalls)
    yield EvidenceSection("The run", of_run(facts, clock))
    yield EvidenceSection("Sign-offs, as they stood then", of_signing(facts, telling.families, clock))
    for load in facts.loads:
        yield EvidenceSection(heading_of(load), of_load(load, telling.records, clock))
    beside = (*of_cases(facts, clock), *of_solutions(facts, clock), *of_papers(facts, clock))
    yield EvidenceSection("Beside the run", beside)
    yield section_of_book(facts)


def _lines(heading: str, block: EvidenceBlock) -> Iterator[str]:
    """What one block says; a drawing says what the table below it does."""
    match block:
        case EvidenceTable():
            for row in block.rows:
                yield " · ".join(filter(None, (heading, block.heading, *row)))
        case EvidenceSaid():
            yield from (f"{heading} · {one}" for one in block.sentences)
        case EvidenceLine() | EvidencePicture():
            return
