"""What the gallery shows of verification: cleaning tests, a product family, texts, a water event."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Final

from gallery_scenes import LARGE, Scene

from sinkside.bench.programmes.water_event import WaterEventKind
from sinkside.desk.programmes import families, planning, seeing, testing, texts, water_events
from sinkside.desk.programmes.water_events import Begun

if TYPE_CHECKING:
    from gallery_house import GalleryHouse

_HERE: Final = "/at/valley/verification"

VERIFICATION_SCENES: Final[tuple[Scene, ...]] = (
    Scene(
        "verification",
        "Verification",
        "What is due first, whatever it is; what is wrong with the water stands above.",
        _HERE,
        sizes=("desktop", "phone"),
    ),
    Scene(
        "verification-programme",
        "A programme of cleaning tests",
        "What is next and why, what so many tests show, and readings from test to test.",
        "{programme}",
        sizes=("desktop", "tablet"),
        dark=True,
    ),
    Scene(
        "verification-test",
        "One cleaning test",
        "Code, what was found at each place, lot of the kit: under a minute.",
        "{programme-test}",
        who="technician",
        sizes=("tablet", "phone"),
    ),
    Scene(
        "verification-result",
        "A test that did not pass",
        "What was found where, what lay in the same washer load, and the way to a recall.",
        "{programme-result}",
        sizes=LARGE,
    ),
    Scene(
        "verification-new",
        "Planning a programme",
        "Methods with whose pass mark holds; how often and where are proposed from the devices' texts.",
        f"{_HERE}/programmes/new",
        sizes=LARGE,
    ),
    Scene(
        "verification-week",
        "Sheet of the week",
        "What is due within seven days, with room to write at each place.",
        f"{_HERE}/week",
        sizes=("desktop",),
        prints=True,
    ),
    Scene(
        "product-family",
        "A product family",
        "One set is tested for all: where it is due, what changed since it passed, its sets with their mass.",
        "{product-family}",
        sizes=LARGE,
    ),
    Scene(
        "texts-current",
        "Are these texts current?",
        "When each maker was last asked, who answered, and by when it must be confirmed.",
        f"{_HERE}/texts",
        sizes=LARGE,
    ),
    Scene(
        "water-events",
        "Something is wrong with the water",
        "What happened, at which points, since when, by whose word: the machines that draw it stand still.",
        f"{_HERE}/water",
        who="technician",
        sizes=("desktop", "phone"),
    ),
    Scene(
        "water-event",
        "A water event",
        "What stands still, what must be shown before anything goes on, and what ran since it began.",
        "{water-event}",
        sizes=("desktop", "phone"),
    ),
)

#: Readings of the meter, test by test; the ninth is above the mark, and the repeat passes.
_READINGS: Final = (38, 52, 41, 47, 60, 44, 39, 55, 212, 43, 48, 36)
_EVERY: Final = timedelta(days=4)


def verify(house: GalleryHouse, *, taken: datetime) -> None:
    """A programme tested for some weeks, with one test that failed, and works on the main last week."""
    lead, technician = house.visitor("lead"), house.visitor("technician")
    began = taken - len(_READINGS) * _EVERY
    rows, _ = seeing.to_choose(house.archive, lead)
    wanted = planning.Planned(
        "ATP, devices with lumens",
        "atp",
        [row.id for row in rows],
        100.0,
        "paper of the meter, issue 4",
        91,
    )
    key = planning.make_programme(house.archive, lead, wanted, now=began)
    address = f"{_HERE}/programmes/{key}"
    devices = seeing.see_programme(house.archive, lead, key, now=began).programme.devices
    for number, reading in enumerate(_READINGS):
        device = devices[number % 2 if len(devices) > 1 else 0]
        if reading > 100:
            device = devices[0]
        found = [str(reading), *["22"] * (len(device.places) - 1)]
        what = testing.Found(found, "", "4471-B", date(2026, 9, 30))
        now = began + (number + 1) * _EVERY - timedelta(hours=3)
        kept = testing.record_test(house.archive, technician, key, device.id, what, now=now)
        if not kept.result.passed:
            house.where["programme-result"] = f"{address}/results/{kept.id}"
    looked = planning.Planned("Borescope, lumens", "borescope", [row.id for row in rows])
    planning.make_programme(house.archive, lead, looked, now=taken - timedelta(days=1))
    house.where["programme"] = address
    house.where["programme-test"] = f"{address}/test/{devices[0].id}"
    _product_family(house, taken - timedelta(days=30))
    texts.ask_maker(
        house.archive,
        technician,
        rows[0].id,
        how="by letter to customer service",
        now=taken - timedelta(days=3),
    )
    begin = taken - timedelta(hours=5)
    begun = Begun(WaterEventKind.main_works, "the water supplier", begin, ("mixer", "tap-cold"), ("bath-1",))
    event = water_events.begin_event(house.archive, technician, begun, now=taken - timedelta(hours=4))
    water_events.water_is_back(
        house.archive,
        technician,
        event,
        at=taken - timedelta(hours=1),
        said_by="the water supplier",
        words="runs clear at every point",
        now=taken - timedelta(minutes=50),
    )
    house.where["water-event"] = f"{_HERE}/water/{event}"


def _product_family(house: GalleryHouse, now: datetime) -> None:
    """Two sets of which one stands for both, tested a month ago in one of two sterilizers."""
    lead, technician = house.visitor("lead"), house.visitor("technician")
    rows, machines = families.sets_to_choose(house.archive, lead)
    said = families.Said(
        "Wrapped trays",
        rows[0].id,
        "narrowest lumens, most metal",
        [row.id for row in rows],
        [key for key, _ in machines[:2]],
    )
    key = families.make_family(house.archive, lead, said, now=now)
    for dry in (False, True):
        found = families.TestFound(machines[0][0], "negative", "passed", dry=dry, intact=True)
        at = now + timedelta(hours=6 + 3 * dry)
        families.record_product_test(house.archive, technician, key, found, now=at)
    house.where["product-family"] = f"{_HERE}/families/{key}"
