"""What stays wet in a set of the house: said thing by thing, kept with a name, carried on by a split."""

from __future__ import annotations

import pytest

from sinkside.desk import departments, record_book, set_moisture, sets
from sinkside.desk.set_moisture import SetMoisture
from sinkside.desk.set_things import (
    AssumptionSaid,
    BesideSaid,
    BesideStruck,
    PackagingSaid,
    Said,
    ThingsSaid,
)
from sinkside.errors import BadDocument, BadInput, Conflict, NotAllowed
from sinkside.moisture import Moisture
from sinkside.records import Wanted
from sinkside.sets import SetDocument, read_set
from support.desk_house import House
from support.routing import a_department, a_program, a_sterilizer
from support.set_house import a_device, a_part, approved

SITE = a_department(
    a_sterilizer(a_program("134 °C", "5 min", "25 min"), a_program("132 °C", "4 min", "30 min")),
    packaging=[{"id": "box", "name": "box", "kind": "container", "mass": "10 kg"}],
)
HOOK, PUNCH, RASP = "Quarl 3 hook", "Quarl 5 punch", "Quarl 7 rasp"


@pytest.fixture
def house(house: House) -> House:
    """A house with two devices of one cycle and one of another."""
    house.add("lena", "lead")
    departments.keep_department(house.archive, house.visitor("lena"), SITE, now=house.now)
    approved(house, a_device(HOOK, mass="40 g"))
    approved(house, a_device(PUNCH, a_part("shaft", mass="150 g"), a_part("handle", mass="60 g")))
    approved(house, a_device(RASP, mass="90 g", celsius=132, minutes=4, drying=30))
    return house


def _set(*devices: str, name: str = "Hand set") -> SetDocument:
    members = [{"instruction": device, "name": device} for device in devices]
    return read_set({"name": name, "members": members, "packaging": "box", "packaging_mass": "2.9 kg"})


def _made(house: House, *devices: str, name: str = "Hand set") -> str:
    return sets.make_set(house.archive, house.visitor("eve"), _set(*devices, name=name), now=house.now)


def _seen(house: House, key: str) -> SetMoisture:
    return set_moisture.see_moisture(house.archive, house.visitor("tom"), key)


def _say(house: House, key: str, *said: Said) -> int:
    number = _seen(house, key).number
    for one in said:
        number = set_moisture.say_of_things(
            house.archive, house.visitor("eve"), key, one, base=number, now=house.now
        )
    return number


def _told(house: House, key: str) -> Moisture:
    told = _seen(house, key).told
    assert told is not None
    return told


STEEL = ThingsSaid((HOOK, f"{PUNCH}, shaft", f"{PUNCH}, handle"), material="stainless-steel")
TRAY = BesideSaid("mesh tray", "0.9 kg", "stainless-steel", "mesh", "level")
BOX = PackagingSaid(material="aluminium")


def test_an_estimate_says_first_what_it_lacks_and_then_why_water_stays(house: House) -> None:
    """Named by thing, said for several at once, the estimate is told with a reason for each place."""
    key = _made(house, HOOK, PUNCH)
    before = _seen(house, key)
    assert [one.name for one in before.pieces if one.lacking == ("material",)] == list(STEEL.names)
    assert _told(house, key).not_told == (
        f"{HOOK}: its material",
        f"{PUNCH}, shaft: its material",
        f"{PUNCH}, handle: its material",
        "box: what its floor is made of",
    )
    assert _say(house, key, STEEL, TRAY, BOX) == 3
    seen = _seen(house, key)
    told = _told(house, key)
    assert told.told
    assert told.shortens_a_stated_time is False
    # The packaging alone is what the set says of it, less the tray that was named.
    assert [place.kg for place in told.places] == pytest.approx([0.04, 0.15, 0.06, 0.9, 2.0])
    assert len(seen.reasons) == len(told.places)
    assert seen.reasons[0][0] == "It is taken to lie flat: 5 to 30 % of its own water stays on it."
    assert seen.reasons[-1][-1] == "mesh tray sends the most."
    book = record_book.read_record(house.archive, house.visitor("lena"), Wanted(limit=1)).entries
    assert book[0].sentence == "Eve said what the things of the set Hand set are."


def test_more_that_drains_leaves_less_and_own_assumptions_count(house: House) -> None:
    """Laid so that it drains, a thing holds less; own ends change the range and keep their reason."""
    key = _made(house, HOOK)
    _say(house, key, ThingsSaid((HOOK,), material="silicone", lies="holding"), BOX)
    wet = _told(house, key).places[0].left.high
    _say(house, key, ThingsSaid((HOOK,), lies="draining"))
    drained = _told(house, key).places[0]
    assert 0 < drained.left.high < wet
    assert drained.materials == ("silicone rubber",)
    _say(house, key, AssumptionSaid("stays-solid-draining", "0", "0,01", "Weighed in March"))
    told = _told(house, key)
    assert told.places[0].left.high < drained.left.high
    own = next(one for one in told.assumptions if one.reason)
    assert (own.key, own.low, own.high, own.reason) == ("stays-solid-draining", 0.0, 0.01, "Weighed in March")
    _say(house, key, AssumptionSaid("stays-solid-draining"))
    assert _told(house, key).places[0] == drained
    _say(house, key, ThingsSaid((HOOK,), forget=True))
    assert _told(house, key).not_told == (f"{HOOK}: its material",)


