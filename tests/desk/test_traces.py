"""The archive of traces: what belongs in it, what is written anew, and what is said of the rest."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import polars as pl
import pytest

from sinkside.cycles import Reading, simulate, write_recorder_file
from sinkside.department import Department, Machine, Program
from sinkside.desk import cycle_deciding, cycle_records, departments
from sinkside.desk.cycle_handing_in import Ran, hand_in_cycles
from sinkside.desk.traces.checking import TraceCheck, check_traces
from sinkside.desk.traces.documents import TraceManifest
from sinkside.desk.traces.writing import Archived, archive_traces
from sinkside.desk.uploads import Upload
from sinkside.documents import load
from sinkside.errors import BadInput, Conflict
from sinkside.records import KeptLoad
from support.desk_house import SITE, House

PROGRAM = Program.model_validate(
    {
        "kind": "steam-prevacuum",
        "name": "134 °C, 3 min",
        "exposure": {"temperature": "134 °C", "band": "3 K", "time": "3 min"},
        "air_removal": {"pulses": 3, "vacuum": "10 kPa"},
        "drying": {"time": "15 min", "vacuum": "10 kPa"},
    }
)
LONGER = PROGRAM.model_copy(update={"name": "134 °C, 3 min, long drying"})
MACHINE = "sterilizer 1/north"
AT = Path(SITE.id) / "sterilizer%201%2Fnorth"


@pytest.fixture
def equipped(house: House) -> House:
    """The house with a sterilizer whose id is no folder's name."""
    machine = {"id": MACHINE, "name": "One", "kind": "steam-sterilizer", "programs": [PROGRAM, LONGER]}
    site = Department(name="North", zone="Europe/Vienna", machines=(Machine.model_validate(machine),))
    departments.keep_department(house.archive, house.visitor("ada"), site, now=house.now)
    return house


def _record(folder: Path, seed: int = 1, *, dialect: str = "eu") -> Upload:
    file = folder / f"{dialect}-{seed}.csv"
    write_recorder_file(simulate(PROGRAM, "normal", seed=seed), file, dialect=dialect)
    return Upload(file.name, "text/csv", file.read_bytes())


def _hand_in(house: House, upload: Upload, *, program: str = PROGRAM.name, reason: str = "") -> str:
    ran = Ran(MACHINE, program, reason=reason)
    return hand_in_cycles(house.archive, house.visitor("tom"), [upload], ran=ran, now=house.now).cycles[0]


def _archive(house: House, folder: Path, *, until: str = "") -> Archived:
    return archive_traces(house.archive, folder, now=house.now, until=until, tell=lambda *_: None)


def _check(house: House, folder: Path) -> TraceCheck:
    return check_traces(house.archive, folder, tell=lambda *_: None)


def _manifest(folder: Path, month: str = "2026-03") -> TraceManifest:
    return load(TraceManifest, folder / AT / f"{month}.json")


def test_a_month_of_a_machine_is_one_file(equipped: House, tmp_path: Path) -> None:
    """By when a record was handed in; a second run writes nothing, and the check finds nothing wrong."""
    archive = tmp_path / "archive"
    cycles = [_hand_in(equipped, _record(tmp_path, 1))]
    equipped.later(hours=1)
    cycles.append(_hand_in(equipped, _record(tmp_path, 2)))
    equipped.later(days=30)
    cycles.append(_hand_in(equipped, _record(tmp_path, 3)))
    done = _archive(equipped, archive)
    assert [[one.cycle for one in made.cycles] for made in done.written] == [cycles[:2], cycles[2:]]
    assert sorted(path.name for path in (archive / AT).iterdir()) == [
        "2026-03.json",
        "2026-03.parquet",
        "2026-04.json",
        "2026-04.parquet",
    ]
    frame = pl.read_parquet(archive / AT / "*.parquet", use_pyarrow=False)
    for cycle in cycles:
        own = frame.filter(pl.col("cycle") == cycle)
        trace = cycle_records.trace_of(equipped.archive, equipped.visitor("ada"), cycle)
        assert own["value"].to_list() == [v for c in trace.channels for v in c.values.tolist()]
        assert set(own["machine"]) == {MACHINE}
    before = {path: path.read_bytes() for path in (archive / AT).iterdir()}
    again = _archive(equipped, archive)
    assert (again.written, again.unchanged) == ([], 2)
    assert {path: path.read_bytes() for path in (archive / AT).iterdir()} == before
    assert (_check(equipped, archive).problems, _check(equipped, archive).behind) == ([], [])


