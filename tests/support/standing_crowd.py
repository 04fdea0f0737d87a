"""A crowd with sign-offs, as large as one likes: people on shifts, families, standings by the million."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import islice
from typing import Any, Final

from sqlalchemy import Table, insert

from sinkside.archive import WorkspaceArchive
from sinkside.archive.connection import Transaction, begun
from sinkside.archive.schema import NEVER, grants, moment_text, people
from sinkside.archive.schema_teaching import posts, standings
from sinkside.department import WORKED_AT, Department, DeviceFamily, Shift
from sinkside.desk import departments, sets, shelf
from sinkside.desk.access import Visitor
from sinkside.desk.cover import cover_again
from sinkside.desk.keeping import keep_next
from sinkside.desk.sign_off_records import kept
from sinkside.records import Row, Site, Standing
from sinkside.route import Station
from sinkside.sets import Member, SetDocument
from sinkside.teach.sign_offs import Level, SignOff
from support.desk_house import grasper

SITE: Final = Site("crowd", "Crowded house", "Europe/Vienna")
LEAD: Final = "p-LEADLEADLEADLEAD"

#: Each person stands for so many families, at every station where the department's people work.
FAMILIES_OF_ONE: Final = 34
_AT_ONCE: Final = 20_000
_TRAY_OF: Final = 12
_LETTERS: Final = "BCDEFGHIJK"


@dataclass(frozen=True)
class Crowd:
    """How many there are, and one of each to be asked for."""

    people: int
    families: int
    standings: int
    person: str
    family: str
    tray: str


def department(families: int) -> Department:
    """Three shifts round the clock, one of few people, and families told by words of names."""
    hours = (("day", "06:00", "14:00"), ("late", "14:00", "22:00"), ("night", "22:00", "06:00"))
    return Department(
        name=SITE.name,
        zone=SITE.zone,
        shifts=(
            *(Shift(id=name, name=f"{name} shift", begins=begins, ends=ends) for name, begins, ends in hours),
            Shift(id="few", name="Few", begins="08:00", ends="12:00"),
        ),
        families=tuple(
            DeviceFamily(id=f"f{number:04d}", name=f"family {number}", words=(f"word{number:04d}",))
            for number in range(families)
        ),
    )


def fill_crowd(
    archive: WorkspaceArchive,
    *,
    people_count: int,
    families: int,
    now: datetime,
    families_of_one: int = FAMILIES_OF_ONE,
) -> Crowd:
    """Fill an empty archive: a ninth of all sign-offs end soon, some are open again, some supervised."""
    with archive.unit() as unit:
        unit.sites.add(SITE)
    with begun(archive.engine, writes=True) as transaction:
        _people(transaction, people_count)
        made = _standings(people_count, families, min(families_of_one, families), now)
        count = _insert(transaction, standings, made)
    who = Visitor(LEAD, SITE.id, SITE.zone, frozenset({"lead"}), frozenset({"department-edit", "set-edit"}))
    departments.keep_department(archive, who, department(families), now=now)
    devices = [_device(archive, number, now) for number in range(_TRAY_OF)]
    members = tuple(Member(instruction=one, name=f"device {at}") for at, one in enumerate(devices))
    tray = sets.make_set(archive, who, SetDocument(name="Tray of many", members=members), now=now)
    with archive.unit() as unit:
        cover_again(unit, SITE.id, None, now=now)
    return Crowd(people_count, families, count, _person(people_count // 2), "f0000", tray)


def _people(transaction: Transaction, count: int) -> None:
    ids = [LEAD, *(_person(number) for number in range(count))]
    _insert(transaction, people, (_account(one) for one in ids))
    roles = (("lead" if one == LEAD else "technician", one) for one in ids)
    held = ({"person": one, "department": SITE.id, "role": role, "until": None} for role, one in roles)
    _insert(transaction, grants, held)
    shifts = (("day", "late", "night")[number % 3] for number in range(count))
    _insert(transaction, posts, (_post(*one) for one in zip(ids[1:], shifts, strict=True)))
    _insert(transaction, posts, (_post(person, "few") for person in ids[1:4]))


def _standings(
    people_count: int, families: int, families_of_one: int, now: datetime
) -> Iterator[dict[str, Any]]:
    for number in range(people_count):
        for nth in range(families_of_one):
            family = (number * 7 + nth * 59) % families
            for station in WORKED_AT:
                yield _row(kept(SITE.id, _sign_off(number, nth, f"f{family:04d}", station, now)))


def _sign_off(number: int, nth: int, family: str, station: Station, now: datetime) -> SignOff:
    """Ends are spread over a year from now; one in forty has another state."""
    kind = (number + nth) % 40
    given = now - timedelta(days=365 - (number * 31 + nth * 17) % 365)
    return SignOff(
        who=_person(number),
        family=family,
        station=station,
        level=Level.supervised if kind == 0 else Level.independent,
        given=given,
        until=None if kind == 0 else given + timedelta(days=363),
        evidence=("lesson: gone through", "observation: o-0123456789abcdef"),
        by=LEAD,
        reopened=now - timedelta(days=1) if kind == 1 else None,
        changes=("Device: drying time 15 → 30 min",) if kind == 1 else (),
    )


def _row(standing: Standing) -> dict[str, Any]:
    values = {**vars(standing), "due_order": moment_text(standing.due) if standing.due else NEVER}
    del values["due"]
    return values


def _device(archive: WorkspaceArchive, number: int, now: datetime) -> str:
    """A text of a device of one family, read and on the shelf; nobody approved it yet."""
    text = grasper(134, "Steam, prevacuum: 134 °C, 4 min, drying 20 min.")
    text = text.model_copy(update={"device": text.device.model_copy(update={"name": f"word{number:04d}"})})
    key = f"i-{number}"
    fields: dict[str, str | int] = {"revision": 1}
    with archive.unit() as unit:
        keep_next(unit, shelf.KIND, key, text, by=LEAD, now=now)
        unit.rows.put(Row(shelf.KIND, key, SITE.id, "in-work", text.device.name, now, fields=fields))
    return key


def _account(person: str) -> dict[str, Any]:
    return {
        "id": person,
        "name": f"Person {person[-5:]}",
        "sign_in": person,
        "sign_in_key": person.casefold(),
        "password_hash": "",
        "pin_hash": "",
        "badge_digest": None,
        "language": "en",
        "disabled": False,
        "salt": bytes(16),
    }


def _post(person: str, shift: str) -> dict[str, Any]:
    return {"department": SITE.id, "person": person, "shift": shift, "until": None}


def _person(number: int) -> str:
    letters = "".join(_LETTERS[int(digit)] for digit in f"{number:05d}")
    return f"p-{letters:A>16}"


def _insert(transaction: Transaction, table: Table, found: Iterator[dict[str, Any]]) -> int:
    count = 0
    while some := list(islice(found, _AT_ONCE)):
        transaction.connection.execute(insert(table), some)
        count += len(some)
    return count
