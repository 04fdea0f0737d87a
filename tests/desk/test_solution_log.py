"""Solutions at the sink: worked out or refused, logged with lot and name, discarded in time or late."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from sinkside.department import Department
from sinkside.desk import departments, record_book, solution_log, solution_making, today
from sinkside.desk.solution_log import MadeUp
from sinkside.desk.solution_making import Said
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere
from sinkside.quantities import Quantity
from sinkside.records import Wanted
from support.desk_house import House

SITE = Department.model_validate(
    {
        "name": "North",
        "chemicals": [
            {
                "id": "enzymatic",
                "name": "Enzymatic",
                "kinds": ["enzymatic-detergent"],
                "dose": {"min": "5 mL/L", "max": "5 mL/L"},
                "temperature": {"min": "20 °C", "max": "45 °C"},
                "use_within": "8 h",
            },
            {
                "id": "powder",
                "name": "Powder",
                "kinds": ["alkaline-detergent"],
                "dose": {"min": "2 g/L", "max": "4 g/L"},
            },
            {"id": "foam", "name": "Foam", "kinds": ["pre-treatment"]},
        ],
        "water": [{"id": "tap", "name": "cold tap", "grade": "tap", "hardness": "160 mg/L"}],
    }
)
SAID = Said("enzymatic", "30", temperature="38")


@pytest.fixture
def house(house: House) -> House:
    """A house whose department has three chemicals and a tap."""
    house.add("lena", "lead")
    departments.keep_department(house.archive, house.visitor("lena"), SITE, now=house.now)
    return house


def _work_out(house: House, said: Said) -> solution_making.WorkedOut:
    return solution_making.work_out(house.archive, house.visitor("tom"), said)


def _log(
    house: House, said: Said = SAID, *, lot: str = "L1", ago: float = 0.0, hours: float | None = None
) -> str:
    made = MadeUp(lot, house.now - timedelta(hours=ago), hours=hours)
    return solution_log.log_solution(house.archive, house.visitor("tom"), said, made, now=house.now)


def test_thirty_litres_take_150_ml_by_the_chemicals_own_dose(house: House) -> None:
    """Scene 13: 30 L at 5 mL/L is 150 mL (arithmetic), and nothing need be typed but litres and warmth."""
    found = _work_out(house, SAID)
    assert found.solution.amount == Quantity(150.0, "mL")
    assert found.use_within == timedelta(hours=8)


@pytest.mark.parametrize(
    ("said", "resource", "expected"),
    [
        (replace(SAID, dose="1 oz/gal"), "Enzymatic", r"1 oz/gal would take 234\.4 mL for 30 L"),
        (replace(SAID, dose="5 g/L"), "Enzymatic", "by volume, in mL/L"),
        (replace(SAID, dose="5"), "dose", "'5' is no dose; expected one such as '5 mL/L'"),
        (replace(SAID, dose="a cup"), "dose", "expected a dose such as '5 mL/L'"),
        (replace(SAID, litres="none"), "litres", "'none' is no number"),
        (replace(SAID, litres="0"), "litres", "expected more than 0"),
        (replace(SAID, litres="30000"), "litres", "at most 1000 L"),
        (replace(SAID, temperature="52"), "temperature", "at 52 °C; Enzymatic works at 20 °C to 45 °C"),
        (replace(SAID, temperature=""), "temperature", "how warm is the water"),
        (replace(SAID, temperature="138"), "temperature", "water is not at 138 °C"),
        (replace(SAID, hardness="-1"), "hardness", "is below zero"),
        (replace(SAID, hardness="8", hardness_unit="drops"), "hardness_unit", "°dH"),
        (replace(SAID, point="well"), "point", "expected one of cold tap"),
        (Said("foam", "10"), "dose", "the dose of Foam is not known"),
        (Said("powder", "10", dose="3 mL/L"), "Powder", "by mass, in g/L"),
    ],
)
def test_what_does_not_fit_is_refused_in_a_sentence(
    house: House, said: Said, resource: str, expected: str
) -> None:
    """Units that do not fit, water outside the window and figures that are none say what was expected."""
    with pytest.raises(BadInput, match=expected) as told:
        _work_out(house, said)
    assert told.value.resource == resource
    with pytest.raises(BadInput, match=expected):
        _log(house, said)


@pytest.mark.parametrize(
    ("figure", "unit", "in_mg"),
    [
        ("8.4", "°dH", 150),
        ("14,6", "°dH", 261),
        ("15", "°fH", 150),
        ("1.5", "mmol/L", 150),
        ("8.76", "gr/gal", 150),
    ],
)
def test_hardness_is_read_in_the_units_of_test_strips(
    house: House, figure: str, unit: str, in_mg: int
) -> None:
    """°dH, °fH, mmol/L and grains become mg/L of calcium carbonate (factors by definition of the units)."""
    found = _work_out(house, replace(SAID, hardness=figure, hardness_unit=unit))
    assert found.hardness is not None
    assert found.hardness.to("mg/L") == pytest.approx(in_mg, abs=1.0)


def test_the_water_points_last_result_counts_unless_it_was_measured_now(house: House) -> None:
    """160 mg/L of the tap is flagged; 40 measured now is not; nothing known is a note."""
    rules = [
        [one.rule for one in _work_out(house, said).solution.findings]
        for said in (replace(SAID, point="tap"), replace(SAID, point="tap", hardness="40"), SAID)
    ]
    assert rules == [["solution-water-too-hard"], [], ["solution-hardness-unknown"]]


def test_the_departments_own_limit_holds(house: House) -> None:
    """Where the department says 100 mg/L in the place of the published 150, 120 is flagged."""
    own = {"limit": "water-tir34-utility-hardness", "value": "100 mg/L", "reason": "Scale"}
    site = SITE.model_validate({**SITE.model_dump(mode="json", exclude_none=True), "overrides": [own]})
    departments.keep_department(house.archive, house.visitor("lena"), site, now=house.now)
    (told,) = _work_out(house, replace(SAID, hardness="120")).solution.findings
    assert "100" in told.message


def test_a_solution_is_logged_used_and_discarded(house: House) -> None:
    """It stands in use until its hours are over, then under what must go; both acts are in the book."""
    key = _log(house)
    tom = house.visitor("tom")
    kept = solution_log.open_solution(house.archive, tom, key)
    assert (kept.lot, str(kept.amount), kept.by) == ("L1", "150 mL", house.people["tom"])
    assert kept.discard_by == kept.made + timedelta(hours=8)
    found = solution_log.find_solutions(house.archive, tom, now=house.later(hours=7))
    assert ([one[0] for one in found.in_use], found.overdue) == ([key], ())
    found = solution_log.find_solutions(house.archive, tom, now=house.later(hours=1))
    assert ([one[0] for one in found.overdue], found.in_use) == ([key], ())
    matters = today.today(house.archive, tom, now=house.now)
    assert any(one.sentence == "Discard now: Enzymatic, 30 L, lot L1." for one in matters)
    solution_log.discard(house.archive, tom, key, why="Cold", now=house.later(minutes=5))
    found = solution_log.find_solutions(house.archive, tom, now=house.now)
    assert [one[1].why for one in found.discarded] == ["Cold"]
    with pytest.raises(Conflict, match="discarded already"):
        solution_log.discard(house.archive, tom, key, now=house.now)
    told = [
        one.sentence
        for one in record_book.read_record(house.archive, house.visitor("olga"), Wanted(limit=2)).entries
    ]
    assert told == [
        "Tom discarded Enzymatic, 30 L, after its time was over.",
        "Tom made up Enzymatic, 30 L, lot L1.",
    ]


def test_age_lot_and_hours_are_held_to(house: House) -> None:
    """A solution older than it may be, an old lot, no lot and hours beyond the maker's word are refused."""
    with pytest.raises(BadInput, match="may be used 8 h and is older than that"):
        _log(house, ago=8.5)
    with pytest.raises(BadInput, match="within the last 24 hours"):
        _log(house, ago=25)
    with pytest.raises(BadInput, match="within the last 24 hours"):
        _log(house, ago=-1)
    with pytest.raises(BadInput, match="the lot on the container"):
        _log(house, lot="  ")
    with pytest.raises(BadInput, match="Enzymatic may be used 8 h: expected more than 0 and at most 8 h"):
        _log(house, hours=9)
    key = _log(house, hours=2)
    kept = solution_log.open_solution(house.archive, house.visitor("tom"), key)
    assert kept.discard_by == kept.made + timedelta(hours=2)
    old = MadeUp("L1", house.now, lot_until=date(2026, 3, 1))
    with pytest.raises(BadInput, match="until 2026-03-01") as told:
        solution_log.log_solution(house.archive, house.visitor("tom"), SAID, old, now=house.now)
    assert told.value.resource == "lot_until"


