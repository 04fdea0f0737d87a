"""What the gallery shows of sign-offs: invented people on two shifts, and what is to be done about them."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from gallery_scenes import LARGE, Scene

from sinkside.demo.house import VALLEY
from sinkside.desk import accounts, roster, sets, sign_offs
from sinkside.desk.accounts import NewPerson
from sinkside.desk.sets import IN_USE
from sinkside.desk.sign_offs import Signing
from sinkside.route import Station
from sinkside.teach.sign_offs import Level

if TYPE_CHECKING:
    from gallery_house import GalleryHouse

_HERE: Final = "/at/valley/sign-offs"
_SHOWN: Final = {"lesson": "gone through", "questions": "9 of 10", "observation": "watched at the bench"}
_ALONE: Final = Signing(Level.independent, _SHOWN)
_BESIDE: Final = Signing(Level.supervised, {})
_WET: Final = (Station.sink, Station.ultrasonic, Station.washer)
_DRY: Final = (Station.bench, Station.packing)

#: Invented; each with a shift, and the last day of whoever comes from an agency.
_PEOPLE: Final = (
    ("Yara Lindholm", "early", None),
    ("Bogdan Ilić", "early", None),
    ("Chidi Eze", "late", None),
    ("Marit Sandvik", "late", None),
    ("Paulo Reis", "late", date(2026, 3, 27)),
)

#: How many days ago somebody was signed off, at which stations, how far.
_SIGNED: Final = (
    ("Yara Lindholm", "tubular", (*_WET, *_DRY, Station.sterilizer), _ALONE, 40),
    ("Yara Lindholm", "micro", _DRY, _ALONE, 340),
    ("Bogdan Ilić", "tubular", _WET, _ALONE, 345),
    ("Bogdan Ilić", "micro", _WET, _BESIDE, 20),
    ("Chidi Eze", "tubular", (*_WET, *_DRY), _ALONE, 60),
    ("Marit Sandvik", "tubular", (Station.sterilizer,), _ALONE, 370),
    ("Marit Sandvik", "micro", _DRY, _BESIDE, 12),
    ("Paulo Reis", "tubular", _WET, _ALONE, 10),
)

SIGN_OFF_SCENES: Final[tuple[Scene, ...]] = (
    Scene(
        "sign-offs",
        "Sign-offs",
        "What is to be done next, the most pressing first: open again, ended, supervised, ending.",
        _HERE,
        sizes=("phone", "upright", "desktop"),
        dark=True,
    ),
    Scene(
        "sign-off-families",
        "Families and gaps",
        "Where nobody on a shift works alone, now or from a day on.",
        f"{_HERE}/families",
    ),
    Scene(
        "sign-off-family",
        "A family",
        "Station by station and shift by shift, then its people, what is to be done first.",
        f"{_HERE}/families/tubular",
        sizes=("phone", "upright", "desktop"),
    ),
    Scene(
        "sign-off-person",
        "A person’s sign-offs",
        "How they stand, what shows it, who signed; and the form that signs.",
        "{bogdan}",
        sizes=("phone", "upright", "desktop"),
    ),
    Scene(
        "sign-off-tray",
        "Who on now can do a tray",
        "Station by station: who may do all of it alone, and the gaps by name.",
        "{tray-now}",
    ),
    Scene(
        "roster",
        "Roster",
        "Who works on which shift, agency staff with a last day.",
        "/at/valley/sign-offs/roster",
    ),
    Scene(
        "sign-off-policy",
        "What a sign-off needs",
        "Occasion by occasion, by whose word, and what this department put in its place.",
        f"{_HERE}/policy",
        sizes=LARGE,
    ),
)


def make_sign_offs(house: GalleryHouse) -> None:
    """Put people on shifts and sign them off, some long ago; one sign-off is open after an error."""
    today = house.now
    people = {}
    house.now = today - timedelta(days=400)
    for number, (name, _, _) in enumerate(_PEOPLE):
        new = NewPerson(name, f"gallery-{number}")
        added = accounts.add_person(
            house.archive, house.visitor("administrator"), new, roles=["technician"], now=house.now
        )
        people[name] = added.person
    for name, family, stations, signing, days in sorted(_SIGNED, key=lambda one: -one[4]):
        house.now = today - timedelta(days=days)
        sign_offs.give(
            house.archive,
            house.visitor("educator"),
            people[name],
            family,
            stations,
            signing,
            now=house.now,
        )
    house.now = today
    sign_offs.give(
        house.archive,
        house.visitor("educator"),
        people["Yara Lindholm"],
        house.where["orlet"],
        (*_WET, Station.bench),
        _ALONE,
        now=house.now,
    )
    for name, shift, last in _PEOPLE:
        roster.post(house.archive, house.visitor("lead"), people[name], shift, last_day=last, now=house.now)
    sign_offs.after_an_error(
        house.archive,
        house.visitor("educator"),
        people["Chidi Eze"],
        "tubular",
        Station.bench,
        reason="a lumen was packed wet",
        now=house.now,
    )
    house.where["bogdan"] = f"{_HERE}/people/{people['Bogdan Ilić']}"
    with house.archive.unit(writes=False) as unit:
        tray = unit.rows.all(sets.KIND, [VALLEY.id], states=[IN_USE], limit=1)[0].id
    house.where["tray-now"] = f"{_HERE}/tray?of={tray}"
