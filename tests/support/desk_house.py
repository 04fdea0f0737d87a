"""A small house for tests of the desk: people of several roles, over an archive in memory."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from sinkside.desk import accounts, answering, credentials, drafting, editing, shelf, signing_in
from sinkside.desk.access import Visitor, visitor_in
from sinkside.desk.jobs import work_once
from sinkside.desk.ports import Archive
from sinkside.desk.uploads import Upload
from sinkside.documents import to_values
from sinkside.instruction import Device, Instruction, MakerDocument, Origin, Step
from sinkside.quantities import Figure
from sinkside.records import Site
from support.memory_archive import MemoryArchive

PHRASE = "correct horse battery staple"
BADGE_KEY = b"sixteen bytes or"
START = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
SITE = Site("north", "North", "Europe/Vienna")
ELSEWHERE = Site("south", "South", "Europe/Vienna")
LETTER = Upload("reply.txt", "text/plain", b"It is 134 degrees. Kind regards, the maker")


@dataclass
class House:
    """The archive, a clock that tests move, and the people by what they sign in with."""

    archive: Archive = field(default_factory=MemoryArchive)
    now: datetime = START
    people: dict[str, str] = field(default_factory=dict)

    def later(self, **time: float) -> datetime:
        """Move the clock on."""
        self.now += timedelta(**time)
        return self.now

    def visitor(self, name: str, department: str = SITE.id) -> Visitor:
        """Somebody at work in a department."""
        with self.archive.unit(writes=False) as unit:
            return visitor_in(unit, self.people[name], department, self.now)

    def add(self, name: str, *roles: str) -> str:
        """Add a person with roles, and with the password that all have."""
        new = accounts.NewPerson(name.capitalize(), name)
        added = accounts.add_person(self.archive, self.visitor("ada"), new, roles=roles, now=self.now)
        credentials.choose_password(self.archive, token=added.token, password=PHRASE, now=self.now)
        self.people[name] = added.person
        return added.person

    def sign_in(
        self, name: str, password: str = PHRASE, *, address: str = "10.0.0.1", tablet: bool = False
    ) -> signing_in.SignedIn:
        """Sign in by password."""
        return signing_in.sign_in(
            self.archive, name=name, password=password, address=address, now=self.now, shared_tablet=tablet
        )


def new_house(archive: Archive | None = None) -> House:
    """A house in which Ada manages people and leads; in memory, unless an empty archive is given."""
    house = House(archive) if archive else House()
    token = accounts.first_account_link(house.archive, now=house.now)
    assert token is not None
    house.people["ada"] = accounts.set_up_first_account(
        house.archive,
        token=token,
        new=accounts.NewPerson("Ada", "ada"),
        password=PHRASE,
        site=SITE,
        now=house.now,
    )
    return house


def steam_step(celsius: float, written: str, step_id: str = "s2") -> Step:
    """A prevacuum cycle of four minutes at some temperature, read from `written`."""
    return Step.model_validate(
        {
            "id": step_id,
            "stage": "sterilization",
            "action": "sterilize",
            "air_removal": "prevacuum",
            "figures": [
                Figure(quantity="temperature", value=celsius, unit="°C", as_written=f"{celsius:g} °C"),
                Figure(quantity="time", value=4, unit="min", as_written="4 min", role="exposure"),
                Figure(quantity="time", value=20, unit="min", as_written="20 min", role="drying"),
            ],
            "origin": Origin(page=1, line=9, text=written),
        }
    )


def grasper(
    celsius: float = 143, written: str = "Steam, prevacuum: 143 °C, 4 min, drying 20 min."
) -> Instruction:
    """A text that asks for a steam temperature which no sterilizer has."""
    dry = Step.model_validate(
        {
            "id": "s1",
            "stage": "drying",
            "action": "dry",
            "origin": Origin(page=1, line=7, text="Dry the device."),
        }
    )
    device = Device(name="Grasper", maker="Invented", document=MakerDocument(title="IFU", revision="1"))
    return Instruction(device=device, steps=(dry, steam_step(celsius, written)))


@dataclass(frozen=True)
class ReadAs(drafting.DraftDocument):
    """Drafting that reads every document as one text, without a child."""

    text: Instruction = field(default_factory=grasper)

    def read(self, name: str, data: bytes, *, language: str | None, go_on: Callable[[], bool]) -> Any:
        """The text, with the file that was handed in."""
        assert go_on(), f"the job to read {language or 'any'} was cancelled"
        digest = hashlib.sha256(data).hexdigest()
        document = self.text.device.document.model_copy(update={"file": name, "digest": digest})
        device = self.text.device.model_copy(update={"document": document})
        return to_values(self.text.model_copy(update={"device": device}))


def settle(house: House, by: str, instruction: str) -> int:
    """Have somebody accept every step with figures, and answer every finding; the revision it made."""
    who = house.visitor(by)
    known = shelf.open_instruction(house.archive, who, instruction)
    number = known.revision.number
    if known.to_do.steps:
        change = editing.Accept(known.to_do.steps)
        number = editing.edit(house.archive, who, instruction, change, base=number, now=house.now)
    findings = [one.id for one in known.to_do.findings]
    if findings:
        answering.attach_answer(
            house.archive, who, instruction, findings, upload=LETTER, words="134 °C", now=house.now
        )
    return number


def drafted(house: House, by: str, text: Instruction | None = None, *, follows: str | None = None) -> str:
    """A document handed in by somebody and drafted."""
    upload = Upload("ifu.txt", "text/plain", b"Dry the device.")
    handed = shelf.hand_in(house.archive, house.visitor(by), upload, now=house.now, instruction=follows)
    handlers = {shelf.DRAFT_JOB: ReadAs(text=text or grasper())}
    done = work_once(house.archive, handlers, worker="w", clock=lambda: house.now)
    assert done is not None, "there was no job"
    assert done.state == "done", done.error
    return handed.instruction
