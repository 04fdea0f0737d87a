"""The department and its programs as documents."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest

from sinkside.department import Department, Program
from sinkside.documents import load, save, to_values, validate
from sinkside.errors import BadDocument

DATA = Path(str(resources.files("sinkside").joinpath("demo", "data")))
PROGRAMS = sorted((DATA / "programs").glob("*.yaml"))


@pytest.mark.parametrize("ending", [".yaml", ".yml", ".json"])
def test_a_department_reads_back_exactly(ending: str, tmp_path: Path) -> None:
    """The demo department, written and read again, is the same, to the words of each quantity."""
    found = load(Department, DATA / "department.yaml")
    path = tmp_path / f"department{ending}"
    save(found, path)
    assert load(Department, path) == found
    assert to_values(load(Department, path)) == to_values(found)


@pytest.mark.parametrize("path", PROGRAMS, ids=lambda path: path.stem)
def test_the_demo_programs_are_those_of_the_demo_department(path: Path) -> None:
    """What a recorder file is judged by is what the department says its machine does."""
    program = load(Program, path)
    department = load(Department, DATA / "department.yaml")
    assert program in [known for machine in department.machines for known in machine.programs]


def test_ids_are_unique_across_everything_a_department_has() -> None:
    """A brush may not carry the id of a tool, because operations are bound by id alone."""
    thing = {"id": "x", "name": "thing"}
    values = {"name": "d", "brushes": [thing], "tools": [{**thing, "kind": "lens"}]}
    with pytest.raises(BadDocument, match="ids stand twice: x"):
        validate(Department, values, resource="department.yaml")


def _program(**changes: object) -> dict[str, object]:
    return {
        "kind": "steam-prevacuum",
        "name": "134 °C, 3 min",
        "exposure": {"temperature": "134 °C", "time": "3 min"},
        **changes,
    }


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"exposure": {"temperature": "134 min", "time": "3 min"}}, "exposure.temperature is '134 min'"),
        ({"exposure": {"temperature": "134 °C", "time": "3 bar"}}, "exposure.time is '3 bar'"),
        ({"exposure": {"temperature": "hot", "time": "3 min"}}, "exposure.temperature: 'hot' is no quantity"),
        ({"drying": {"time": "15 °C"}}, "drying.time is '15 °C'"),
        ({"exposure": {"temperature": "134 °C", "time": "0 min"}}, "exposure.time is '0 min'"),
        ({"exposure": {"temperature": "134 °C", "time": "-3 min"}}, "exposure.time is '-3 min'"),
        ({"exposure": {"temperature": "134 °C", "time": "3 min", "band": "-3 K"}}, "exposure.band is '-3 K'"),
        ({"exposure": {"temperature": "134 °C", "time": "1e999 min"}}, "'1e999 min' is too large"),
        ({"drying": {"time": "0 s"}}, "drying.time is '0 s'"),
        ({"drying": {"time": "15 min", "vacuum": "200 kPa"}}, "drying.vacuum is '200 kPa'"),
        ({"air_removal": {"pulses": 3, "vacuum": "2 bar"}}, "air_removal.vacuum is '2 bar'"),
        ({"air_removal": {"pulses": True, "vacuum": "10 kPa"}}, "air_removal.pulses"),
        ({"exposure": {"temperature": "-500 °C", "time": "3 min"}}, "exposure.temperature is '-500 °C'"),
        ({"exposure": {"temperature": "134 °C", "time": "3 min", "band": "300 K"}}, "band is '300 K'"),
        ({"probes": {"tolerance": "1e9 K"}}, "probes.tolerance is '1e9 K'"),
        ({"exposure": None}, "needs an exposure"),
        ({"air_removal": {"pulses": 3}}, "needs a vacuum or a pressure"),
        ({"air_removal": {"pulses": 0, "vacuum": "10 kPa"}}, "air_removal.pulses"),
        ({"kind": "steam-pulse", "air_removal": {"pulses": 3, "vacuum": "10 kPa"}}, "pulses and a pressure"),
        ({"kind": "washer-disinfector"}, "needs its phases"),
        ({"kind": "steam"}, "kind"),
        ({"hold_time": "3 min"}, "hold_time: unknown field"),
    ],
)
def test_a_program_with_a_wrong_unit_or_a_missing_part_is_refused(
    changes: dict[str, object], problem: str
) -> None:
    """Each fault is told with its field and in plain words."""
    with pytest.raises(BadDocument) as caught:
        validate(Program, _program(**changes), resource="program.yaml")
    assert problem in str(caught.value)


def test_a_range_that_runs_backwards_is_refused() -> None:
    """From 60 to 50 °C is a slip, and is told where it stands."""
    phase = {"name": "wash", "temperature": {"min": "60 °C", "max": "50 °C"}}
    values = {"kind": "washer-disinfector", "name": "w", "phases": [phase]}
    with pytest.raises(BadDocument, match=r"phases\[0\]\.temperature: the range runs backwards"):
        validate(Program, values, resource="program.yaml")
