"""The table of long work: who has which job, and since when its worker has been silent."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, bindparam, case, false, insert, or_, select, true, update

from sinkside.archive.connection import Transaction
from sinkside.archive.schema import jobs
from sinkside.errors import Conflict
from sinkside.records import Job, JobState

# Every page asks these; a statement that is built once is not built again for each of them.
_JOB = select(jobs).where(jobs.c.id == bindparam("wanted"))
_ASK = insert(jobs)
_HERE = select(jobs).where(jobs.c.department.in_(bindparam("departments", expanding=True)))
_IN_ORDER = (jobs.c.asked.desc(), jobs.c.id)
_LATEST = _HERE.order_by(*_IN_ORDER).limit(bindparam("most"))
_LATEST_SO = (
    _HERE.where(jobs.c.state.in_(bindparam("states", expanding=True)))
    .order_by(*_IN_ORDER)
    .limit(bindparam("most"))
)


class JobTable:
    """The table of long work."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def ask(self, job: Job) -> None:
        """Ask for work.

        Raises:
            Conflict: if there is a job of that id.
        """
        try:
            self._do.change(_ASK, **vars(job))
        except Conflict as error:
            raise Conflict("this work was asked for already", resource=job.id) from error

    def get(self, job: str) -> Job | None:
        """A job."""
        found = self._do.first(_JOB, wanted=job)
        return Job(**found) if found else None

    def all(
        self, departments: Sequence[str], *, states: Sequence[JobState] = (), limit: int = 50
    ) -> list[Job]:
        """Jobs, latest first."""
        here = {"departments": tuple(departments), "most": limit}
        if states:
            found = self._do.all(_LATEST_SO, states=tuple(states), **here)
        else:
            found = self._do.all(_LATEST, **here)
        return [Job(**row) for row in found]

    def claim(self, worker: str, now: datetime, *, lease_s: float) -> Job | None:
        """Take the oldest job that waits, or whose worker fell silent; nobody else gets it.

        A silent worker's job that was to be cancelled is given too: whoever gets it writes down that it was.

        Args:
            worker: who takes it.
            now: the moment.
            lease_s: for how many seconds a worker may be silent.
        """
        silent = _silent(now, lease_s)
        # Another worker's choice is passed over, not waited for (PostgreSQL); on SQLite writers queue anyway.
        oldest = self._do.first(
            select(jobs.c.id, jobs.c.attempts)
            .where(or_(jobs.c.state == "waiting", silent))
            .order_by(jobs.c.asked, jobs.c.id)
            .limit(1)
            .with_for_update(skip_locked=True)
        )
        if oldest is None:
            return None
        self._do.change(
            update(jobs)
            .where(jobs.c.id == oldest["id"])
            .values(state="running", worker=worker, heartbeat=now, attempts=oldest["attempts"] + 1)
        )
        return self.get(oldest["id"])

    def beat(self, job: str, worker: str, now: datetime, *, done: int, total: int, doing: str) -> bool:
        """Say that the work goes on; false if it was cancelled or taken over."""
        touched = self._do.change(
            update(jobs)
            .where(*_held(job, worker), jobs.c.cancel_asked == false())
            .values(heartbeat=now, done=done, total=total, doing=doing)
        )
        return touched == 1

    def finish(self, job: str, worker: str, *, result: Mapping[str, str], error: str = "") -> bool:
        """Close a job, done or failed; false if it is no longer this worker's.

        One that was to be cancelled and has no result is closed as cancelled.
        """
        came_out = "failed" if error else "done"
        if not result:
            outcome: ColumnElement[str] | str = case(
                (jobs.c.cancel_asked == true(), "cancelled"), else_=came_out
            )
        else:
            outcome = came_out
        closed = update(jobs).where(*_held(job, worker)).values(state=outcome, result=result, error=error)
        return self._do.change(closed) == 1

    def cancel(self, job: str) -> None:
        """Ask that it stops; one that still waits is cancelled at once."""
        self._do.change(
            update(jobs)
            .where(jobs.c.id == job, jobs.c.state.in_(("waiting", "running")))
            .values(
                cancel_asked=True,
                state=case((jobs.c.state == "waiting", "cancelled"), else_=jobs.c.state),
            )
        )


def _silent(now: datetime, lease_s: float) -> ColumnElement[bool]:
    return (jobs.c.state == "running") & (jobs.c.heartbeat < now - timedelta(seconds=lease_s))


def _held(job: str, worker: str) -> tuple[ColumnElement[bool], ...]:
    return jobs.c.id == job, jobs.c.worker == worker, jobs.c.state == "running"
