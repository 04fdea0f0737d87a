"""What needs attention today, and the record book."""

from __future__ import annotations

import ast
import hashlib
import json
from datetime import date, timedelta
from pathlib import Path

import pytest

import sinkside.desk
from sinkside.desk import accounts, answering, approving, editing, record_book, shelf
from sinkside.desk.memories import LEARNING
from sinkside.desk.record_sentences import SENTENCES
from sinkside.desk.today import Matter, today, waiting_for_others
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.findings import LEVELS, Level
from sinkside.records import Wanted
from support.desk_house import SITE, House, drafted, settle
from support.memory_archive import MemoryArchive


def _today(house: House, name: str) -> tuple[Matter, ...]:
    """What is to be done; the questions of the day come with any approved text and are shown elsewhere."""
    found = today(house.archive, house.visitor(name), now=house.now)
    return tuple(one for one in found if one.noun != LEARNING)


def test_open_stops_come_first_for_who_may_answer(house: House) -> None:
    """An educator sees the stops to answer; a technician, who cannot answer, sees nothing."""
    instruction = drafted(house, "eve")
    (matter,) = _today(house, "uma")
    assert (matter.level, matter.noun, matter.id) == (Level.stop, "instruction", instruction)
    assert matter.sentence.startswith("Grasper: ")
    assert _today(house, "tom") == ()


def test_a_question_to_the_maker_is_nobodys_turn_here(house: House) -> None:
    """Once every finding was asked of the maker, and every step accepted, the matter is a note."""
    instruction = drafted(house, "eve")
    uma = house.visitor("uma")
    to_do = shelf.open_instruction(house.archive, uma, instruction).to_do
    answering.ask_maker(house.archive, uma, instruction, [one.id for one in to_do.findings], now=house.now)
    assert [matter.level for matter in _today(house, "uma")] == [Level.stop]
    editing.edit(house.archive, uma, instruction, editing.Accept(to_do.steps), base=1, now=house.now)
    assert [matter.level for matter in _today(house, "uma")] == [Level.note]


def test_who_drafted_is_not_asked_to_approve(house: House) -> None:
    """A revision with nothing left to do waits for everybody who may approve but did not write it."""
    instruction = drafted(house, "eve")
    settle(house, "eve", instruction)
    assert _today(house, "eve") == ()
    assert ["approval" in matter.sentence for matter in _today(house, "uma")] == [True]


def test_the_date_of_confirmation_comes_near_and_passes(house: House) -> None:
    """A month before the date it is a concern for whose turn it is; after it, a stop."""
    instruction = drafted(house, "eve")
    revision = settle(house, "eve", instruction)
    approving.approve(
        house.archive,
        house.visitor("ada"),
        instruction,
        revision=revision,
        confirm_by=date(2026, 6, 1),
        now=house.now,
    )
    assert _today(house, "ada") == ()
    house.later(days=70)
    assert [matter.level for matter in _today(house, "ada")] == [Level.concern]
    house.later(days=30)
    assert [matter.level for matter in _today(house, "ada")] == [Level.stop]


def test_access_that_ends_soon_is_told_to_who_manages_people(house: House) -> None:
    """A role that ends within two weeks is a note for the administrator, with the name."""
    until = house.now + timedelta(days=10)
    accounts.grant_role(
        house.archive, house.visitor("ada"), house.people["tom"], role="lead", now=house.now, until=until
    )
    (matter,) = _today(house, "ada")
    assert (matter.level, matter.noun, matter.due) == (Level.note, "person", until)
    assert matter.sentence.startswith("Tom: access as Lead ends on ")


def test_what_waits_for_others_is_told_with_whom(house: House) -> None:
    """A technician sees what is open here and for whom it waits; whoever may do it has it as their own."""
    drafted(house, "eve")
    (waiting,) = waiting_for_others(house.archive, house.visitor("tom"), now=house.now)
    assert (waiting.noun, waiting.sentence) == (
        "instruction",
        "1 instruction waits to be checked and answered.",
    )
    assert waiting.whom == "Ada, Eve, Uma"
    assert waiting_for_others(house.archive, house.visitor("uma"), now=house.now) == ()


def test_matters_are_sorted_worst_first(house: House) -> None:
    """Stops stand before concerns, and those before notes."""
    settle(house, "eve", drafted(house, "eve"))
    drafted(house, "eve")
    accounts.grant_role(
        house.archive,
        house.visitor("ada"),
        house.people["tom"],
        role="lead",
        now=house.now,
        until=house.now + timedelta(days=3),
    )
    levels = [matter.level for matter in _today(house, "ada")]
    assert levels == list(LEVELS)


