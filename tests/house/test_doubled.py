"""A button pressed twice, two people who press at once: what was asked is done once, and nothing is lost."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from pathlib import Path

import pytest

from sinkside import wiring
from sinkside.archive import check, open_archive
from sinkside.desk import shelf
from sinkside.desk.access import visitor_in
from sinkside.desk.cycle_handing_in import Ran, hand_in_cycles
from sinkside.desk.uploads import Upload
from sinkside.records import Wanted
from support.command import SAMPLES
from support.filled_house import house_at
from support.served import Guest, Served, guest, served

AT = "/at/valley"
TRACE = (SAMPLES / "traces" / "r-009.csv").read_bytes()
SEE_OTHER = 303
TEXT = b"Dry the device with medical air for 30 seconds.\n"

Form = Mapping[str, object]


class Pressing:
    """A served house, in which the same thing is pressed several times at once."""

    def __init__(self, house: Path, serving: Served) -> None:
        self.house, self.port = house, serving.port
        self.archive = open_archive(house)
        self.lead = guest(self.archive, "lead")

    def at_once(
        self, press: Callable[[Guest, int], tuple[int, str]], *people: Guest
    ) -> list[tuple[int, str]]:
        """What came of it, for each press; the presses wait for each other before they start."""
        ready, told = threading.Barrier(len(people)), []

        def wait_and_press(who: Guest) -> None:
            ready.wait(30)
            told.append(press(who, self.port))

        pressing = [threading.Thread(target=wait_and_press, args=(who,), daemon=True) for who in people]
        for thread in pressing:
            thread.start()
        for thread in pressing:
            thread.join(60)
        return sorted(told)

    def happened(self, kind: str) -> int:
        """How many events of a kind there are."""
        with self.archive.unit(writes=False) as unit:
            return len(unit.journal.events("valley", Wanted(kinds=[kind], limit=1000)))


@pytest.fixture(scope="module")
def pressing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Pressing]:
    """A served house whose documents are read."""
    house = house_at(tmp_path_factory.mktemp("doubled") / "house", is_read=True)
    with served(house) as serving:
        made = Pressing(house, serving)
        yield made
        made.archive.close()
    assert check(house).problems == []


def _cycle(pressing: Pressing) -> str:
    with pressing.archive.unit(writes=False) as unit:
        lead = unit.people.by_sign_in("lead")
        assert lead is not None
        who = visitor_in(unit, lead.id, "valley", wiring.now())
    record = Upload("r-009.csv", "text/csv", TRACE)
    kept = hand_in_cycles(
        pressing.archive, who, [record], ran=Ran("sterilizer-1", "132 °C, 4 min"), now=wiring.now()
    )
    return kept.cycles[0]


def _instruction(pressing: Pressing) -> tuple[str, str]:
    """An instruction that nobody has changed yet, and its first step."""
    with pressing.archive.unit(writes=False) as unit:
        row = next(row for row in unit.rows.all(shelf.KIND, ["valley"]) if row.fields.get("revision") == 1)
        return row.id, shelf.opened(unit, row).instruction.steps[0].id


def test_a_doubled_press_does_it_once(pressing: Pressing) -> None:
    """Deciding, confirming a step, adding a person: each is done once, and the other presses are told."""
    cycle, (instruction, step) = _cycle(pressing), _instruction(pressing)
    admin = guest(pressing.archive, "administrator")
    decided: Form = {"decided": "held", "verdict_revision": 1, "reason": "pressed twice"}
    added: Form = {"name": "Uma Twice", "sign_in": "uma", "roles": "technician"}
    acts = [
        ("cycle-decided", pressing.lead, f"{AT}/cycles/{cycle}/decision", decided),
        ("step-accepted", pressing.lead, f"{AT}/instructions/{instruction}/steps/{step}/accept", {"base": 1}),
        ("person-added", admin, f"{AT}/people/new", added),
    ]
    for kind, who, path, form in acts:
        before = pressing.happened(kind)
        statuses = [status for status, _ in pressing.at_once(partial(_post, path, form), who, who, who)]
        assert pressing.happened(kind) == before + 1, (kind, statuses)
        assert all(status < 500 for status in statuses), (kind, statuses)
        assert sum(status in {200, SEE_OTHER} for status in statuses) == 1, (kind, statuses)


def _post(path: str, form: Form, who: Guest, port: int) -> tuple[int, str]:
    return who.post(port, path, form)


def test_a_doubled_document_is_one(pressing: Pressing) -> None:
    """The same document sent three times at once is read once, and every press leads to it."""
    lead, before = pressing.lead, pressing.happened("document-handed-in")
    told = pressing.at_once(partial(_send, "instructions/new", "document", TEXT), lead, lead, lead)
    assert [status for status, _ in told] == [SEE_OTHER] * 3
    assert len({where for _, where in told}) == 1
    assert pressing.happened("document-handed-in") == before + 1


def test_a_doubled_record_is_one(pressing: Pressing) -> None:
    """A recorder's file sent three times at once is the one cycle that was handed in by it."""
    cycle, lead, before = _cycle(pressing), pressing.lead, pressing.happened("cycle-handed-in")
    ran = {"program": "sterilizer-1|132 °C, 4 min"}
    told = pressing.at_once(partial(_send, "cycles/new", "files", TRACE, more=ran), lead, lead, lead)
    assert told == [(SEE_OTHER, f"{AT}/cycles/{cycle}")] * 3
    assert pressing.happened("cycle-handed-in") == before


def _send(
    path: str, field: str, data: bytes, who: Guest, port: int, *, more: Mapping[str, str] | None = None
) -> tuple[int, str]:
    name = "r-009.csv" if data == TRACE else "ifu.txt"
    return who.send_file(port, f"{AT}/{path}", field=field, name=name, data=data, more=more)


def test_of_two_people_at_the_same_revision_one_is_told(pressing: Pressing) -> None:
    """Two editors strike a step of the same revision at once: one has done it, the other is told."""
    instruction, step = _instruction(pressing)
    educator = guest(pressing.archive, "educator")
    path = f"{AT}/instructions/{instruction}/steps/{step}/strike"
    told = pressing.at_once(partial(_post, path, {"base": 1, "reason": "no step"}), pressing.lead, educator)
    assert [status for status, _ in told] == [SEE_OTHER, 409]


def test_a_form_sent_after_signing_out_does_nothing(pressing: Pressing) -> None:
    """Signing out twice at once signs out once; a page that was still open does nothing any more."""
    instruction, step = _instruction(pressing)
    educator = guest(pressing.archive, "educator")
    told = pressing.at_once(partial(_post, "/sign-out", {}), educator, educator)
    assert all(status < 500 for status, _ in told)
    assert pressing.happened("signed-out") == 1
    before = pressing.happened("step-accepted")
    path = f"{AT}/instructions/{instruction}/steps/{step}/accept"
    status, where = educator.post(pressing.port, path, {"base": 1})
    assert status == 401 or where.startswith("/sign-in")
    assert pressing.happened("step-accepted") == before