def test_only_months_until_one_are_written(equipped: House, tmp_path: Path) -> None:
    """Later ones wait, and the check says so; what is no month is refused."""
    _hand_in(equipped, _record(tmp_path, 1))
    equipped.later(days=30)
    _hand_in(equipped, _record(tmp_path, 2))
    done = _archive(equipped, tmp_path / "archive", until="2026-03")
    assert [made.month for made in done.written] == ["2026-03"]
    assert _check(equipped, tmp_path / "archive").behind == [f"north, {MACHINE}, 2026-04: not archived yet"]
    with pytest.raises(BadInput, match="expected a month"):
        _archive(equipped, tmp_path / "archive", until="2026-13")


def test_what_is_known_otherwise_later_is_written_anew(equipped: House, tmp_path: Path) -> None:
    """A load that is named later, a record judged again, one more cycle: behind, then archived again."""
    archive = tmp_path / "archive"
    first = _hand_in(equipped, _record(tmp_path, 1))
    _archive(equipped, archive)
    with equipped.archive.unit() as unit:
        unit.bench.loads.put(
            KeptLoad("l-9", SITE.id, "sterilizer", MACHINE, PROGRAM.name, "over", equipped.now, cycle=first)
        )
    assert _check(equipped, archive).behind == [
        f"north, {MACHINE}, 2026-03: 1 cycle is new or known otherwise since; archive again"
    ]
    _archive(equipped, archive)
    assert [one.load for one in _manifest(archive).cycles] == ["l-9"]
    cycle_records.judge_again(
        equipped.archive, equipped.visitor("tom"), first, reading=Reading(), now=equipped.now
    )
    equipped.later(minutes=95)
    second = _hand_in(equipped, _record(tmp_path, 2))
    _archive(equipped, archive)
    assert [(one.cycle, one.verdict) for one in _manifest(archive).cycles] == [(first, 2), (second, 1)]
    frame = pl.read_parquet(archive / AT / "2026-03.parquet", use_pyarrow=False)
    assert frame.select("cycle", "load").unique(maintain_order=True).rows() == [
        (first, "l-9"),
        (second, None),
    ]
    assert _check(equipped, archive).behind == []


def test_a_record_judged_by_two_programs_is_one_cycle(equipped: House, tmp_path: Path) -> None:
    """The one by which the run counts at its machine: its samples stand there once."""
    record = _record(tmp_path)
    first = _hand_in(equipped, record)
    second = _hand_in(equipped, record, program=LONGER.name, reason="the display showed the long one")
    _archive(equipped, tmp_path / "archive")
    assert [one.cycle for one in _manifest(tmp_path / "archive").cycles] == [second]
    cycle_deciding.decide(
        equipped.archive,
        equipped.visitor("ada"),
        first,
        "held",
        verdict_revision=1,
        reason="it was the short one",
        now=equipped.now,
    )
    _archive(equipped, tmp_path / "archive")
    assert [(one.cycle, one.program) for one in _manifest(tmp_path / "archive").cycles] == [
        (first, PROGRAM.name)
    ]
    assert _check(equipped, tmp_path / "archive").problems == []


