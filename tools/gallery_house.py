"""The house of the gallery: the demo's, some weeks on, with everything in it that a page can show."""

from __future__ import annotations

import random
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from importlib import resources
from pathlib import Path
from typing import Final

from gallery_learning import learn
from gallery_observing import watch
from gallery_sets import make_sets, put_photo
from gallery_sign_offs import make_sign_offs
from gallery_verification import verify

from sinkside import wiring
from sinkside.demo.house import VALLEY, fill_house
from sinkside.desk import (
    accounts,
    answering,
    approving,
    cycle_deciding,
    cycle_handing_in,
    cycle_records,
    editing,
    paper_printing,
    paper_register,
    set_layout,
    sets,
    shelf,
)
from sinkside.desk.access import Visitor, visitor_in
from sinkside.desk.accounts import NewPerson
from sinkside.desk.bench import copies
from sinkside.desk.cycle_documents import Decided
from sinkside.desk.cycle_list import CyclesWanted, find_cycles
from sinkside.desk.indicators_before_release import before_release, still_missing
from sinkside.desk.jobs import LEASE_S, work_once
from sinkside.desk.paper_printing import Wanted
from sinkside.desk.passwords import new_token, token_digest
from sinkside.desk.ports import Archive
from sinkside.desk.uploads import Upload
from sinkside.records import Session, WantedCopies

#: When the house was set up, and the morning on which its pictures are taken.
FOUNDED: Final = datetime(2026, 1, 12, 6, 40, tzinfo=UTC)
TAKEN: Final = datetime(2026, 3, 2, 8, 14, tzinfo=UTC)

_SEED: Final = 2026

_LINNET: Final = """Example Works
Linnet 3 mm grasping forceps
Processing instruction

Document EW 31, issue {issue}, {month} 2026

Point of use

Wipe off coarse soil with a lint-free cloth at once.

Cleaning

Open the jaw. Rinse the forceps under running tap water of at most 35 °C for at least {rinse} minutes.
Brush the jaw hinge with a soft brush, 3 times, until no soil is seen.
Clean in the washer-disinfector with 5 mL/L of a neutral cleaner, pH 6 to 8, at 55 °C for 10 minutes.

Disinfection

Thermal disinfection at 90 °C for 5 minutes.

Drying

Dry with medical air for at least 30 seconds.

Inspection

Look at the jaw under 4 times magnification.

Sterilization

Sterilize with steam, fractionated pre-vacuum, 134 °C for {minutes} minutes, drying time {dry} minutes.

Storage

Store dry and free of dust.
"""


@dataclass
class GalleryHouse:
    """A workspace, the moment it is at, and where the things are that pages show."""

    folder: Path
    archive: Archive
    now: datetime
    where: dict[str, str] = field(default_factory=dict)

    def visitor(self, sign_in: str) -> Visitor:
        """Somebody at work in the demo's department."""
        return visitor_in_valley(self.archive, sign_in, self.now)

    def session(self, sign_in: str, *, shared_tablet: bool = False) -> str:
        """The token of a session that is open, which took no password."""
        token = new_token()
        with self.archive.unit() as unit:
            person = unit.people.by_sign_in(sign_in)
            assert person is not None
            opened = Session(
                token_digest(token), person.id, self.now, self.now, new_token(), shared_tablet=shared_tablet
            )
            unit.people.open_session(opened)
        return token


def visitor_in_valley(archive: Archive, sign_in: str, now: datetime) -> Visitor:
    """Somebody at work in the demo's department at a moment."""
    with archive.unit(writes=False) as unit:
        person = unit.people.by_sign_in(sign_in)
        assert person is not None
        return visitor_in(unit, person.id, VALLEY.id, now)


