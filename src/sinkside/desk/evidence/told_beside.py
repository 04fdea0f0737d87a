"""What stood beside a run, on paper: cases, solutions, papers, exceptions, recalls, and the record book."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sinkside.aids.evidence import EvidenceBlock, EvidenceSaid, EvidenceTable
from sinkside.bench.exception_form import KIND_WORDS, ExceptionForm
from sinkside.desk.evidence.facts import CaseThen, PaperThen, RecallThen, RunFacts
from sinkside.desk.evidence.wording import Clock
from sinkside.desk.solution_documents import SinkSolution

#: Whoever owns the database can recompute a chain without a key, but not a sheet in somebody's hands.
_HOW_TO_CHECK: Final = (
    "Whoever owns the database could write the record book anew, but not this sheet. Type the head under "
    "“Check” on the page that the code opens, or give it to “sinkside check --head {site}={head}”: the chain "
    "is recomputed from its first event on, and the event of this number must have this digest."
)
_GROUP: Final = 8
_MADE_TOO: Final = (
    "That this file was made stands in the record book too, with the digest (SHA-256) of its bytes."
)


def of_cases(facts: RunFacts, clock: Clock) -> tuple[EvidenceBlock, ...]:
    """The case before, and those after."""
    rows = [_case(one, clock) for one in (facts.before, *facts.after) if one is not None]
    return (
        EvidenceTable(
            "Cases",
            ("Case", "What of it", "Room, begin"),
            tuple(rows),
            empty="No case is recorded that it was used in before, or made ready for.",
        ),
    )


def of_solutions(facts: RunFacts, clock: Clock) -> tuple[EvidenceBlock, ...]:
    """What was made up of the route's chemicals and stood at the sink meanwhile."""
    rows = tuple(_solution(one, clock) for _, one in facts.solutions)
    columns = ("Solution, lot", "How it was made", "In use", "By")
    return (
        EvidenceTable(
            "Solutions at the sink", columns, rows, widths=(1, 1.4, 1.6, 0.7), empty="None is recorded."
        ),
    )


def of_papers(facts: RunFacts, clock: Clock) -> tuple[EvidenceBlock, ...]:
    """What hung while it was processed."""
    rows = tuple(_paper(one, clock) for one in facts.papers)
    columns = ("Paper", "Revision", "Where it hung", "Since, until")
    return (EvidenceTable("Papers in force", columns, rows, empty="None is recorded that hung then."),)


def of_exceptions(facts: RunFacts, clock: Clock) -> Iterator[EvidenceBlock]:
    """The exceptions that were made for it, each loud."""
    for _, form in facts.exceptions:
        yield EvidenceSaid((f"Exception: {KIND_WORDS[form.kind]}, case {form.case}.",), loud=True)
        yield EvidenceTable("", ("What", "As written"), tuple(_exception(form, clock)), widths=(0.3, 1))


def of_recalls(facts: RunFacts, clock: Clock) -> Iterator[EvidenceBlock]:
    """The recalls that reached it, with what was done about this set."""
    if facts.recalls:
        rows = tuple(_recall(one, clock) for one in facts.recalls)
        columns = ("Recall", "Opened", "What was done about this set", "Closed")
        yield EvidenceTable("Recalls that reached it", columns, rows, widths=(1.5, 1, 1.4, 1))


def of_book(facts: RunFacts) -> tuple[EvidenceBlock, ...]:
    """The head of the chain, and how it is checked."""
    if facts.head is None:
        return (EvidenceSaid(("The record book has no event.",)),)
    rows = (
        ("Head", str(facts.head)),
        ("Event", str(facts.head.sequence)),
        ("Digest (SHA-256)", in_eights(facts.head.digest)),
    )
    how = _HOW_TO_CHECK.format(site=facts.site.id, head=facts.head)
    return (
        EvidenceTable("", ("What", "As it stood when this was made"), rows, widths=(0.3, 1)),
        EvidenceSaid((how, _MADE_TOO)),
    )


def in_eights(digest: str) -> str:
    """A digest in groups that a person can compare by eye.

    >>> in_eights("0123456789abcdef")
    '01234567 89abcdef'
    """
    return " ".join(digest[at : at + _GROUP] for at in range(0, len(digest), _GROUP))


def _case(one: CaseThen, clock: Clock) -> tuple[str, ...]:
    what = "used in it before this run" if one.is_before else f"made ready by this run: {one.state}"
    room = f"room {one.case.room}" if one.case.room else "room not recorded"
    return one.case.number, what, f"{room}, {clock.at(one.case.begins)}"


def _solution(one: SinkSolution, clock: Clock) -> tuple[str, ...]:
    warm = f", {one.temperature}" if one.temperature else ""
    made = f"{one.amount} in {one.water} ({one.dose}){warm}"
    until = f"discarded {clock.at(one.discarded)}" if one.discarded else "not discarded when this was made"
    late = one.discarded is not None and one.discarded > one.discard_by
    in_use = f"{clock.at(one.made)} to {clock.at(one.discard_by)} at most; {until}{', late' if late else ''}"
    return f"{one.name}, lot {one.lot}", made, in_use, one.by


def _paper(one: PaperThen, clock: Clock) -> tuple[str, ...]:
    name = f"{one.paper.kind.replace('-', ' ').capitalize()}, {one.paper.title}, code {one.code}"
    right = "" if one.is_of_the_run else ": not the one that this run followed"
    until = clock.at(one.place.ended_at) if one.place.ended_at else "still there"
    since = f"{clock.at(one.place.at)} ({one.place.by}), {until}"
    return name, f"revision {one.paper.of.revision}{right}", one.place.place, since


def _exception(form: ExceptionForm, clock: Clock) -> Iterator[tuple[str, str]]:
    yield "Authority", form.authority
    yield "Reason", form.reason
    yield "In the way", " ".join(form.in_the_way) or "nothing was recorded"
    yield "Made by", f"{form.by}, {clock.at(form.at)}"
    yield "Learnt later", " ".join(form.later) or "nothing"
    review = form.review
    until = f"not recorded; due by {clock.at(form.review_by)}"
    yield "Review", f"{review.words} {review.by}, {clock.at(review.at)}" if review else until


def _recall(one: RecallThen, clock: Clock) -> tuple[str, ...]:
    dealt = one.recall.sets.get(one.reached.run)
    closed = one.recall.closed
    return (
        one.recall.cause.words,
        f"{one.recall.by}, {clock.at(one.recall.at)}",
        f"{dealt.words}, {dealt.by}, {clock.at(dealt.at)}" if dealt else "nothing is recorded yet",
        f"{closed.by}, {clock.at(closed.at)}" if closed else "open",
    )
