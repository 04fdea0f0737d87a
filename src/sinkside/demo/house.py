"""A demo house: a workspace with two invented departments and somebody for each role."""

from __future__ import annotations

import secrets
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from importlib import resources
from pathlib import Path
from typing import Final

from sinkside.demo.bench_history import fill_bench
from sinkside.demo.cycle_history import PROGRAM, fill_cycle_history
from sinkside.demo.indicator_history import fill_indicators
from sinkside.demo.machine_history import HISTORY, fill_machine_history, fill_today
from sinkside.demo.set_history import fill_sets
from sinkside.demo.solution_history import fill_solutions
from sinkside.demo.teaching_history import add_shift, fill_taught_text, fill_teaching
from sinkside.demo.traces import DEMO_TRACES, DemoTrace
from sinkside.department import Department, Program
from sinkside.desk import accounts, credentials, cycle_handing_in, cycles, departments, routes, shelf
from sinkside.desk.access import Visitor, visitor_in
from sinkside.desk.accounts import NewPerson
from sinkside.desk.ports import Archive
from sinkside.desk.uploads import Upload
from sinkside.errors import BadInput
from sinkside.records import Grant, Site

_MARK: Final = ".sinkside-demo-house"

VALLEY: Final = Site("valley", "Valley Instrument Reprocessing Centre", "Europe/Vienna")
HARBOUR: Final = Site("harbour", "Harbour Day Surgery", "Europe/Vienna")

#: Invented people; each signs in with the name of their role.
_PEOPLE: Final = {
    "administrator": "Ilka Sommerfeld",
    "lead": "Tove Rasmussen",
    "educator": "Edda Brandt",
    "technician": "Milan Petrov",
    "theatre": "Noor Haddad",
    "infection-prevention": "Ruth Okafor",
    "equipment-engineer": "Jonas Lindqvist",
    "assessor": "Clara Weiss",
    "external-representative": "Piet van Dam",
    "auditor": "Amara Nwosu",
}
_AT_THE_HARBOUR: Final = ("harbour-lead", "Signe Holm")

# fmt: off
_WORDS: Final = (
    "amber", "birch", "cedar", "coral", "delta", "ember", "fjord", "garnet", "hazel",
    "indigo", "jasper", "kelp", "linen", "maple", "nectar", "ochre", "pebble", "quartz",
    "reed", "sable", "thistle", "umber", "velvet", "willow", "yarrow", "zephyr",
)
# fmt: on


@dataclass(frozen=True)
class SignIn:
    """What somebody of the demo signs in with, in plain text: the demo alone keeps nothing secret."""

    role: str
    name: str
    sign_in: str
    password: str


def mark_demo(folder: Path) -> None:
    """Say in a folder that everything in it is invented."""
    (folder / _MARK).write_text("Made by `sinkside serve --demo`; everything in it is invented.\n", "utf-8")


def is_demo(folder: Path) -> bool:
    """Whether a workspace is a demo house."""
    return (folder / _MARK).exists()


def fill_house(archive: Archive, *, now: datetime) -> None:
    """Fill an empty workspace: two departments, somebody for each role, documents that wait to be read."""
    opened = now - HISTORY
    token = accounts.first_account_link(archive, now=opened)
    if token is None:
        raise BadInput("this workspace has people already; the demo needs an empty one")
    admin = accounts.set_up_first_account(
        archive,
        token=token,
        new=NewPerson(_PEOPLE["administrator"], "administrator"),
        password=_new_password(),
        site=VALLEY,
        now=opened,
    )
    with archive.unit() as unit:
        unit.sites.add(HARBOUR)
        unit.people.grant(Grant(admin, HARBOUR.id, "administrator"))
    here, there = _visitor(archive, admin, VALLEY, opened), _visitor(archive, admin, HARBOUR, opened)
    for role in ("lead", *(role for role in _PEOPLE if role not in {"administrator", "lead"})):
        accounts.add_person(archive, here, NewPerson(_PEOPLE[role], role), roles=[role], now=opened)
    accounts.withdraw_role(archive, here, admin, role="lead", now=opened)
    accounts.add_person(
        archive, there, NewPerson(_AT_THE_HARBOUR[1], _AT_THE_HARBOUR[0]), roles=["lead"], now=opened
    )
    lead = _by_sign_in(archive, "lead")
    at_work = _visitor(archive, lead, VALLEY, now)
    departments.keep_department(archive, at_work, _department(), now=opened)
    technician = _visitor(archive, _by_sign_in(archive, "technician"), VALLEY, now)
    educator = _visitor(archive, _by_sign_in(archive, "educator"), VALLEY, now)
    taught = fill_taught_text(archive, educator, at_work, now=now - timedelta(days=20))
    add_shift(archive, here, now=now - timedelta(days=20))
    fill_machine_history(archive, at_work, technician, now=now)
    for upload in _documents():
        shelf.hand_in(archive, at_work, upload, now=now)
    fill_cycle_history(archive, at_work, technician, _program_of(PROGRAM), now=now)
    fill_indicators(archive, technician, _hand_in(archive, at_work, now), now=now)
    fill_solutions(archive, technician, now=now)
    fill_sets(archive, at_work, now=now)
    fill_teaching(archive, educator, at_work, instruction=taught, now=now)
    theatre = _visitor(archive, _by_sign_in(archive, "theatre"), VALLEY, now)
    fill_bench(archive, at_work, technician, theatre, tube=taught, now=now)
    fill_today(archive, technician, now=now)


