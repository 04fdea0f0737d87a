"""A department's units and its own names: who may settle them, and that no figure changes."""

from __future__ import annotations

import pytest

from sinkside.desk import reading_habits, record_book
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.plain import Units
from sinkside.records import Wanted
from support.desk_house import House


@pytest.fixture
def house(house: House) -> House:
    """A house with an educator and a lead beside the technician."""
    house.add("edda", "educator")
    house.add("lena", "lead")
    return house


def _name(house: House, written: str, called: str, *, by: str = "edda", language: str = "pl") -> None:
    who = house.visitor(by)
    reading_habits.name_here(house.archive, who, language, written, called, now=house.now)


def _names(house: House) -> dict[str, str]:
    known = reading_habits.open_habits(house.archive, house.visitor("tom"))
    return dict(known.glossary.of("pl"))


def test_names_are_kept_changed_and_taken_away(house: House) -> None:
    """One entry for one name, whatever its case; the last word stands; an empty one takes it away."""
    _name(house, "Lock  screw", "śruba")
    _name(house, "lock screw", "śruba blokująca")
    assert _names(house) == {"lock screw": "śruba blokująca"}
    _name(house, "LOCK SCREW", "")
    assert _names(house) == {}
    told = record_book.read_record(house.archive, house.visitor("edda"), Wanted(limit=2)).entries
    assert [one.sentence for one in told] == [
        "Edda let “LOCK SCREW” stand in pl.",
        "Edda called “lock screw” “śruba blokująca” in pl.",
    ]


@pytest.mark.parametrize(
    ("written", "called", "refused"),
    [
        (" ", "śruba", "expected the words as the maker writes them"),
        ("brush 5 mm", "szczotka 6 mm", "figures in a name stay"),
        ("brush", "szczotka 6 mm", "figures in a name stay"),
        ("brush", "s" * 301, "301 characters; at most 300"),
        ("brush", "", "nobody has said what “brush” is called here"),
    ],
)
def test_what_is_no_name_is_refused(house: House, written: str, called: str, refused: str) -> None:
    """No entry can bring in a figure, change one, or say nothing of nothing."""
    with pytest.raises(BadInput, match=refused):
        _name(house, written, called)
    assert _names(house) == {}


def test_units_are_settled_by_the_lead(house: House) -> None:
    """What people here read is the department's to say, and names stay when units change."""
    _name(house, "lock screw", "śruba")
    units = Units(temperature="°F", pressure="psi")
    reading_habits.choose_units(house.archive, house.visitor("lena"), units, now=house.now)
    with house.archive.unit(writes=False) as unit:
        known = reading_habits.habits_here(unit, "north")
    assert known.units == units
    assert _names(house) == {"lock screw": "śruba"}
    told = record_book.read_record(house.archive, house.visitor("lena"), Wanted(limit=1)).entries
    assert [one.sentence for one in told] == ["Lena let papers here show °F, psi."]


def test_only_whoever_may_settles_anything(house: House) -> None:
    """A technician names nothing, an educator chooses no units, and the reference needs no names."""
    with pytest.raises(NotAllowed):
        _name(house, "lock screw", "śruba", by="tom")
    with pytest.raises(NotAllowed):
        reading_habits.choose_units(house.archive, house.visitor("edda"), Units(), now=house.now)
    with pytest.raises(NotThere):
        _name(house, "lock screw", "screw", language="en")
