"""Long work: whole or not at all, cancelled in time, taken up again, and given up in the end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

import pytest

from sinkside.desk import jobs, shelf
from sinkside.desk.jobs import Beat, Clock, Outcome
from sinkside.desk.parsing_child import Stopped
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import Upload
from sinkside.errors import NotAllowed, NotThere, UnreadableFile
from sinkside.records import Job
from support.desk_house import House, ReadAs

TEXT = Upload("ifu.txt", "text/plain", b"Dry the device.")


@dataclass
class Told:
    """A handler that does what a test says, and remembers what was undone."""

    doing: Callable[[Beat], None]
    written: list[str] = field(default_factory=list)
    sentences: list[str] = field(default_factory=list)

    def work(self, archive: Archive, job: Job, *, beat: Beat, clock: Clock) -> Outcome:
        """Do what the test says."""
        del archive, clock
        self.doing(beat)
        return Outcome({"made": job.id}, lambda _: self.written.append(job.id))

    def undone(self, unit: Unit, job: Job, *, sentence: str, now: datetime) -> None:
        """Remember the sentence."""
        del unit, job, now
        self.sentences.append(sentence)


def _asked(house: House) -> str:
    return shelf.hand_in(house.archive, house.visitor("eve"), TEXT, now=house.now).job


def _work(house: House, handler: jobs.Handler, worker: str = "w") -> Job | None:
    handlers = {shelf.DRAFT_JOB: handler}
    return jobs.work_once(house.archive, handlers, worker=worker, clock=lambda: house.now)


def test_no_job_is_no_work(house: House) -> None:
    """Where nothing waits a worker gets nothing."""
    assert _work(house, ReadAs()) is None


def test_progress_is_told_and_the_work_written_once(house: House) -> None:
    """A job says how far it is, and what it made is written when it closes."""
    job = _asked(house)
    seen: list[tuple[int, str]] = []

    def doing(beat: Beat) -> None:
        assert beat(1, 4, "reading")
        known = jobs.open_job(house.archive, house.visitor("eve"), job)
        seen.append((known.done, known.doing))

    handler = Told(doing)
    done = _work(house, handler)
    assert done is not None
    assert (done.state, seen, handler.written) == ("done", [(1, "reading")], [job])


def test_a_failure_is_one_sentence_on_job_and_shelf(house: House) -> None:
    """A document that cannot be read is told with its reason where people look."""

    def doing(_: Beat) -> None:
        raise UnreadableFile("this is no PDF although its name says so", resource="ifu.txt")

    @dataclass(frozen=True)
    class Fails(ReadAs):
        def read(self, name: str, data: bytes, *, language: str | None, go_on: Callable[[], bool]) -> object:
            """Read nothing."""
            del name, data, language
            doing(lambda *_: go_on())
            return {}

    handed = shelf.hand_in(house.archive, house.visitor("eve"), TEXT, now=house.now)
    done = _work(house, Fails())
    assert done is not None
    assert done.state == "failed"
    row = shelf.instruction_row(house.archive, house.visitor("eve"), handed.instruction)
    assert (row.state, row.fields["error"]) == (
        "unread",
        "ifu.txt: this is no PDF although its name says so",
    )


def test_a_running_job_stops_soon_after_it_is_cancelled(house: House) -> None:
    """The beat says no once somebody cancelled; nothing is written but that it was cancelled."""
    job = _asked(house)

    def doing(beat: Beat) -> None:
        assert beat(0, 2, "reading")
        jobs.cancel(house.archive, house.visitor("eve"), job, handlers={}, now=house.now)
        house.later(seconds=3)
        if not beat(0, 2, "reading"):
            raise Stopped("the work was stopped")

    handler = Told(doing)
    done = _work(house, handler)
    assert done is not None
    assert (done.state, handler.written, handler.sentences) == ("cancelled", [], ["it was cancelled"])


def test_a_cancelled_job_whose_worker_died_leaves_nothing_being_read(house: House) -> None:
    """The next worker closes it and says so on the shelf, instead of reading the document after all."""
    handed = shelf.hand_in(house.archive, house.visitor("eve"), TEXT, now=house.now)

    def dies(_: Beat) -> None:
        jobs.cancel(house.archive, house.visitor("eve"), handed.job, handlers={}, now=house.now)
        raise MemoryError

    with pytest.raises(MemoryError):
        _work(house, Told(dies))
    house.later(seconds=jobs.LEASE_S + 1)
    closed = _work(house, ReadAs(), worker="next")
    assert closed is not None
    assert closed.state == "cancelled"
    row = shelf.instruction_row(house.archive, house.visitor("eve"), handed.instruction)
    assert (row.state, row.fields["error"], row.fields["job"]) == ("unread", "it was cancelled", None)


def test_a_worker_that_was_taken_over_from_writes_nothing(house: House) -> None:
    """While one worker was silent another did the job; the first one's work is dropped."""
    job = _asked(house)
    other = Told(lambda _: None)

    def doing(_: Beat) -> None:
        house.later(seconds=jobs.LEASE_S + 1)
        _work(house, other, worker="other")

    slow = Told(doing)
    _work(house, slow, worker="slow")
    assert (slow.written, other.written) == ([], [job])


def test_work_that_brings_workers_down_is_given_up(house: House) -> None:
    """After three workers went down over a job the fourth closes it as failed."""
    _asked(house)

    def down(_: Beat) -> None:
        raise MemoryError

    handler = Told(down)
    for _ in range(3):
        with pytest.raises(MemoryError):
            _work(house, handler)
        house.later(seconds=jobs.LEASE_S + 1)
    done = _work(house, handler)
    assert done is not None
    assert done.state == "failed"
    assert "3 times" in done.error


def test_who_may_see_and_cancel(house: House) -> None:
    """A technician sees a drafting job but does not cancel it; another's unknown job is not there."""
    job = _asked(house)
    assert jobs.open_job(house.archive, house.visitor("tom"), job).id == job
    with pytest.raises(NotAllowed):
        jobs.cancel(house.archive, house.visitor("tom"), job, handlers={}, now=house.now)
    with pytest.raises(NotThere):
        jobs.open_job(house.archive, house.visitor("tom"), "j-none")