@pytest.mark.parametrize("word", ["5 mm", "0 h", "1e300 h"])
def test_a_time_that_is_none_is_told_and_not_counted(house: House, word: str) -> None:
    """A use-within that measures no time, or an endless one, is refused with what was expected."""
    values = SITE.model_dump(mode="json", exclude_none=True)
    values["chemicals"][0]["use_within"] = word
    site = Department.model_validate(values)
    departments.keep_department(house.archive, house.visitor("lena"), site, now=house.now)
    with pytest.raises(BadInput, match="expected a time up to a year, such as 8 h"):
        _work_out(house, SAID)


def test_without_a_makers_word_a_person_says_how_long(house: House) -> None:
    """A powder of which nobody knows how long it lasts needs hours, a day at most."""
    said = Said("powder", "10")
    with pytest.raises(BadInput, match="how long may Powder be used"):
        _log(house, said)
    for hours in (30, 1e300, 0, -1):
        with pytest.raises(BadInput, match="at most 24 h"):
            _log(house, said, hours=hours)
    kept = solution_log.open_solution(house.archive, house.visitor("tom"), _log(house, said, hours=4))
    assert (str(kept.amount), kept.discard_by - kept.made) == ("20 g", timedelta(hours=4))


def test_rights_and_what_is_not_there(house: House) -> None:
    """Educators read and do not make; an unknown product or solution is not there."""
    with pytest.raises(NotAllowed):
        solution_making.work_out(house.archive, house.visitor("eve"), SAID)
    with pytest.raises(NotThere):
        _work_out(house, replace(SAID, chemical="soap"))
    with pytest.raises(NotThere):
        solution_log.open_solution(house.archive, house.visitor("eve"), "u-unknown")
    assert solution_log.last_made(house.archive, house.visitor("tom"), "enzymatic") is None
    _log(house)
    last = solution_log.last_made(house.archive, house.visitor("tom"), "enzymatic")
    assert last is not None
    assert last.lot == "L1"