def test_what_cannot_be_read_is_named_and_stops_nothing(equipped: House, tmp_path: Path) -> None:
    """A page that is no record has no rows and a reason; what is not judged yet waits for the next time."""
    page = _hand_in(equipped, Upload("page.csv", "text/csv", b"<html><body>no record</body></html>"))
    good = _hand_in(equipped, _record(tmp_path))
    ran = Ran(MACHINE, PROGRAM.name)
    waiting = [_record(tmp_path, seed) for seed in range(10, 15)]
    hand_in_cycles(equipped.archive, equipped.visitor("tom"), waiting, ran=ran, now=equipped.now)
    done = _archive(equipped, tmp_path / "archive")
    assert done.waiting == len(waiting)
    known = {one.cycle: one for one in _manifest(tmp_path / "archive").cycles}
    assert set(known) == {page, good}
    assert known[page].rows == 0
    assert known[page].unread.startswith("page.csv: no table")
    assert known[good].rows > 0
    assert _check(equipped, tmp_path / "archive").problems == []


def test_moments_are_told_where_the_recorder_tells_them(equipped: House, tmp_path: Path) -> None:
    """A dated stamp is the clock of the department; one in the hour that comes twice stays open."""
    summer = _hand_in(equipped, _dated(tmp_path, "2026-07-01 12:00"))
    doubtful = _hand_in(equipped, _dated(tmp_path, "2026-10-25 02:10"))
    _archive(equipped, tmp_path / "archive")
    known = {one.cycle: one for one in _manifest(tmp_path / "archive").cycles}
    assert known[summer].first == datetime(2026, 7, 1, 10, 0, tzinfo=UTC)
    assert (known[doubtful].first, known[doubtful].last) == (None, None)
    assert known[doubtful].rows > 0


def _dated(folder: Path, began: str) -> Upload:
    """The record of a cycle with stamps of a clock on the wall, from a minute on."""
    lines = _record(folder, dialect="si").data.decode().splitlines()
    head, *rows = (line.split(",") for line in lines)
    start = datetime.fromisoformat(began).timestamp() - float(rows[0][0])
    body = [
        [datetime.fromtimestamp(start + float(row[0])).isoformat(sep=" "), *row[1:]]  # noqa: DTZ006 # any zone
        for row in rows
    ]
    text = "\n".join(",".join(row) for row in [["Time", *head[1:]], *body])
    return Upload("dated.csv", "text/csv", text.encode())


def test_two_runs_do_not_write_in_one_place(equipped: House, tmp_path: Path) -> None:
    """The second is refused while the first writes."""
    _hand_in(equipped, _record(tmp_path))
    refused = []

    def meanwhile(_doing: str, _done: int, _total: int) -> None:
        with pytest.raises(Conflict, match="another run"):
            _archive(equipped, tmp_path / "archive")
        refused.append(True)

    archive_traces(equipped.archive, tmp_path / "archive", now=equipped.now, tell=meanwhile)
    assert refused == [True]


def test_the_manifest_says_where_the_evidence_is(equipped: House, tmp_path: Path) -> None:
    """As plain JSON: the recorder file's digest, the head of the chain, and that files stay the evidence."""
    cycle = _hand_in(equipped, record := _record(tmp_path))
    _archive(equipped, tmp_path / "archive")
    said = json.loads((tmp_path / "archive" / AT / "2026-03.json").read_text("utf-8"))
    with equipped.archive.unit(writes=False) as unit:
        head = unit.journal.head(SITE.id)
        kept = cycle_records.opened_cycle(unit, cycle_records.cycle_row(unit, equipped.visitor("ada"), cycle))
        assert unit.files.read(said["cycles"][0]["file"]) == record.data
    assert said["head"] == str(head)
    assert said["cycles"][0]["file"] == kept.record.file
    assert "are the evidence" in said["evidence"]


def test_a_folder_without_an_archive_is_refused(equipped: House, tmp_path: Path) -> None:
    """Nothing to check is no clean bill."""
    with pytest.raises(BadInput, match="no archive of traces"):
        _check(equipped, tmp_path)