def test_a_tray_that_is_struck_is_in_no_sum(house: House) -> None:
    """A tray is said and taken back; one heavier than the packaging with it is told as what does not fit."""
    key = _made(house, HOOK)
    _say(house, key, ThingsSaid((HOOK,), material="stainless-steel"), BOX, TRAY)
    assert [place.name for place in _told(house, key).places] == [HOOK, "mesh tray", "box"]
    _say(house, key, BesideStruck("mesh tray"))
    assert [place.name for place in _told(house, key).places] == [HOOK, "box"]
    _say(house, key, BesideSaid("slab", "9 kg", "stainless-steel", "flat", "level"))
    seen = _seen(house, key)
    assert seen.told is None
    assert seen.not_asked == (
        "Trays and mats weigh 9 kg, the packaging with them 2.9 kg; expected them to be lighter.",
    )


def test_parts_of_a_split_set_know_what_was_said_of_their_things(house: House) -> None:
    """Without a common cycle there is no estimate; each part has one, and its own things alone."""
    key = _made(house, HOOK, RASP)
    _say(house, key, ThingsSaid((HOOK, RASP), material="stainless-steel"), BOX)
    whole = _seen(house, key)
    assert whole.must_be_split
    assert whole.told is not None
    assert not whole.told.told
    parts = sets.split_set(house.archive, house.visitor("eve"), key, base=1, now=house.now)
    for part, device in zip(parts, (HOOK, RASP), strict=True):
        assert [one.name for one in _seen(house, part).things.of_members] == [device]
        assert _seen(house, part).things.packaging == whole.things.packaging
    cycles = [cycle.program for part in parts if (cycle := _told(house, part).cycle)]
    assert cycles == ["134 °C, 5 min, drying 25 min", "132 °C, 4 min, drying 30 min"]


def test_a_thing_of_a_device_that_is_gone_is_passed_over(house: House) -> None:
    """What was said of a device counts no longer once the set has none that is called so."""
    key = _made(house, HOOK, PUNCH)
    _say(house, key, STEEL, BOX)
    lena = house.visitor("lena")
    sets.change_set(house.archive, lena, key, _set(HOOK), base=1, now=house.now)
    assert [place.name for place in _told(house, key).places] == [HOOK, "box"]


def test_who_may_not_was_too_late_or_says_nothing_changes_nothing(house: House) -> None:
    """A technician, an older revision, an empty or impossible saying and a set out of use are refused."""
    key = _made(house, HOOK)
    with pytest.raises(NotAllowed):
        set_moisture.say_of_things(house.archive, house.visitor("tom"), key, BOX, base=0, now=house.now)
    _say(house, key, BOX)
    with pytest.raises(Conflict, match="said more of its things meanwhile"):
        set_moisture.say_of_things(house.archive, house.visitor("eve"), key, TRAY, base=0, now=house.now)
    with pytest.raises(BadInput, match="nothing was changed"):
        _say(house, key, BOX)
    refused: tuple[tuple[Said, list[str]], ...] = (
        (ThingsSaid((), mass="1 g"), ["names"]),
        (ThingsSaid((HOOK,)), ["names"]),
        (ThingsSaid((HOOK,), mass="9 min", material="cheese"), ["mass", "material"]),
        (BesideSaid("", "", "", "mesh", "level", "two"), ["name", "mass", "material", "count"]),
        (AssumptionSaid("out-container", "0.1", "x", ""), ["high", "reason"]),
        (AssumptionSaid("out-container", "0.9", "0.1", "why"), ["low"]),
    )
    for said, fields in refused:
        with pytest.raises(BadDocument) as told:
            _say(house, key, said)
        assert [fault.path for fault in told.value.faults] == fields
    eve = house.visitor("eve")
    sets.take_out_of_use(house.archive, eve, key, base=1, why="Sold", now=house.now)
    with pytest.raises(Conflict, match="not in use"):
        _say(house, key, TRAY)


def test_without_texts_or_department_there_is_nothing_to_ask(house: House) -> None:
    """A device without a text is named; so is a department that nobody described."""
    key = _made(house, HOOK, "Quarl 9 saw")
    seen = _seen(house, key)
    assert seen.told is None
    assert seen.not_asked == ("No instruction is known here of Quarl 9 saw.",)
