"""What a recall would reach, before anybody opens it; and opening it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Annotated, Final

from fastapi import Query
from pydantic import BeforeValidator, Field

from sinkside.bench.recall import CauseKind, Reaching, Where
from sinkside.desk.recall import recalling as desk
from sinkside.desk.recall.again import OpenAlready, open_of
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.evidence import BY_MACHINE, GoodEvidence, last_good, load_of
from sinkside.desk.recall.naming import named, unknown_codes
from sinkside.desk.recall.reaching import policy
from sinkside.desk.recall.recalling import Scope
from sinkside.desk.recall.rights import NARROW, OPEN, READ
from sinkside.errors import BadInput, NotThere
from sinkside.records import Row
from sinkside.sources import WAYS_OF_READING, source
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.recalls.place import (
    LIST,
    LONGEST,
    NEW,
    SetReached,
    counts_words,
    other_words,
    reached,
    screen,
    window_words,
)
from sinkside.web.screens.recalls.shelf import recalls_page
from sinkside.web.typed_moments import read_moment

#: Causes that name sets by their codes.
_OF_SETS: Final = frozenset({CauseKind.product, CauseKind.prion})
_LONGEST_LIST: Final = 20_000
#: So many unknown codes are told at once.
_MOST_TOLD: Final = 12
_BETWEEN_CODES: Final = re.compile(r"[\n\r\t,;]+")


@dataclass(frozen=True)
class ReachOffered:
    """A way of reaching: its id and name, what it takes in, and who says so."""

    id: str
    words: str
    what: str
    source: str


@dataclass(frozen=True)
class ReachPage:
    """What a recall would reach, before anybody opens it.

    Attributes:
        title: the heading.
        recalls: where the list is.
        counts: loads, sets and cases in one sentence.
        window: from when until when, in words.
        sets: what it reaches, what is to be done first at the head; not all where they are very many.
        more: how many are not shown.
        cases: the cases that one of the shown was used in.
        more_cases: how many are not shown.
        others: the other houses that it concerns, each with what it has.
        sent: what the form that opens it carries, by field.
        reaches: how far it may go; one only where it does not begin with a machine.
        reach: the one that is shown.
        what: what that takes in, in a sentence.
        source: who says so.
        counts_lists: whether it counts loads by what was scanned into them, and so misses what was not.
        may_narrow: whether whoever reads this may let it reach less far.
        may_open: whether they may open it.
        already: those of the same cause that are open: where each is, and since when.
    """

    title: str
    recalls: str
    counts: str
    window: str
    sets: tuple[SetReached, ...]
    more: int
    cases: tuple[str, ...]
    more_cases: int
    others: tuple[tuple[str, str], ...]
    sent: tuple[Option, ...]
    reaches: tuple[ReachOffered, ...]
    reach: str
    what: str
    source: str
    counts_lists: bool
    may_narrow: bool
    may_open: bool
    already: tuple[Option, ...]


class Begun(Form):
    """What a recall begins with, and how far it goes; an empty begin is the last good evidence.

    `of` is the machine, water point, person, text, chemical or device; `codes` are sets, one on each line;
    `cycle` is the record of the load that it began with; `again` is why another one of the same cause.
    """

    kind: CauseKind = CauseKind.machine
    of: str = Field("", max_length=200)
    words: str = Field("", max_length=LONGEST)
    since: str = Field("", max_length=40)
    until: str = Field("", max_length=40)
    reach: str = Field("", max_length=40)
    reason: str = Field("", max_length=LONGEST)
    revision: int = Field(0, ge=0, le=100_000)
    load: str = Field("", max_length=80)
    cycle: str = Field("", max_length=100)
    lot: str = Field("", max_length=80)
    where: Annotated[Where | None, BeforeValidator(lambda said: said or None)] = None
    codes: str = Field("", max_length=_LONGEST_LIST)
    again: str = Field("", max_length=LONGEST)


_NOTHING_SAID: Final = Begun()


@screen.page(NEW, right=READ, template="recall_new.html", asked_on=recalls_page)
def reach_page(asked: Asked, *, wanted: Annotated[Begun, Query()] = _NOTHING_SAID) -> ReachPage:
    """What a recall would reach: nothing is held or told yet."""
    cause, scope, good = _read(asked, wanted)
    found, others = desk.see_reach(asked.archive, asked.visitor, cause, scope, now=asked.now)
    chosen = wanted.reach or next(iter(policy().reaches))
    by_machine = cause.kind in BY_MACHINE
    way = policy().reaches[chosen]
    window = (scope.since, scope.until or asked.now)
    return ReachPage(
        title=cause.words,
        recalls=asked.at("/recalls"),
        counts=counts_words(found.loads, found.sets, found.cases),
        window=window_words(asked, *window, why=_why(wanted, good, by_machine=by_machine)),
        sets=tuple(reached(asked, cause.kind, one) for one in found.touched),
        more=found.runs - len(found.touched),
        cases=found.told_cases,
        more_cases=found.cases - len(found.told_cases),
        others=tuple((one.other, other_words(asked, one)) for one in others),
        sent=_sent(wanted, cause, chosen),
        reaches=tuple(_offered(key, one) for key, one in policy().reaches.items()) if by_machine else (),
        reach=chosen,
        what=way.what if by_machine else _WHAT[cause.kind],
        source=_source_words(way) if by_machine else "",
        counts_lists=by_machine,
        may_narrow=by_machine and asked.visitor.may(NARROW),
        may_open=asked.visitor.may(OPEN),
        already=tuple(_already(asked, row) for row in open_of(asked.archive, asked.visitor, cause)),
    )


@screen.act(LIST, right=OPEN, form=Begun, page=recalls_page)
def open_recall(asked: Asked, form: Begun) -> Done:
    """Open a recall: every set of it that is in the house is held."""
    cause, scope, _ = _read(asked, form)
    again = " ".join(form.again.split())
    if again:
        words = f"{cause.words} (another one: {again})"
        cause = cause.model_copy(update={"words": words[:LONGEST]})
    try:
        recall = desk.open_recall(
            asked.archive, asked.visitor, cause, replace(scope, again=again), now=asked.now
        )
    except OpenAlready as error:
        said = "This recall is open already; here it is. Nothing was opened twice."
        return Done(go=asked.at(f"/recalls/{error.resource}"), said=said)
    return Done(go=asked.at(f"/recalls/{recall}"), said="Opened; what is in the house is held.")


def _already(asked: Asked, row: Row) -> Option:
    since = shown_moment(row.due or row.updated, asked.visitor.zone)
    return Option(asked.at(f"/recalls/{row.id}"), f"{row.title.rstrip('.')}, since {since}")


def _sent(wanted: Begun, cause: Cause, reach: str) -> tuple[Option, ...]:
    """What the form that opens it carries: the same as was looked at, as far as anything was said."""
    said = {**wanted.model_dump(mode="json"), "words": cause.words, "reach": reach}
    said["codes"] = ", ".join(_codes(wanted.codes))
    return tuple(Option(name, str(value)) for name, value in said.items() if value)


#: What a recall takes in that begins with no machine.
_WHAT: Final = {
    CauseKind.person: "Every set that they did something with, and every load that they ran or decided on.",
    CauseKind.chemical: (
        "Every set at the sink while a solution of this lot was in use, and every load of a machine "
        "that doses it: nobody keeps which lot a machine draws from."
    ),
    CauseKind.text: "Every set that went by this revision of the text.",
    CauseKind.product: "Every set that the notice concerns, and every case that one of them was used in.",
    CauseKind.prion: (
        "Every case of these sets. No cycle is proposed: they are set apart, and a named person of infection "
        "prevention decides."
    ),
}


def _offered(key: str, one: Reaching) -> ReachOffered:
    return ReachOffered(key, one.name, one.what, _source_words(one))


def _source_words(reach: Reaching) -> str:
    """Who says so, and how we came by it."""
    if not reach.source:
        return WAYS_OF_READING[reach.how_read]
    return f"{source(reach.source, reach.clause)} ({WAYS_OF_READING[reach.how_read]})"


def _why(form: Begun, good: GoodEvidence | None, *, by_machine: bool) -> str:
    """What the begin of the time in question rests on."""
    if form.since.strip() or not by_machine:
        return ""
    return good.words if good else "as no good evidence is kept"


def _codes(text: str) -> list[str]:
    """The codes of a list that somebody scanned or pasted, one on each line, each once."""
    return list(dict.fromkeys(one.strip() for one in _BETWEEN_CODES.split(text) if one.strip()))


def _read(asked: Asked, form: Begun) -> tuple[Cause, Scope, GoodEvidence | None]:
    """The cause, how far it goes, and the last good evidence of a machine, where it begins unless told."""
    codes = _codes(form.codes)
    _refuse_unsaid(form, codes)
    sets = _sets_of(asked, codes) if codes and form.kind in _OF_SETS else ()
    cause = Cause(
        kind=form.kind,
        of=form.of.strip() or (sets[0] if sets else ""),
        words=form.words.strip() or form.kind.value,
        load=form.load or (load_of(asked.archive, asked.visitor, form.cycle) if form.cycle else ""),
        revision=form.revision,
        lot=form.lot.strip(),
        where=form.where,
        sets=sets,
    )
    if not form.words.strip():
        cause = named(asked.archive, asked.visitor, cause)
    good = last_good(asked.archive, asked.visitor, cause)
    said = read_moment(asked, form.since, field="since") if form.since.strip() else None
    until = read_moment(asked, form.until, field="until") if form.until.strip() else None
    return cause, Scope(form.reach, form.reason, said or (good.since if good else None), until), good


def _sets_of(asked: Asked, codes: list[str]) -> tuple[str, ...]:
    """The sets of some codes.

    Raises:
        BadInput: which of them nothing here has, all at once.
    """
    try:
        return desk.sets_for(asked.archive, asked.visitor, codes)
    except NotThere as error:
        unknown = unknown_codes(asked.archive, asked.visitor, codes)
        more = f" and {len(unknown) - _MOST_TOLD} more" if len(unknown) > _MOST_TOLD else ""
        told = f"nothing here has {'the code' if len(unknown) == 1 else 'these codes'}"
        raise BadInput(f"{told}: {', '.join(unknown[:_MOST_TOLD])}{more}", resource="codes") from error


def _refuse_unsaid(form: Begun, codes: list[str]) -> None:
    if form.kind is CauseKind.text and not form.revision:
        raise BadInput("say which revision, such as 2", resource="revision")
    if form.kind is CauseKind.prion and not codes:
        raise BadInput("scan the codes of the sets", resource="codes")
    if form.kind in _OF_SETS and form.until.strip():
        raise BadInput("the sets themselves are in question: until now", resource="until")
    if not form.of.strip() and not (codes and form.kind in _OF_SETS):
        raise BadInput("say of what", resource="of")
