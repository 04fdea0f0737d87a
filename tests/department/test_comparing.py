"""What changed between two revisions of a department, in the trade's terms."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest

from sinkside.department import Department, compare_departments
from sinkside.documents import load, to_values

DATA = Path(str(resources.files("sinkside").joinpath("demo", "data")))


@pytest.fixture(scope="module")
def department() -> Department:
    """The department of the demo."""
    return load(Department, DATA / "department.yaml")


def _told(before: Department | None, after: Department) -> list[str]:
    return [change.sentence for change in compare_departments(before, after)]


def _with(department: Department, path: str, value: object) -> Department:
    """The department with one value replaced; a path is `machines.3.programs.0.drying.time`."""
    values = to_values(department)
    place = values
    *steps, last = [int(step) if step.isdigit() else step for step in path.split(".")]
    for step in steps:
        place = place[step]  # type: ignore[index]
    place[last] = value  # type: ignore[index]
    return Department.model_validate(values)


def test_the_same_is_no_change(department: Department) -> None:
    """A department compared with itself, and with itself in other units, shows nothing."""
    assert _told(department, department) == []
    assert _told(department, _with(department, "machines.3.programs.0.drying.time", "900 s")) == []


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        (
            "machines.3.programs.0.drying.time",
            "20 min",
            "Sterilizer 1, 134 °C, 3 min: drying time 15 min → 20 min",
        ),
        (
            "machines.0.programs.0.phases.1.temperature.max",
            "60 °C",
            "Washer 1, Instruments 93, wash: temperature 52 °C to 58 °C → 52 °C to 60 °C",
        ),
        (
            "machines.0.programs.0.phases.1.chemical",
            "neutraflow",
            "Washer 1, Instruments 93, wash: chemical Alkaclear → Neutraflow",
        ),
        ("water.0.chloride", "35 mg/L", "cold tap at the sink: chloride 28 mg/L → 35 mg/L"),
        ("chemicals.3.use_within", "8 h", "Alkaclear: use within not stated → 8 h"),
        ("altitude", "400 m", "The department: altitude 210 m → 400 m"),
        ("brushes.0.name", "bench brush", "bench brush: name soft bench brush → bench brush"),
        (
            "machines.8.programs.0.lumen_claims.1.length",
            "350 mm",
            "Low-temperature sterilizer, Hydrogen peroxide, lumens, stainless steel: longest 400 mm → 350 mm",
        ),
        ("packaging.3.narrowest_lumen", "2 mm", "lidded container: narrowest lumen 1.5 mm → 2 mm"),
        ("packaging.3.revision", "8", "lidded container: revision 7 → 8"),
        ("packaging.0.temperature.max", "137 °C", "double wrap: temperature at most 135 °C → at most 137 °C"),
        ("shifts.1.ends", "20:00", "Late shift: ends 21:00 → 20:00"),
        ("staff.0.count", 2, "technician, early: how many 3 → 2"),
        (
            "staff.2.families",
            ["tubular"],
            "technician, late: families microsurgical instruments → tubular instruments",
        ),
        ("hours.4.closes", "16:00", "friday, 06:30: closes 18:00 → 16:00"),
        ("policies.0.level", "note", "packaging-instruction: level concern → note"),
        (
            "machines.2.programs.0.ultrasonic.power.min",
            "300 W",
            "Ultrasonic bath, Ultrasonic 40 kHz: bath power at least 250 W → at least 300 W",
        ),
        (
            "machines.2.racks.0.lumen_connections",
            8,
            "Ultrasonic bath, flushing rack of the bath: lumen connections 6 → 8",
        ),
        ("tools.6.diameter", "2 mm", "borescope 1.9 mm: outer diameter 1.9 mm → 2 mm"),
        (
            "machines.3.programs.0.probes.tolerance",
            "1 K",
            "Sterilizer 1, 134 °C, 3 min: probes tolerance 0.5 K → 1 K",
        ),
    ],
)
def test_a_change_is_one_line(department: Department, path: str, value: str, sentence: str) -> None:
    """Each kind of change reads as people say it; what has no column is told too."""
    assert _told(department, _with(department, path, value)) == [sentence]


def test_what_is_new_or_gone_is_told_once(department: Department) -> None:
    """A machine that goes takes its programs with it in one line; a new brush comes with its figures."""
    values = to_values(department)
    values["machines"] = [one for one in values["machines"] if one["id"] != "sterilizer-2"]
    values["brushes"] = [
        *values["brushes"],
        {"id": "b", "name": "2.7 mm brush", "diameter": "2.7 mm", "length": "400 mm"},
    ]
    assert _told(department, Department.model_validate(values)) == [
        "removed: machine Sterilizer 2 (kind steam-sterilizer)",
        "added: brush 2.7 mm brush (diameter 2.7 mm, length 400 mm, bristle nylon)",
    ]


def test_a_phase_that_comes_twice_is_told_by_its_turn(department: Department) -> None:
    """A second rinse is one new phase, and the first stays."""
    values = to_values(department)
    phases = values["machines"][0]["programs"][0]["phases"]
    phases.insert(3, {"name": "rinse", "time": "1 min", "water": "ro-loop"})
    (told,) = compare_departments(department, Department.model_validate(values))
    assert told.sentence == (
        "added: phase Washer 1, Instruments 93, rinse (phase rinse, time 1 min, water reverse osmosis loop)"
    )


def test_the_first_revision_is_all_new(department: Department) -> None:
    """Where nothing was before, each thing is added, its parts within it."""
    found = compare_departments(None, department)
    assert {change.kind for change in found} == {"added"}
    assert not any(change.sheet in {"programs", "phases", "racks"} for change in found)
