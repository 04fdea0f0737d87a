"""Real things of one department, asked for by way of another: not there, and nothing is done."""

from __future__ import annotations

import re

import httpx
import pytest

from sinkside import wiring
from sinkside.demo.house import HARBOUR, VALLEY
from sinkside.desk.access import policy, visitor_in
from sinkside.desk.bench.alarms import ALARM
from sinkside.desk.jobs import work_once
from sinkside.desk.observing_kept import OBSERVATION
from sinkside.desk.paper_documents import PaperPrinted, PaperSource
from sinkside.desk.paper_register import register_printed
from sinkside.desk.roll_outs import ROLL_OUT
from sinkside.desk.solution_log import SOLUTION
from sinkside.records import Answer, Grant, Row
from sinkside.web.app import find_screens
from sinkside.web.screen import DEPARTMENT, Declared
from support.browserless import Caller
from support.memory_archive import MemoryArchive
from web.conftest import NOW, House, make_house

#: What the forms of acts take, so that no act is refused before it looks for its thing.
SAID: dict[str, str | list[str]] = {
    "action": "soak",
    "assumption": "out-container",
    "badge": "none",
    "base": "1",
    "beside_mass": "1 kg",
    "beside_material": "silicone",
    "beside_name": "mat",
    "code": "V-1",
    "confirm_by": "2027-03-01",
    "cycle": "c-none",
    "days": "1",
    "began": "cleaning",
    "decided": "held",
    "delay_min": "5",
    "held": "yes",
    "device": "none",
    "family": "tubular",
    "biological_lot": "t-none",
    "changed": "yes",
    "choice": "0",
    "chemical_lot": "t-none",
    "control": "yes",
    "criterion": "0123456789abcdef",
    "ended": "2026-03-02T09:00",
    "expires": "2030-01-01",
    "findings": ["none"],
    "found": "found",
    "grew": "no",
    "happened": "moved",
    "how": "removed",
    "implant": "no",
    "key": "key-of-a-tap",
    "letter": "A",
    "read": "92 °C for 5 min",
    "reached": "supervised",
    "how_far": "supervised",
    "opened": "tubular sink",
    "shift": "early",
    "stations": ["sink"],
    "name": "Other",
    "on": "2026-03-01",
    "on_revision": "1",
    "piece": "A",
    "reason": "why not",
    "place": "Sink 1",
    "question": "none",
    "role": "lead",
    "shown": "photo",
    "stage": "cleaning",
    "steps": ["none"],
    "started": "2026-03-02T09:00",
    "statement": "cleaned",
    "why": "move",
    "verdict_revision": "1",
    "words": "why",
    "x": "50",
    "y": "50",
}


_SPREADSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

_ANSWER_OF_THE_VALLEY = Answer(
    "a-valley", VALLEY.id, "p-valley", "i-valley", 1, "q", "2026-03-02", 0, is_right=True, at=NOW
)


_ALARM_OF_THE_VALLEY = Row(ALARM, "a-0123456789abcdef", VALLEY.id, "open", "1 × insert", NOW)


@pytest.fixture(scope="module")
def worked(filled: MemoryArchive) -> House:
    """A house whose documents are read, in which the lead of the harbour has every role there."""
    house = make_house(MemoryArchive(filled.tables))
    with house.archive.unit() as unit:
        person = unit.people.by_sign_in("harbour-lead")
        assert person is not None
        for role in policy().roles:
            unit.people.grant(Grant(person.id, HARBOUR.id, role))
    while work_once(house.archive, wiring.job_handlers(), worker="w", clock=lambda: NOW):
        pass
    return house


def _printed_before(house: House, key: str) -> str:
    """The code of a set's count sheet that was printed before a stop was opened in the set."""
    with house.archive.unit() as unit:
        person, kept = unit.people.by_sign_in("lead"), unit.documents.get("set", key)
        assert person is not None
        assert kept is not None
        of = PaperSource(noun="set", id=key, revision=kept.number, digest=kept.digest)
        paper = PaperPrinted(kind="count-sheet", title="A set of the valley", sources=(of,), size="a4")
        return register_printed(unit, visitor_in(unit, person.id, "valley", NOW), paper, now=NOW)


def _load_of_the_valley(lead: Caller) -> str:
    """A load that is begun for the valley's sterilizer."""
    machine = "at/valley/bench/machines/sterilizer-1"
    page = lead.get(f"/api/{machine}").json()
    act = {"key": page["begin"]["key"], "act": page["begin"]["act"], "program": page["programs"][0]["id"]}
    lead.post("/at/valley/bench/tap", act)
    address: str = lead.get(f"/api/{machine}").json()["building"]["line"]["address"]
    return address.rpartition("/")[2]