@contextmanager
def repeatable_chance() -> Iterator[None]:
    """Let identities come out alike each time, so that the chain's head on a picture does not change."""
    chance, real = random.Random(_SEED), secrets.token_bytes
    secrets.token_bytes = lambda nbytes=None: chance.randbytes(nbytes or 32)
    try:
        yield
    finally:
        secrets.token_bytes = real


def empty_house(folder: Path) -> GalleryHouse:
    """A house in which one person has an account, and nothing happened yet."""
    wiring.make_workspace(folder)
    archive = wiring.open_workspace(folder)
    token = accounts.first_account_link(archive, now=TAKEN)
    assert token is not None
    new = NewPerson("Tove Rasmussen", "lead")
    accounts.set_up_first_account(archive, token=token, new=new, password=new_token(), site=VALLEY, now=TAKEN)
    return GalleryHouse(folder, archive, TAKEN)


def unopened_house(folder: Path) -> GalleryHouse:
    """A house before anybody has an account; `where` has the link for the first."""
    wiring.make_workspace(folder)
    archive = wiring.open_workspace(folder)
    token = accounts.first_account_link(archive, now=TAKEN)
    return GalleryHouse(folder, archive, TAKEN, {"first-account": f"/first-account/{token}"})


def lived_in_house(folder: Path) -> GalleryHouse:
    """The demo's house, worked in: read, answered, approved, decided, and with work that is going on."""
    wiring.make_workspace(folder)
    house = GalleryHouse(folder, wiring.open_workspace(folder), FOUNDED)
    fill_house(house.archive, now=house.now)
    _work(house)
    _name_instructions(house)
    _name_sets(house)
    _name_copies(house)
    _lay_out_trays(house)
    _hang_count_sheets(house)
    _decide(house)
    _approve_and_follow(house)
    _answer(house)
    make_sets(house)
    put_photo(house)
    learn(house)
    make_sign_offs(house)
    watch(house)
    verify(house, taken=TAKEN)
    house.now = TAKEN - timedelta(minutes=50)
    _run_this_morning(house)
    _fail_to_read(house)
    house.now = TAKEN - timedelta(seconds=20)
    _leave_work_going(house)
    house.now = TAKEN
    return house


def _work(house: GalleryHouse) -> None:
    """Do all the work that waits."""
    while work_once(house.archive, wiring.job_handlers(), worker="gallery", clock=lambda: house.now):
        house.now += timedelta(seconds=4)


def _name_instructions(house: GalleryHouse) -> None:
    for row in shelf.shelf(house.archive, house.visitor("lead")):
        word = str(row.fields.get("file_name") or row.title).lower()
        for name in ("forceps", "suction-punch", "orlet", "sandpiper"):
            if name in f"{word} {row.title.lower()}":
                house.where[name.removesuffix("-punch")] = row.id


def _name_sets(house: GalleryHouse) -> None:
    for row in sets.list_sets(house.archive, house.visitor("lead"), limit=10):
        word = row.title.partition(" ")[0].lower()
        house.where[word] = f"/at/valley/sets/{row.id}"
        house.where[f"{word}-papers"] = f"/at/valley/papers/sets/{row.id}"


def _hang_count_sheets(house: GalleryHouse) -> None:
    """The count sheet of each set hangs at the packing bench, printed before a stop was opened in the set."""
    who = house.visitor("technician")
    for row in sets.list_sets(house.archive, who, limit=10):
        wanted = Wanted(row.id, None, "https://sinkside.example/at/valley/papers", proof=True)
        made = paper_printing.look(house.archive, who, wanted, now=house.now)
        with house.archive.unit() as unit:
            paper_register.register_printed(unit, who, made.paper, now=house.now)
        paper_register.hang(house.archive, who, made.code, place="Packing bench 1", copies=1, now=house.now)


def _name_copies(house: GalleryHouse) -> None:
    """What soaks at the sink, where a bench shows it."""
    wanted = WantedCopies(states=("at-sink",))
    (soaking,) = copies.find_copies(house.archive, house.visitor("lead"), wanted)
    house.where["soaking"] = f"/at/valley/bench/at/sink/{soaking.id}"


