"""Machines' days on both databases: what ran since, checks in their order, all or nothing."""

from __future__ import annotations

from datetime import timedelta

import pytest

from sinkside.archive import WorkspaceArchive, check_archive
from sinkside.department import Department, Machine, Program
from sinkside.desk import departments, machine_checks, machine_standing
from sinkside.desk.access import Visitor, policy
from sinkside.desk.machine_days import machines_today
from sinkside.desk.machine_pages import open_thing
from sinkside.desk.machine_rows import MachineRan, cycles_of, note_run, note_verdict
from sinkside.documents import validate
from sinkside.errors import BadInput
from sinkside.records import Site, Wanted
from support.archive_places import DEPARTMENT, NOW, later

PROGRAM = validate(
    Program,
    {
        "kind": "steam-prevacuum",
        "name": "134/3",
        "exposure": {"temperature": "134 °C", "time": "3 min"},
        "air_removal": {"pulses": 3, "vacuum": "15 kPa"},
        "drying": {"time": "15 min"},
    },
    resource="program",
)
MACHINE = Machine.model_validate(
    {"id": "s-1", "name": "Sterilizer 1", "kind": "steam-sterilizer", "programs": [PROGRAM]}
)
LEAD = Visitor("system", DEPARTMENT, "Europe/Vienna", frozenset({"lead"}), policy().roles["lead"].rights)


def _ran(archive: WorkspaceArchive, number: int, *, machine: str = "s-1", where: str = DEPARTMENT) -> None:
    with archive.unit() as unit:
        note_run(
            unit,
            where,
            f"c-{where}-{machine}-{number}",
            machine=(machine, machine),
            ran=MachineRan(PROGRAM.name, "steam-prevacuum", f"{number}.csv"),
            now=later(number),
        )


@pytest.fixture
def equipped(archive: WorkspaceArchive) -> WorkspaceArchive:
    """An archive whose department has a sterilizer."""
    site = Department(name="Valley", zone="Europe/Vienna", machines=(MACHINE,))
    departments.keep_department(archive, LEAD, site, now=NOW)
    return archive


def test_cycles_of_a_machine_come_latest_first_and_only_its_own(equipped: WorkspaceArchive) -> None:
    """Another machine's, another department's and earlier cycles are left out, whatever their number."""
    with equipped.unit() as unit:
        unit.sites.add(Site("south", "South", "UTC"))
    for number in range(5):
        _ran(equipped, number)
        _ran(equipped, number, machine="s-2")
        _ran(equipped, number, where="south")
    with equipped.unit() as unit:
        note_verdict(unit, f"c-{DEPARTMENT}-s-1-4", outcome="meets", figures={"pulse-depth": 12.5})
    with equipped.unit(writes=False) as unit:
        found = cycles_of(unit, DEPARTMENT, ["s-1"], since=later(2))
        assert [one.file_name for one in found] == ["4.csv", "3.csv", "2.csv"]
        assert (found[0].outcome, dict(found[0].figures)) == ("meets", {"pulse-depth": 12.5})
        assert len(cycles_of(unit, DEPARTMENT, ["s-1", "s-2"])) == 10
        assert cycles_of(unit, DEPARTMENT, []) == []


def test_a_failed_check_its_loads_and_the_return_are_one_chain(equipped: WorkspaceArchive) -> None:
    """Check, standing, lists and events are written together; the chain is whole afterwards."""
    machine_checks.record_check(equipped, LEAD, "s-1", "leak-rate", ["0.6"], now=NOW)
    for number in (10, 20):
        _ran(equipped, number)
    failed = machine_checks.record_check(equipped, LEAD, "s-1", "leak-rate", ["2"], now=later(30))
    assert [load.file_name for load in failed.loads] == ["20.csv", "10.csv"]
    page = open_thing(equipped, LEAD, "s-1", now=later(40))
    assert (page.today.state, page.asked[0].cause.since) == ("out-of-use", NOW)
    machine_checks.record_check(equipped, LEAD, "s-1", "leak-rate", ["0.5"], now=later(50))
    machine_standing.return_to_use(equipped, LEAD, "s-1", reason="tight", now=later(60))
    (today,) = machines_today(equipped, LEAD, now=later(70))
    assert today.state == "overdue"  # it ran without its air-removal test
    with equipped.unit(writes=False) as unit:
        kinds = [one.kind for one in unit.journal.events(DEPARTMENT, Wanted(subject="machine:s-1"))]
    assert kinds == [
        "machine-in-use",
        "check-recorded",
        "machine-out-of-use",
        "check-recorded",
        "check-recorded",
    ]
    assert check_archive(equipped).is_sound


def test_three_in_a_row_are_counted_from_the_latest(equipped: WorkspaceArchive) -> None:
    """Of air-removal tests after a move the last three count; one that failed between starts them anew."""
    machine_standing.take_out_of_use(equipped, LEAD, "s-1", "move", reason="New room", now=NOW)
    for number, answer in enumerate(("yes", "no", "yes", "yes"), 1):
        at = NOW + timedelta(minutes=number)
        machine_checks.record_check(equipped, LEAD, "s-1", "air-removal", [answer], now=at)
    page = open_thing(equipped, LEAD, "s-1", now=NOW + timedelta(hours=1))
    assert {one.check: one.done for one in page.to_show} == {"air-removal": 2, "empty-cycle": 0}


def test_a_refused_check_leaves_nothing(equipped: WorkspaceArchive) -> None:
    """Where an answer is no number, neither list nor chain nor document has anything of it."""
    with equipped.unit(writes=False) as unit:
        before = unit.journal.head(DEPARTMENT)
    with pytest.raises(BadInput, match="is no number"):
        machine_checks.record_check(equipped, LEAD, "s-1", "leak-rate", ["tight"], now=NOW)
    with equipped.unit(writes=False) as unit:
        assert unit.journal.head(DEPARTMENT) == before
        assert unit.rows.count("machine-check", [DEPARTMENT]) == 0