def _hand_in(archive: Archive, at_work: Visitor, now: datetime) -> dict[str, str]:
    """Hand in what the recorders wrote this morning, and say which cycle each file became."""
    handed_in = {}
    for trace in DEMO_TRACES:
        program = _program(trace)
        kept = cycle_handing_in.hand_in_cycles(
            archive,
            at_work,
            [_recorded(trace, program)],
            ran=cycle_handing_in.Ran(trace.machine, program.name),
            now=now,
        )
        handed_in[trace.name] = kept.cycles[0]
    return handed_in


def new_passwords(archive: Archive, *, now: datetime) -> Sequence[SignIn]:
    """A new password for everybody of the demo, told once."""
    admin = _visitor(archive, _by_sign_in(archive, "administrator"), VALLEY, now)
    there = _visitor(archive, admin.person, HARBOUR, now)
    wanted = [(role, name, role, admin) for role, name in _PEOPLE.items()]
    wanted.append(("lead", _AT_THE_HARBOUR[1], _AT_THE_HARBOUR[0], there))
    made = []
    for role, name, sign_in, manager in wanted:
        person = _by_sign_in(archive, sign_in)
        token = credentials.reset_link(archive, manager, person, now=now)
        password = _new_password()
        credentials.choose_password(archive, token=token, password=password, now=now)
        made.append(SignIn(role, name, sign_in, password))
    return made


def _visitor(archive: Archive, person: str, site: Site, now: datetime) -> Visitor:
    with archive.unit(writes=False) as unit:
        return visitor_in(unit, person, site.id, now)


def _by_sign_in(archive: Archive, sign_in: str) -> str:
    with archive.unit(writes=False) as unit:
        person = unit.people.by_sign_in(sign_in)
    if person is None:
        raise BadInput(f"nobody of this demo signs in as '{sign_in}'; make a new one")
    return person.id


def _new_password() -> str:
    return "-".join([*(secrets.choice(_WORDS) for _ in range(3)), str(secrets.randbelow(900) + 100)])


def _department() -> Department:
    with resources.as_file(resources.files("sinkside.demo") / "data" / "department.yaml") as path:
        return routes.open_department(path)


def _program(trace: DemoTrace) -> Program:
    return _program_of(trace.program)


def _program_of(name: str) -> Program:
    with resources.as_file(resources.files("sinkside.demo") / "data" / "programs") as folder:
        return cycles.open_program(folder / f"{name}.yaml")


def _recorded(trace: DemoTrace, program: Program) -> Upload:
    """What the machine's recorder would have written."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{trace.name}.csv"
        cycles.simulate(trace.kind, program, seed=trace.seed, out=path, dialect=trace.dialect)
        return Upload(path.name, "text/csv", path.read_bytes())


def _documents() -> list[Upload]:
    folder = resources.files("sinkside.demo") / "documents"
    kinds = {".pdf": "application/pdf", ".txt": "text/plain"}
    found = sorted((file for file in folder.iterdir()), key=lambda file: file.name)
    return [
        Upload(file.name, kinds[Path(file.name).suffix], file.read_bytes())
        for file in found
        if Path(file.name).suffix in kinds
    ]