def test_every_event_of_the_desk_has_a_sentence() -> None:
    """Each kind of event that a verb appends is told in the record book in plain words."""
    kinds: set[str] = set()
    for path in Path(sinkside.desk.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "record":
                kinds |= {
                    leaf.value
                    for leaf in ast.walk(node.args[2])
                    if isinstance(leaf, ast.Constant) and isinstance(leaf.value, str)
                }
    assert len(kinds) > 10
    assert kinds <= set(SENTENCES)


def test_the_record_book_tells_and_is_searched(house: House) -> None:
    """Events come newest first, with names that stand outside them; kind, actor and page narrow them."""
    instruction = drafted(house, "eve")
    olga = house.visitor("olga")
    page = record_book.read_record(house.archive, olga, Wanted())
    assert page.entries[0].sentence.startswith("Eve had Grasper drafted as revision 1")
    assert page.entries[0].id == instruction
    assert page.before is None
    drafts = record_book.read_record(house.archive, olga, Wanted(kinds=["instruction-drafted"]))
    assert [entry.noun for entry in drafts.entries] == ["instruction"]
    first = record_book.read_record(house.archive, olga, Wanted(limit=2))
    rest = record_book.read_record(house.archive, olga, Wanted(before=first.before, limit=500))
    assert [entry.sequence for entry in (*first.entries, *rest.entries)] == [
        entry.sequence for entry in page.entries
    ]
    with pytest.raises(BadInput):
        record_book.read_record(house.archive, olga, Wanted(limit=100_000))


def test_the_record_book_is_searched_by_names_it_does_not_hold(house: House) -> None:
    """Who did it and what it concerns are found by the names that people read, though events hold ids."""
    instruction = drafted(house, "eve")
    settle(house, "uma", instruction)
    title = shelf.open_instruction(house.archive, house.visitor("uma"), instruction).row.title
    for words in (title, title[2:7].upper()):
        found = record_book.read_record(house.archive, house.visitor("uma"), Wanted(text=words))
        assert instruction in {entry.id for entry in found.entries}, words
    name = "Uma"
    found = record_book.read_record(house.archive, house.visitor("uma"), Wanted(text=name, limit=500))
    assert any(entry.actor_name.startswith(name) for entry in found.entries)
    numbers = [entry.sequence for entry in found.entries]
    assert numbers == sorted(set(numbers), reverse=True)
    nothing = record_book.read_record(house.archive, house.visitor("uma"), Wanted(text="heron"))
    assert nothing.entries == ()


def test_a_technician_reads_no_record_book(house: House) -> None:
    """Reading, taking out and checking each need their right; the history of one thing does not."""
    tom = house.visitor("tom")
    instruction = drafted(house, "eve")
    with pytest.raises(NotAllowed):
        record_book.read_record(house.archive, tom, Wanted())
    with pytest.raises(NotAllowed):
        record_book.export_record(house.archive, tom)
    with pytest.raises(NotAllowed):
        record_book.check_chain(house.archive, tom)
    told = record_book.history_of(house.archive, tom, noun="instruction", thing=instruction)
    assert [entry.kind for entry in told] == ["instruction-drafted", "document-handed-in"]
    with pytest.raises(NotThere):
        record_book.history_of(house.archive, tom, noun="cycle", thing="c-none")


def test_the_export_can_be_recomputed_by_anybody(house: House) -> None:
    """From the lines alone, SHA-256 leads from event to event and to the head in the last line."""
    *lines, last = (
        line.rstrip(b"\n") for line in record_book.export_record(house.archive, house.visitor("olga"))
    )
    digest = "0" * 64
    for line in lines:
        assert json.loads(line)["previous"] == digest
        digest = hashlib.sha256(line).hexdigest()
    head = json.loads(last)
    assert (head["digest"], head["sequence"]) == (digest, len(lines))


def test_a_changed_event_is_found_and_named(house: House) -> None:
    """An event that was changed in the store breaks the chain at its number."""
    assert isinstance(house.archive, MemoryArchive)
    olga = house.visitor("olga")
    whole = record_book.check_chain(house.archive, olga)
    assert whole.whole
    assert str(whole.head) in whole.sentence
    chain = list(house.archive.tables.events[SITE.id])
    chain[2] = chain[2].model_copy(update={"data": {"role": "auditor"}})
    house.archive.tables.events[SITE.id] = tuple(chain)
    broken = record_book.check_chain(house.archive, olga)
    assert broken.fault is not None
    assert broken.fault.sequence == 4


def test_a_chain_that_was_cut_does_not_reach_the_printed_head(house: House) -> None:
    """A head that was kept on paper shows that the last events are gone."""
    assert isinstance(house.archive, MemoryArchive)
    olga = house.visitor("olga")
    printed = record_book.check_chain(house.archive, olga).head
    chain = house.archive.tables.events[SITE.id]
    house.archive.tables.events[SITE.id] = chain[:-1]
    assert record_book.check_chain(house.archive, olga).whole
    assert not record_book.check_chain(house.archive, olga, kept=printed).whole
