"""Histories of random benches hold what a plain walk of the record book finds: all of it, nothing else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

import pytest

from sinkside.desk.history import gathered
from sinkside.desk.history.reading import History, see_history
from sinkside.journal import Event
from sinkside.records import Wanted, WantedCopies
from support.bench_sequence import ALL, Sequence
from support.figures import Figure


class Book:
    """Which entries concern which set and which load, told entry by entry from the first to the last.

    It knows machines and codes, as a person with the book and a pencil would.
    """

    def __init__(self, events: Iterable[Event], ids: dict[str, str], lists: dict[str, str]) -> None:
        """`ids` are the sets' ids by their codes, `lists` the lists by these ids."""
        self.of_set: dict[str, set[int]] = {copy: set() for copy in ids.values()}
        self.of_load: dict[str, set[int]] = {}
        self.inside: dict[str, set[str]] = {}
        self._ids, self._lists = ids, lists
        self._load_at: dict[str, str] = {}
        self._running: dict[str, str] = {}
        self._decided = ""
        self._every = list(events)
        for event in self._every:
            self._take(event)
        for load, copies in self.inside.items():
            for copy in copies:
                self.of_set[copy] |= self.of_load[load]

    def _take(self, event: Event) -> None:
        act: Any = event.data.get("act")
        noun, _, key = event.subject.partition(":")
        if event.kind == "tapped":
            self._tapped(event, act)
        elif noun == "copy":
            self.of_set[key].add(event.sequence)
        elif noun == "set":
            for copy in (one for one, of in self._lists.items() if of == key and self.of_set[one]):
                self.of_set[copy].add(event.sequence)
        elif noun == "deviation" and event.data["fault"] == "load-held":
            self.of_load[self._decided].add(event.sequence)
        elif noun == "deviation":
            copy, machine = str(event.data["copy"]), str(event.data["machine"])
            (self.of_set[copy] if copy else self.of_load[self._running[machine]]).add(event.sequence)
        elif event.kind in {"load-decided", "load-linked", "load-trouble"}:
            self.of_load[key].add(event.sequence)
            self._decided = key  # that it was held stands right below the decision
            if event.kind == "load-linked":
                cycle = str(event.data["cycle"])
                self.of_load[key] |= {one.sequence for one in self._every if one.subject == f"cycle:{cycle}"}

    def _tapped(self, event: Event, act: dict[str, Any]) -> None:
        copy = self._ids.get(str(act.get("code")))
        if copy is not None:
            self.of_set[copy].add(event.sequence)
        machine = str(act.get("machine"))
        if event.data["outcome"] != "done":
            return
        if act["act"] == "open-load":
            self._load_at[machine] = event.subject.partition(":")[2]
            self.of_load[self._load_at[machine]] = {event.sequence}
            self.inside[self._load_at[machine]] = set()
        elif act["act"] == "add-to-load" and copy is not None:
            self.inside[self._load_at[machine]].add(copy)
            self._put_into(machine, event)
        elif act["act"] == "start-load":
            self._running[machine] = self._load_at[machine]
            self._put_into(machine, event)
        elif act["act"] == "end-load":
            # The next load may be built for it while this one is in it.
            self.of_load[self._running[machine]].add(event.sequence)

    def _put_into(self, machine: str, event: Event) -> None:
        load = self._load_at[machine]
        self.of_load[load].add(event.sequence)


def _pages(sequence: Sequence, noun: str, thing: str) -> list[History]:
    """Every page of a history, the newest first."""
    house, before = sequence.bench.house, ""
    found: list[History] = []
    while not found or before:
        page = see_history(
            house.archive, house.visitor("lena"), noun, thing, now=sequence.bench.now, before=before
        )
        found.append(page)
        before = page.before
    return found


def _told(pages: list[History]) -> Counter[int]:
    return Counter(entry for page in pages for line in page.lines for entry in line.entries)


def _agree(seed: int, steps: int) -> tuple[int, int]:
    """Walk one bench's book and read every history; how many entries and pages of sets that was."""
    sequence = Sequence(seed)
    sequence.go(steps)
    with sequence.bench.house.archive.unit(writes=False) as unit:
        events = unit.journal.events("north", Wanted(limit=1_000_000))
        known = unit.bench.copies.found("north", WantedCopies())
    ids = {one.code: one.id for one in known}
    book = Book(sorted(events, key=lambda one: one.sequence), ids, {one.id: one.of for one in known})
    entries = pages = 0
    for copy, wanted in book.of_set.items():
        read = _pages(sequence, "set", copy)
        loads = {load for load, inside in book.inside.items() if copy in inside}
        beside = set().union(*(_added(book, load, copy, events) for load in loads)) if loads else set()
        assert _told(read) == Counter(wanted - beside), f"seed {seed}, set {copy}"
        entries, pages = entries + len(wanted), pages + len(read)
    for load, wanted in book.of_load.items():
        assert _told(_pages(sequence, "load", load)) == Counter(wanted), f"seed {seed}, load {load}"
    for person in ("tom", "tia"):
        of = sequence.bench.house.people[person]
        wanted = {one.sequence for one in events if of in {one.actor, one.subject.partition(":")[2]}}
        assert _told(_pages(sequence, "person", of)) == Counter(wanted), f"seed {seed}, {person}"
    return entries, pages


def _added(book: Book, load: str, copy: str, events: Iterable[Event]) -> set[int]:
    """What was put into a load beside a set: acts with other sets, which concern the load, not this set."""
    return {
        one.sequence
        for one in events
        if one.sequence in book.of_load[load]
        and one.subject.startswith("copy:")
        and one.subject != f"copy:{copy}"
    }


def test_histories_of_some_random_benches_are_those_of_the_record_book() -> None:
    """Two benches: each set, load and person has every entry of theirs once, folded or not, no other."""
    found = [_agree(seed, 150) for seed in (3, 4)]
    assert sum(entries for entries, _ in found) > 200


def test_a_history_on_several_pages_repeats_and_leaves_out_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same with 12 entries a page: what belongs to a load stands on the page on which it went in."""
    monkeypatch.setattr(gathered, "PAGE", 12)
    _, pages = _agree(5, 150)
    assert pages > 2 * len(ALL)


@pytest.mark.long
def test_histories_of_many_random_benches_are_those_of_the_record_book(figure: Figure) -> None:
    """The same of two hundred benches."""
    entries = sum(_agree(seed, 200)[0] for seed in range(200))
    assert entries > 20_000
    figure(f"200 benches, {entries:,} entries, none otherwise")