def _of_the_valley(house: House) -> dict[str, str]:
    """Something of each kind that is in the valley and not at the harbour, by how addresses name it."""
    tables = house.archive.tables
    rows = list(tables.rows.values())
    cycle = next(row for row in rows if row.kind == "cycle")
    instruction = max(rows, key=lambda row: int(row.fields.get("concerns_open") or 0))
    page = house.caller("lead").get(f"/api/at/valley/instructions/{instruction.id}").json()
    sheet = house.caller("lead").get("/at/valley/department/table").content
    files = [("table", ("ours.xlsx", sheet, _SPREADSHEET))]
    table = house.caller("lead").post("/at/valley/department/import", {}, files=files)
    key = next(row.id for row in rows if row.kind == "set")
    lead = house.caller("lead")
    paper = f"/at/valley/papers/{_printed_before(house, key)}"
    lead.post(f"{paper}/places", {"place": "Packing", "copies": "1"})
    steps = [step for stage in page["stages"] for step in stage["steps"]]
    findings = [*page["general"], *(one for step in steps for one in step["findings"])]
    lead.post("/at/valley/bench/cases", {"number": "2026-04711", "begins": "2026-03-03T07:30"})
    lead.post("/at/valley/bench/copies", {"key": key, "code": "V-1"})
    with house.archive.unit() as unit:
        unit.answers.keep(_ANSWER_OF_THE_VALLEY)
        unit.rows.put(_ALARM_OF_THE_VALLEY)
    copy = lead.get("/api/at/valley/bench/copies").json()["copies"][0]["id"]
    return {
        "department": HARBOUR.id,
        "noun": "set",
        "thing": copy,
        "answer": _ANSWER_OF_THE_VALLEY.id,
        "code": paper.rpartition("/")[2],
        "copy_id": copy,
        "copy": lead.get(f"/api{paper}").json()["hanging"][0]["id"],
        "instruction": instruction.id,
        "observation": next(row.id for row in rows if row.kind == OBSERVATION),
        "roll_out": next(row.id for row in rows if row.kind == ROLL_OUT),
        "station": "sink",
        "cycle": cycle.id,
        "machine": "sterilizer-1",
        "check": "leak-rate",
        "change": "0123456789abcdef",
        "indicator": next(row.id for row in rows if row.kind == "indicator"),
        "job": next(iter(tables.jobs)),
        "person": next(one.id for one in tables.people.values() if one.sign_in == "educator"),
        "digest": str(instruction.fields["file"]),
        "exception": "x-none",
        "recall": "n-none",
        "deviation": "d-none",
        "programme": "u-none",
        "product_family": "g-none",
        "event": "w-none",
        "tested": "d-none",
        "result": "q-none",
        "run": "r-none",
        "load": _load_of_the_valley(lead),
        "investigation": "v-none",
        "alarm": _ALARM_OF_THE_VALLEY.id,
        "case": lead.get("/api/at/valley/bench/cases").json()["cases"][0]["address"].rpartition("/")[2],
        "handover": "h-none",
        "loan": "b-none",
        "outage": "o-none",
        "finding": findings[0]["id"],
        "step": steps[0]["id"],
        "page": "1",
        "question": "0123456789abcdef",
        "place": "0",
        "solution": next(row.id for row in rows if row.kind == SOLUTION),
        "table": table.headers["location"].rpartition("/")[2],
        "family": "machines",
        "device_family": "tubular",
        "key": key,
        "number": "1",
    }


def _things(path: str) -> set[str]:
    """What an address names beside the department; a kind of thing is the same in every department."""
    return set(re.findall(r"\{(\w+)\}", path)) - {"department", "family", "language", "station"}


def _ask(caller: Caller, declared: Declared, address: str) -> list[httpx.Response]:
    """Ask at both doors, with everything that the form of an act needs."""
    doors = (address, f"/api{address}")
    if declared.kind != "act":
        return [caller.get(door) for door in doors]
    fields = declared.form.model_fields if declared.form else {}
    # A level is a word at a sign-off and a number in a tray; numbers that may stay empty are left so.
    form = {name: SAID[name] for name, one in fields.items() if name in SAID and one.annotation != int | None}
    if declared.uploads:
        files = [(declared.uploads, ("reply.txt", b"Dry the device.", "text/plain"))]
        return [caller.post(door, form, files=files) for door in doors]
    return [caller.post(doors[0], form), caller.send(doors[1], form)]


def test_a_thing_of_another_department_is_not_there(worked: House) -> None:
    """Every address that names a thing answers 404 to whoever may do everything, but elsewhere."""
    caller, named, before = worked.caller("harbour-lead"), _of_the_valley(worked), worked.archive.tables
    tried = []
    for declared in (one for screen in find_screens() for one in screen.declared):
        if not declared.path.startswith(DEPARTMENT) or not _things(declared.path):
            continue
        address = re.sub(r"\{(\w+)\}", lambda found: named[found[1]], declared.path)
        for answer in _ask(caller, declared, address):
            assert answer.status_code == 404, (declared.path, answer.text)
            assert not [word for word in ("forceps", "punch", "Edda", "Sterilizer") if word in answer.text]
        tried.append(declared.path)
    assert len(tried) > 30
    after = worked.archive.tables
    for table in ("rows", "revisions", "jobs", "people", "grants", "events", "links"):
        assert getattr(after, table) == getattr(before, table), table