def _lay_out_trays(house: GalleryHouse) -> None:
    """Both sets in their trays; what no text tells the size of was measured."""
    lead = house.visitor("lead")
    for name in ("hand", "sinus"):
        key = house.where[name].rpartition("/")[2]
        first = set_layout.lay_out_set(
            house.archive, lead, key, set_layout.LayingAsked(), base=0, now=house.now
        )
        unknown = {
            one.piece.name for one in first.left_out if one.by_mm is None and "micro" in one.piece.name
        }
        asked = set_layout.LayingAsked(measured=dict.fromkeys(unknown, (120.0, 18.0)))
        set_layout.lay_out_set(house.archive, lead, key, asked, base=1, now=house.now)


def _hand_in(house: GalleryHouse, by: str, text: str, *, follows: str | None = None) -> str:
    name = f"linnet-{'2' if follows else '1'}.txt"
    upload = Upload(name, "text/plain", text.encode())
    handed = shelf.hand_in(house.archive, house.visitor(by), upload, now=house.now, instruction=follows)
    _work(house)
    return handed.instruction


def _approve_and_follow(house: GalleryHouse) -> None:
    """Two approved texts; one is due to be confirmed current, of the other the next edition is in."""
    house.now = FOUNDED + timedelta(days=1)
    _approve(house, house.where["orlet"], by="educator", confirm_by=date(2026, 2, 27))
    first = _LINNET.format(issue=2, month="January", rinse=1, minutes=3, dry=20)
    house.where["linnet"] = _hand_in(house, "educator", first)
    _approve(house, house.where["linnet"], by="lead", confirm_by=date(2027, 1, 13))
    house.now = TAKEN - timedelta(days=4)
    _hand_in(
        house,
        "educator",
        _LINNET.format(issue=3, month="February", rinse=2, minutes=4, dry=30),
        follows=house.where["linnet"],
    )


def _approve(house: GalleryHouse, instruction: str, *, by: str, confirm_by: date) -> None:
    who = house.visitor(by)
    drafter = "lead" if by == "educator" else "educator"
    opened = shelf.open_instruction(house.archive, house.visitor(drafter), instruction)
    if opened.to_do.steps:
        number, change = opened.revision.number, editing.Accept(opened.to_do.steps)
        editing.edit(house.archive, house.visitor(drafter), instruction, change, base=number, now=house.now)
    findings = [one.id for one in opened.to_do.findings]
    if findings:
        letter = Upload("answer.txt", "text/plain", b"It is meant as it is written.")
        answering.attach_answer(
            house.archive, who, instruction, findings, upload=letter, words="It is meant so", now=house.now
        )
    opened = shelf.open_instruction(house.archive, who, instruction)
    approving.approve(
        house.archive,
        who,
        instruction,
        revision=opened.revision.number,
        confirm_by=confirm_by,
        now=house.now,
    )


def _answer(house: GalleryHouse) -> None:
    """Ask the maker about one stop of the forceps, accept one concern, and remember a stop that is open."""
    who, forceps = house.visitor("educator"), house.where["forceps"]
    opened = shelf.open_instruction(house.archive, who, forceps)
    stops = [one for one in opened.findings if one.is_open_stop and one.finding.place.step]
    hot = next(one for one in stops if "143" in one.finding.message)
    house.where["stop"] = hot.id
    house.where["stop-step"] = hot.finding.place.step or ""
    asked = [one.id for one in stops if one.id != hot.id][:1]
    answering.ask_maker(
        house.archive, who, forceps, asked, now=house.now, words="Which of the two figures is meant?"
    )
    concern = next(
        one for one in opened.findings if one.finding.level.value == "concern" and not one.maker_only
    )
    answering.accept_findings(
        house.archive, who, forceps, [concern.id], reason="Our washer has this program", now=house.now
    )


