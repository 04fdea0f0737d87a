"""Recorder files from hand-in to a named person's decision."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from sinkside.cycles import Reading, faults_of, simulate, write_recorder_file
from sinkside.department import Department, Exposure, Machine, Program
from sinkside.desk import cycle_deciding, cycle_records, departments, jobs, record_book, work
from sinkside.desk.cycle_handing_in import CyclesHandedIn, Ran, hand_in_cycles, ran_as_last_time
from sinkside.desk.cycle_list import CyclesWanted, find_cycles
from sinkside.desk.uploads import Upload
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere, UnreadableFile
from sinkside.records import Grant, Wanted
from support.desk_house import ELSEWHERE, House

PROGRAM = Program.model_validate(
    {
        "kind": "steam-prevacuum",
        "name": "134 °C, 3 min",
        "exposure": {"temperature": "134 °C", "band": "3 K", "time": "3 min"},
        "air_removal": {"pulses": 3, "vacuum": "10 kPa"},
        "drying": {"time": "15 min", "vacuum": "10 kPa"},
    }
)
LONGER = PROGRAM.model_copy(
    update={
        "name": "134 °C, 5 min",
        "exposure": Exposure.model_validate({"temperature": "134 °C", "band": "3 K", "time": "5 min"}),
    }
)
BATH = Program.model_validate({"kind": "ultrasonic", "name": "Bath"})


def _equip(house: House, *programs: Program) -> None:
    """Give the department one sterilizer with some programs."""
    machine = {
        "id": "sterilizer-1",
        "name": "Sterilizer 1",
        "kind": "steam-sterilizer",
        "programs": programs,
    }
    site = Department(name="North", zone="Europe/Vienna", machines=(Machine.model_validate(machine),))
    departments.keep_department(house.archive, house.visitor("ada"), site, now=house.now)


@pytest.fixture
def equipped(house: House) -> House:
    """The house with a sterilizer."""
    _equip(house, PROGRAM, BATH)
    return house


def _record(folder: Path, kind: str = "normal", seed: int = 1) -> Upload:
    file = folder / f"{kind}-{seed}.csv"
    write_recorder_file(simulate(PROGRAM, kind, seed=seed), file, dialect="eu")
    return Upload(file.name, "text/csv", file.read_bytes())


def _hand_in(
    house: House,
    uploads: list[Upload],
    by: str = "tom",
    *,
    program: str = PROGRAM.name,
    reason: str = "",
) -> CyclesHandedIn:
    ran = Ran("sterilizer-1", program, reason=reason)
    return hand_in_cycles(house.archive, house.visitor(by), uploads, ran=ran, now=house.now)


def _open(house: House, cycle: str) -> cycle_records.OpenCycle:
    return cycle_records.open_cycle(house.archive, house.visitor("ada"), cycle)


def test_a_few_small_files_are_judged_at_once(equipped: House, tmp_path: Path) -> None:
    """Two records have verdicts at once and wait for a decision; a good one is not released by itself."""
    fault = "short-dry"
    assert fault in faults_of(PROGRAM)
    handed = _hand_in(equipped, [_record(tmp_path), _record(tmp_path, fault)])
    assert handed.job is None
    known = [_open(equipped, cycle) for cycle in handed.cycles]
    assert [one.row.fields["verdict"] for one in known] == ["meets", "fails"]
    assert {one.row.state for one in known} == {"undecided"}
    assert all(one.decision is None for one in known)


def test_many_files_are_a_job_and_one_bad_file_stops_none(equipped: House, tmp_path: Path) -> None:
    """Six files are judged in a child; the one that is no record gets a sentence, the others verdicts."""
    page = Upload("page.csv", "text/csv", b"<html><body>no record</body></html>")
    handed = _hand_in(equipped, [page, *(_record(tmp_path, seed=seed) for seed in range(1, 6))])
    assert handed.job is not None
    assert {_open(equipped, cycle).row.state for cycle in handed.cycles} == {"judging"}
    done = jobs.work_once(equipped.archive, work.handlers(), worker="w", clock=lambda: equipped.now)
    assert done is not None
    assert (done.state, done.error) == ("done", "")
    outcomes = [_open(equipped, cycle).row.fields["verdict"] for cycle in handed.cycles]
    assert outcomes == ["unread"] + ["meets"] * 5
    judged = _open(equipped, handed.cycles[0]).judged
    assert judged is not None
    assert judged.summary.startswith("page.csv: no table")


def test_machine_and_program_are_remembered_by_the_head(equipped: House, tmp_path: Path) -> None:
    """Where one program alone fits a head, the next file is taken to be of it, and said to be assumed."""
    tom = equipped.visitor("tom")
    with pytest.raises(BadInput, match="choose the machine and its program"):
        ran_as_last_time(equipped.archive, tom, _record(tmp_path))
    _hand_in(equipped, [_record(tmp_path)])
    later = _record(tmp_path, seed=2)
    ran = ran_as_last_time(equipped.archive, tom, later)
    assert ran == Ran("sterilizer-1", PROGRAM.name, assumed=True)
    (cycle,) = hand_in_cycles(equipped.archive, tom, [later], ran=ran, now=equipped.now).cycles
    assert _open(equipped, cycle).record.chosen == "as-last-time"
    assert "assumed as last time" in _told(equipped)


def test_a_head_that_fits_several_programs_says_nothing(equipped: House, tmp_path: Path) -> None:
    """With two steam programs here the head of a file does not tell which ran: a person must choose."""
    _hand_in(equipped, [_record(tmp_path)])
    _equip(equipped, PROGRAM, LONGER)
    with pytest.raises(BadInput, match=r"Sterilizer 1: 134 °C, 3 min; Sterilizer 1: 134 °C, 5 min.*choose"):
        ran_as_last_time(equipped.archive, equipped.visitor("tom"), _record(tmp_path, seed=2))


def test_a_file_judged_by_another_program_is_linked_and_takes_a_reason(
    equipped: House, tmp_path: Path
) -> None:
    """The same content under another program: refused without a reason; with one both cycles show the other.

    Releasing the verdict that suits, although the other is missed, takes a reason too.
    """
    _equip(equipped, PROGRAM, LONGER)
    tape = _record(tmp_path)
    (missed,) = _hand_in(equipped, [tape], program=LONGER.name).cycles
    renamed = Upload("another-name.csv", "text/csv", tape.data)
    with pytest.raises(BadInput, match=r"134 °C, 5 min.*say why"):
        _hand_in(equipped, [renamed])
    assert len(find_cycles(equipped.archive, equipped.visitor("tom"), CyclesWanted()).rows) == 1
    (met,) = _hand_in(equipped, [renamed], reason="5 min was chosen in error").cycles
    assert [row.id for row in _open(equipped, missed).others] == [met]
    assert [row.id for row in _open(equipped, met).others] == [missed]
    assert _open(equipped, met).record.again == "5 min was chosen in error"
    assert all(_open(equipped, cycle).row.fields["other_program"] for cycle in (met, missed))
    assert "judged by another program before" in _told(equipped)
    assert "5 min was chosen in error" in _told(equipped)
    ada = equipped.visitor("ada")
    with pytest.raises(BadInput, match="reason"):
        cycle_deciding.decide(equipped.archive, ada, met, "released", verdict_revision=1, now=equipped.now)


def test_a_file_handed_in_again_for_the_same_program_needs_no_reason(equipped: House, tmp_path: Path) -> None:
    """The same file for the same program is linked, and that is all; pressed twice, it is one cycle."""
    tape = _record(tmp_path)
    first = _hand_in(equipped, [tape]).cycles
    assert _hand_in(equipped, [tape]).cycles == first
    equipped.later(minutes=5)
    (again,) = _hand_in(equipped, [tape]).cycles
    assert [row.id for row in _open(equipped, again).others] == list(first)
    assert not _open(equipped, again).row.fields["other_program"]


def _told(house: House) -> str:
    page = record_book.read_record(house.archive, house.visitor("ada"), Wanted(limit=20))
    return " ".join(f"{entry.sentence} {entry.reason}" for entry in page.entries)


@pytest.mark.parametrize(
    ("machine", "program", "sentence"),
    [
        ("washer-9", PROGRAM.name, "no machine"),
        ("sterilizer-1", "Cotton 60", "no program"),
    ],
)
def test_a_wrong_choice_is_told_and_nothing_kept(
    equipped: House, tmp_path: Path, machine: str, program: str, sentence: str
) -> None:
    """A machine or program that is not here is told before anything is written."""
    with pytest.raises(BadInput, match=sentence):
        hand_in_cycles(
            equipped.archive,
            equipped.visitor("tom"),
            [_record(tmp_path)],
            ran=Ran(machine, program),
            now=equipped.now,
        )
    assert find_cycles(equipped.archive, equipped.visitor("tom"), CyclesWanted()).rows == ()


def test_empty_files_and_no_files_are_refused(equipped: House) -> None:
    """An empty file, or none at all, is no record."""
    with pytest.raises(UnreadableFile, match="empty"):
        _hand_in(equipped, [Upload("a.csv", "", b" ")])
    with pytest.raises(BadInput, match="expected 1 to"):
        _hand_in(equipped, [])


def _release(house: House, cycle: str, *, verdict_revision: int = 1) -> None:
    """Release by Ada, who says why nothing but the record is there."""
    cycle_deciding.decide(
        house.archive,
        house.visitor("ada"),
        cycle,
        "released",
        verdict_revision=verdict_revision,
        now=house.now,
        reason="A trial; nothing but the record is kept here.",
    )


def test_only_the_right_role_decides_and_against_the_verdict_with_a_reason(
    equipped: House, tmp_path: Path
) -> None:
    """A technician does not release; a lead does, and says why where the record says otherwise."""
    good, bad = _hand_in(equipped, [_record(tmp_path), _record(tmp_path, "short-dry")]).cycles
    archive, ada = equipped.archive, equipped.visitor("ada")
    with pytest.raises(NotAllowed):
        cycle_deciding.decide(
            archive, equipped.visitor("tom"), good, "released", verdict_revision=1, now=equipped.now
        )
    for cycle, against in ((good, "held"), (bad, "released")):
        with pytest.raises(BadInput, match="reason"):
            cycle_deciding.decide(
                archive,
                ada,
                cycle,
                "held" if against == "held" else "released",
                verdict_revision=1,
                now=equipped.now,
            )
    _release(equipped, good)
    told = cycle_deciding.decide(
        archive, ada, bad, "released", verdict_revision=1, now=equipped.now, reason="opened, dry"
    )
    assert told.against_the_verdict
    sentence = cycle_deciding.decision_sentence(told, "Ada")
    assert sentence.startswith("Released by Ada, against the verdict, without: what the load held, ")
    assert sentence.endswith(": opened, dry")
    assert _open(equipped, bad).row.state == "released"


def test_a_later_decision_needs_a_reason_and_keeps_the_earlier(equipped: House, tmp_path: Path) -> None:
    """What was released can be held again, with a reason; both decisions stay."""
    (cycle,) = _hand_in(equipped, [_record(tmp_path)]).cycles
    archive, ada = equipped.archive, equipped.visitor("ada")
    _release(equipped, cycle)
    with pytest.raises(BadInput, match="already"):
        cycle_deciding.decide(archive, ada, cycle, "released", verdict_revision=1, now=equipped.now)
    cycle_deciding.decide(
        archive,
        ada,
        cycle,
        "held",
        verdict_revision=1,
        seen=1,
        now=equipped.now,
        reason="indicator unchanged",
    )
    assert [one.decided for one in _open(equipped, cycle).decisions] == ["released", "held"]


def test_who_did_not_see_the_last_decision_does_not_decide(equipped: House, tmp_path: Path) -> None:
    """A load that was held meanwhile is not released from a window that still says nobody decided."""
    (cycle,) = _hand_in(equipped, [_record(tmp_path)]).cycles
    cycle_deciding.decide(
        equipped.archive,
        equipped.visitor("ada"),
        cycle,
        "held",
        verdict_revision=1,
        now=equipped.now,
        reason="A wet pack was found",
    )
    with pytest.raises(Conflict, match="decided on meanwhile"):
        _release(equipped, cycle)
    assert _open(equipped, cycle).row.state == "held"


def test_a_record_judged_again_waits_for_who_has_seen_the_new_verdict(
    equipped: House, tmp_path: Path
) -> None:
    """A decision on a replaced verdict is a conflict; a decided record is not judged again."""
    (cycle,) = _hand_in(equipped, [_record(tmp_path)]).cycles
    archive, ada = equipped.archive, equipped.visitor("ada")
    cycle_records.judge_again(
        archive, equipped.visitor("tom"), cycle, reading=Reading(pressure="absolute"), now=equipped.now
    )
    with pytest.raises(Conflict):
        cycle_deciding.decide(archive, ada, cycle, "released", verdict_revision=1, now=equipped.now)
    _release(equipped, cycle, verdict_revision=2)
    with pytest.raises(BadInput, match="already"):
        cycle_records.judge_again(
            archive, equipped.visitor("tom"), cycle, reading=Reading(), now=equipped.now
        )


def test_the_trace_and_the_file_come_back_as_they_were(equipped: House, tmp_path: Path) -> None:
    """The kept file is the one handed in, to the byte, and its trace can be drawn."""
    upload = _record(tmp_path)
    (cycle,) = _hand_in(equipped, [upload]).cycles
    _, data = cycle_records.recorder_file(equipped.archive, equipped.visitor("olga"), cycle)
    assert data == upload.data
    trace = cycle_records.trace_of(equipped.archive, equipped.visitor("olga"), cycle)
    assert trace.times_s.size > 1000


def test_cycles_of_another_department_are_not_there(equipped: House, tmp_path: Path) -> None:
    """A cycle of this department cannot be opened or decided from another."""
    (cycle,) = _hand_in(equipped, [_record(tmp_path)]).cycles
    with equipped.archive.unit() as unit:
        unit.sites.add(ELSEWHERE)
        unit.people.grant(Grant(equipped.people["uma"], ELSEWHERE.id, "lead"))
    uma = equipped.visitor("uma", ELSEWHERE.id)
    with pytest.raises(NotThere):
        cycle_records.open_cycle(equipped.archive, uma, cycle)
    with pytest.raises(NotThere):
        cycle_deciding.decide(equipped.archive, uma, cycle, "released", verdict_revision=1, now=equipped.now)


def test_a_cancelled_job_leaves_files_for_a_person(equipped: House, tmp_path: Path) -> None:
    """When judging is cancelled each record says so, is not judged, and still waits for a person."""
    handed = _hand_in(equipped, [_record(tmp_path, seed=seed) for seed in range(1, 6)])
    assert handed.job is not None
    jobs.cancel(
        equipped.archive,
        equipped.visitor("tom"),
        handed.job,
        handlers=work.handlers(),
        now=equipped.now + timedelta(seconds=1),
    )
    known = _open(equipped, handed.cycles[0])
    assert (known.row.state, known.row.fields["verdict"]) == ("undecided", "unread")
    assert known.row.fields["summary"] == "it was cancelled"
