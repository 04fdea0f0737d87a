"""Long work: taken by a worker, told how far it is, cancelled, taken up again after a restart."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Protocol

from sinkside.desk.access import Visitor, record
from sinkside.desk.parsing_child import Stopped
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import NotAllowed, NotThere, SinksideError
from sinkside.records import Job

#: Working out the answers of the fit table.
FIT_JOB: Final = "fit-table"

#: Setting many papers as one PDF.
PAPERS_JOB: Final = "print-papers"

#: A worker that was silent for so long has died; somebody else takes its job.
LEASE_S: Final = 60.0

#: Work that brought down so many workers is not tried again.
_MOST_ATTEMPTS: Final = 3

#: Work that has no news says only so often that it goes on: each time is a write.
_BEATS_EVERY: Final = timedelta(seconds=2)

_CANCELLED: Final = "it was cancelled"

Clock = Callable[[], datetime]


class Beat(Protocol):
    """Tells how far the work is; false once it is to stop."""

    def __call__(self, done: int, total: int, doing: str) -> bool:
        """So many of so many are done, and this is being done."""


@dataclass(frozen=True)
class Outcome:
    """What came of the work: the result, and what to write in the transaction that closes the job."""

    result: Mapping[str, str]
    write: Callable[[Unit], None]


class Handler(Protocol):
    """How one kind of job is done."""

    def work(self, archive: Archive, job: Job, *, beat: Beat, clock: Clock) -> Outcome:
        """Do it; write nothing, for another worker may have taken over.

        Raises:
            SinksideError: if it cannot be done; the sentence is kept.
        """

    def undone(self, unit: Unit, job: Job, *, sentence: str, now: datetime) -> None:
        """Write down that it failed or was cancelled."""


Handlers = Mapping[str, Handler]


@dataclass
class _Beating:
    """A beat that keeps the last answer."""

    archive: Archive
    job: Job
    worker: str
    clock: Clock
    going: bool = True
    told: tuple[int, int, str] | None = None
    told_at: datetime | None = None

    def __call__(self, done: int, total: int, doing: str) -> bool:
        now, news = self.clock(), (done, total, doing)
        if news == self.told and self.told_at is not None and now - self.told_at < _BEATS_EVERY:
            return self.going
        self.told, self.told_at = news, now
        with self.archive.unit() as unit:
            self.going = unit.jobs.beat(self.job.id, self.worker, now, done=done, total=total, doing=doing)
        return self.going


def work_once(
    archive: Archive, handlers: Handlers, *, worker: str, clock: Clock, lease_s: float = LEASE_S
) -> Job | None:
    """Take the oldest job that waits, or whose worker fell silent, and do it; none if there is none.

    What the work writes stands in the same transaction that closes the job: a worker that was killed, or that
    somebody took over from, leaves nothing half done.

    Args:
        archive: where jobs are kept.
        handlers: how each kind of job is done.
        worker: which worker this is.
        clock: tells the moment.
        lease_s: for how many seconds a worker may be silent.
    """
    with archive.unit() as unit:
        job = unit.jobs.claim(worker, clock(), lease_s=lease_s)
    if job is None:
        return None
    handler = handlers.get(job.kind)
    if job.cancel_asked:
        return _close_undone(archive, handler, job, worker=worker, sentence=_CANCELLED, now=clock())
    if handler is None or job.attempts > _MOST_ATTEMPTS:
        sentence = (
            f"nobody here knows how to do '{job.kind}'"
            if handler is None
            else f"it was tried {_MOST_ATTEMPTS} times, and each time the worker went down"
        )
        return _close_undone(archive, handler, job, worker=worker, sentence=sentence, now=clock())
    try:
        outcome = handler.work(archive, job, beat=_Beating(archive, job, worker, clock), clock=clock)
    except Stopped:
        return _close_undone(archive, handler, job, worker=worker, sentence=_CANCELLED, now=clock())
    except SinksideError as error:
        return _close_undone(archive, handler, job, worker=worker, sentence=str(error), now=clock())
    with archive.unit() as unit:
        if unit.jobs.finish(job.id, worker, result=outcome.result):
            outcome.write(unit)
        return unit.jobs.get(job.id)


def open_job(archive: Archive, who: Visitor, job: str) -> Job:
    """How far a job is: one's own, or one of the department for whoever reads there.

    Raises:
        NotThere: if there is no such job here.
    """
    with archive.unit(writes=False) as unit:
        return _job_of(unit, who, job)


def jobs_here(archive: Archive, who: Visitor, *, limit: int = 50) -> list[Job]:
    """The latest jobs of this department that somebody may see."""
    with archive.unit(writes=False) as unit:
        return [job for job in unit.jobs.all([who.department], limit=limit) if _may_see(who, job)]


def cancel(archive: Archive, who: Visitor, job: str, *, handlers: Handlers, now: datetime) -> Job:
    """Ask that a job stops: its own asker, or whoever may edit instructions or decide on cycles here.

    Raises:
        NotThere: if there is no such job here.
        NotAllowed: if it is neither theirs nor theirs to stop.
    """
    with archive.unit() as unit:
        known = _job_of(unit, who, job)
        if known.by != who.person and not (who.may("instruction-edit") or who.may("cycle-decide")):
            raise NotAllowed("only who asked for it, or who edits or decides here, may cancel it")
        unit.jobs.cancel(job)
        record(unit, who, "job-cancelled", f"job:{job}", now=now, data={"job": known.kind})
        after = unit.jobs.get(job) or known
        handler = handlers.get(known.kind)
        if known.state == "waiting" and after.state == "cancelled" and handler is not None:
            handler.undone(unit, after, sentence=_CANCELLED, now=now)
        return after


def _job_of(unit: Unit, who: Visitor, job: str) -> Job:
    known = unit.jobs.get(job)
    if known is None or known.department != who.department or not _may_see(who, known):
        raise NotThere("there is no such job here", resource=job)
    return known


def _may_see(who: Visitor, job: Job) -> bool:
    about_texts = "instruction" in job.arguments or job.kind in {FIT_JOB, PAPERS_JOB}
    return job.by == who.person or who.may("instruction-read" if about_texts else "cycle-read")


def _close_undone(
    archive: Archive, handler: Handler | None, job: Job, *, worker: str, sentence: str, now: datetime
) -> Job | None:
    with archive.unit() as unit:
        if unit.jobs.finish(job.id, worker, result={}, error=sentence) and handler is not None:
            handler.undone(unit, job, sentence=sentence, now=now)
        return unit.jobs.get(job.id)