def _decide(house: GalleryHouse) -> None:
    """Decide on each of the demo's cycles, on two of them against the verdict."""
    who = house.visitor("lead")
    for row in find_cycles(house.archive, who, CyclesWanted()).rows:
        known = cycle_records.open_cycle(house.archive, who, row.id)
        name = known.record.file_name.removesuffix(".csv")
        house.where[name] = f"/at/valley/cycles/{row.id}"
        with house.archive.unit(writes=False) as unit:
            needed = before_release(unit, who, known, now=house.now)
        meets = known.judged is not None and known.judged.outcome == "meets"
        goes_out = meets is not (name in _AGAINST_THE_VERDICT) and not still_missing(needed, "refuse")
        decided: Decided = "released" if goes_out else "held"
        asked = decided in cycle_deciding.reasons_needed(known, needed)
        cycle_deciding.decide(
            house.archive,
            who,
            row.id,
            decided,
            verdict_revision=known.verdict_revision,
            now=house.now,
            reason=_AGAINST_THE_VERDICT.get(name, _WITHOUT_EVERYTHING if asked else ""),
        )


_WITHOUT_EVERYTHING: Final = "The strip in the pack was read by two of us; the rest is being looked up."

_AGAINST_THE_VERDICT: Final = {
    "sterilizer-1-0931": "The load was dry when it was opened; two of us looked.",
    "sterilizer-1-1118": "The indicator of the test pack is still to be read.",
}

#: What the machines ran on the morning of the pictures, as they had run it before.
_THIS_MORNING: Final = {
    "sterilizer-1-1250": "sterilizer-1-0302-0611",
    "sterilizer-1-1422": "sterilizer-1-0302-0744",
    "sterilizer-2-0655": "sterilizer-2-0302-0632",
    "sterilizer-2-0840": "sterilizer-2-0302-0735",
    "washer-2-0835": "washer-2-0302-0720",
}


def _run_this_morning(house: GalleryHouse) -> None:
    """Recorder files that are judged and wait for a decision."""
    who = house.visitor("technician")
    for before, now in _THIS_MORNING.items():
        cycle = house.where[before].rpartition("/")[2]
        known = cycle_records.open_cycle(house.archive, who, cycle)
        _, data = cycle_records.recorder_file(house.archive, who, cycle)
        # Another cycle is another file: its last line has one more end.
        handed = cycle_handing_in.hand_in_cycles(
            house.archive,
            who,
            [Upload(f"{now}.csv", "text/csv", data + b"\n")],
            ran=cycle_handing_in.Ran(known.record.machine, known.record.program.name),
            now=house.now,
        )
        house.where[before] = f"/at/valley/cycles/{handed.cycles[0]}"
        house.now += timedelta(minutes=3)


def _fail_to_read(house: GalleryHouse) -> None:
    upload = Upload("curette-scan.pdf", "application/pdf", b"<!doctype html><title>Curette</title>")
    handed = shelf.hand_in(house.archive, house.visitor("educator"), upload, now=house.now)
    house.where["unread"] = handed.instruction
    house.where["failed-job"] = handed.job
    _work(house)


def _leave_work_going(house: GalleryHouse) -> None:
    """A document and six recorder files whose worker is in the midst of them."""
    document = resources.files("sinkside.demo") / "documents" / "suction-punch.pdf"
    upload = Upload("kerrison-set.pdf", "application/pdf", document.read_bytes())
    handed = shelf.hand_in(house.archive, house.visitor("educator"), upload, now=house.now)
    house.where["reading"], house.where["job"] = handed.instruction, handed.job
    with house.archive.unit() as unit:
        claimed = unit.jobs.claim("gallery", house.now, lease_s=LEASE_S)
        assert claimed is not None
        unit.jobs.beat(claimed.id, "gallery", house.now, done=7, total=12, doing="page 8 of 12")
