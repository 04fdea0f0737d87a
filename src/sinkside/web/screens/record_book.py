"""The record book: everything that happened here, searched, taken out as a file, and checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode

from fastapi import Query

from sinkside.desk import record_book as desk_record
from sinkside.records import Wanted
from sinkside.web.asked import Asked
from sinkside.web.days import midnight
from sinkside.web.screen import DEPARTMENT, Nav, Screen, Sending
from sinkside.web.screens.today import address_of

screen = Screen("record-book")

_ENTRIES = 50
_LARGEST_SEQUENCE = 2**53


@dataclass(frozen=True)
class EntryLine:
    """One event: its number, when in the department's own time, what it says, and why, as far as it was said.

    `address` is where its thing is opened.
    """

    sequence: int
    at: str
    sentence: str
    reason: str
    kind: str
    address: str
    digest: str


@dataclass(frozen=True)
class RecordBookPage:
    """Entries, newest first, with what was searched for; `head` is what the chain ends with, in print."""

    title: str
    address: str
    entries: tuple[EntryLine, ...]
    text: str
    since: str
    until: str
    older: str
    newest: str
    head: str
    export: str
    check: str


@dataclass(frozen=True)
class ChainPage:
    """Whether the chain is whole: one sentence, how many events, the head."""

    title: str
    whole: bool
    sentence: str
    events: int
    head: str
    book: str


@screen.page(
    f"{DEPARTMENT}/record",
    right="record-read",
    template="record_book.html",
    nav=Nav("Record book", 50, "proof"),
)
def record_book(
    asked: Asked,
    *,
    text: Annotated[str, Query(max_length=200)] = "",
    since: Annotated[str, Query(max_length=10)] = "",
    until: Annotated[str, Query(max_length=10)] = "",
    before: Annotated[int | None, Query(ge=1, le=_LARGEST_SEQUENCE)] = None,
) -> RecordBookPage:
    """What happened here, newest first: by words, from a day, to a day."""
    wanted = Wanted(
        text=text.strip() or None,
        since=midnight(since, asked.visitor.zone),
        until=midnight(until, asked.visitor.zone, days=1),
        before=before,
        limit=_ENTRIES,
    )
    found = desk_record.read_record(asked.archive, asked.visitor, wanted)
    address = asked.at("/record")
    searched = {"text": text, "since": since, "until": until}
    told = {name: value for name, value in searched.items() if value}
    return RecordBookPage(
        title="Record book",
        address=address,
        entries=tuple(
            EntryLine(
                entry.sequence,
                entry.at.strftime("%Y-%m-%d %H:%M:%S"),
                entry.sentence,
                entry.reason,
                entry.kind,
                address_of(asked, entry.noun, entry.id),
                entry.digest,
            )
            for entry in found.entries
        ),
        text=text,
        since=since,
        until=until,
        older=f"{address}?{urlencode({**told, 'before': found.before})}" if found.before else "",
        newest=f"{address}?{urlencode(told)}" if before else "",
        head=str(found.head) if found.head else "",
        export=asked.at("/record/export"),
        check=asked.at("/record/chain"),
    )


@screen.page(f"{DEPARTMENT}/record/chain", right="chain-check", template="chain.html")
def chain(asked: Asked) -> ChainPage:
    """Recompute every digest of the record book, and say whether the chain is whole."""
    checked = desk_record.check_chain(asked.archive, asked.visitor)
    return ChainPage(
        title="The chain of the record book",
        whole=checked.whole,
        sentence=checked.sentence,
        events=checked.events,
        head=str(checked.head) if checked.head else "",
        book=asked.at("/record"),
    )


@screen.file(f"{DEPARTMENT}/record/export", right="record-export")
def export(asked: Asked) -> Sending:
    """The record book as lines of JSON, closed by its head."""
    lines = desk_record.export_record(asked.archive, asked.visitor)
    name = f"record-{asked.visitor.department}-{asked.now:%Y%m%dT%H%M}.jsonl"
    return Sending(lines, "application/x-ndjson", saved_as=name)
