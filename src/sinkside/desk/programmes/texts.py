"""Whether texts are current: makers asked, answers kept, confirmed until when; what is due first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Final

from sinkside.bench.programmes.text_currency import Currency, MakerAsked, MakerSaid, TextCurrency
from sinkside.bench.programmes.words import plain
from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.approving import RIGHT, confirmed_in
from sinkside.desk.bench.kept_lists import KeptList, Line
from sinkside.desk.keeping import read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.programmes.policy import READ, RECORD
from sinkside.desk.set_texts import READ as WITH_REVISION
from sinkside.desk.set_texts import approved_of, device_name
from sinkside.errors import BadInput
from sinkside.findings import Level
from sinkside.records import Row

TEXT: Final = "text-currency"
TEXTS: Final = KeptList(TEXT, TextCurrency, "text")
_MOST: Final = 1_000
_LAST: Final = datetime.max.replace(tzinfo=UTC)

#: What is to be done first stands first.
_ORDER: Final = (Currency.replaced, Currency.waits, Currency.never_asked, Currency.current)


@dataclass(frozen=True)
class TextSeen:
    """A text: its row on the shelf, how it stands towards its maker, and what the maker was last asked."""

    row: Row
    stands: Currency
    last: MakerAsked | None


@dataclass(frozen=True)
class Answer:
    """What the maker answered, and until when that holds, where the person may confirm it."""

    said_by: str
    is_current: bool
    edition: str = ""
    confirm_by: date | None = None


def find_texts(archive: Archive, who: Visitor) -> tuple[TextSeen, ...]:
    """The approved texts: what another edition has replaced first, then what is due first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        rows = unit.rows.all(shelf.KIND, [who.department], states=WITH_REVISION, limit=_MOST)
        found = [_seen(unit, row) for row in rows if approved_of(row)]
    return tuple(
        sorted(found, key=lambda one: (one.stands is not Currency.replaced, one.row.due or _LAST, _rank(one)))
    )


def ask_maker(archive: Archive, who: Visitor, instruction: str, *, how: str, now: datetime) -> None:
    """Keep that the maker was asked whether a text is current.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such text here.
        BadInput: if nothing is approved, or an answer is still to come.
    """
    require(who, RECORD)
    with archive.unit() as unit:
        row = _approved(unit, who, instruction)
        known = _known(unit, row)
        if known.asked and known.asked[-1].answer is None:
            raise BadInput("the maker was asked and has not answered yet", resource="how")
        asked = MakerAsked(
            how=plain(how, "how", needed=True), revision=approved_of(row), by=who.person, at=now
        )
        after = known.model_copy(update={"asked": (*known.asked, asked)})
        _keep(unit, who, row, after, event="maker-asked-if-current", now=now)


def maker_answered(
    archive: Archive, who: Visitor, instruction: str, answer: Answer, *, now: datetime
) -> None:
    """Keep what the maker answered; where ours is current, whoever may confirms it until the next day.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such text here.
        BadInput: if nobody asked, another edition is not named, or a day is given by who may not confirm.
    """
    require(who, RECORD)
    with archive.unit() as unit:
        row = _approved(unit, who, instruction)
        known = _known(unit, row)
        if not known.asked or known.asked[-1].answer is not None:
            raise BadInput("say first that the maker was asked", resource="said_by")
        said = MakerSaid(
            said_by=plain(answer.said_by, "said_by", needed=True),
            is_current=answer.is_current,
            edition=plain(answer.edition, "edition", needed=not answer.is_current),
            by=who.person,
            at=now,
        )
        last = known.asked[-1].model_copy(update={"answer": said})
        after = known.model_copy(update={"asked": (*known.asked[:-1], last)})
        _keep(unit, who, row, after, event="maker-answered-if-current", now=now)
        if answer.is_current and answer.confirm_by is not None:
            if not may_confirm(who, row):
                raise BadInput("it is not your turn to confirm this text", resource="confirm_by")
            confirmed_in(unit, who, row, confirm_by=answer.confirm_by, now=now)


def may_confirm(who: Visitor, row: Row) -> bool:
    """Whether somebody may confirm that a text is current: it is their turn, or they may approve."""
    return who.may(RIGHT) or row.fields.get("confirm_turn") == who.person


def texts_to_see_to(unit: Unit, who: Visitor) -> Iterator[tuple[Level, str, str, datetime | None]]:
    """What Today says of texts that another edition has replaced; of those to confirm it says elsewhere."""
    if not who.may(RECORD):
        return
    for kept in unit.rows.all(TEXT, [who.department], states=(Currency.replaced.value,), limit=_MOST):
        row = unit.rows.get(shelf.KIND, kept.id)
        seen = _seen(unit, row) if row is not None else None
        if seen is not None and seen.last and seen.last.answer and seen.stands is Currency.replaced:
            edition = seen.last.answer.edition
            sentence = f"{device_name(seen.row)}: the maker's current text is {edition}; hand it in."
            yield Level.stop, sentence, "", None


def _rank(one: TextSeen) -> int:
    return _ORDER.index(one.stands)


def _seen(unit: Unit, row: Row) -> TextSeen:
    known = _known(unit, row)
    return TextSeen(row, known.stands(approved_of(row)), known.asked[-1] if known.asked else None)


def _known(unit: Unit, row: Row) -> TextCurrency:
    return read_kept(unit, TEXT, row.id, TextCurrency) or TextCurrency()


def _approved(unit: Unit, who: Visitor, instruction: str) -> Row:
    row = shelf.row_of(unit, who, instruction)
    if not approved_of(row):
        raise BadInput("nothing is approved of this text", resource="instruction")
    return row


def _keep(unit: Unit, who: Visitor, row: Row, after: TextCurrency, *, event: str, now: datetime) -> None:
    line = Line(after.stands(approved_of(row)).value, device_name(row))
    data = {"revision": approved_of(row)}
    TEXTS.keep(unit, who, row.id, after, line, event=event, now=now, data=data)
