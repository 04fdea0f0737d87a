"""Jobs: taken by one, given up when silent, cancelled when asked."""

from __future__ import annotations

import pytest

from sinkside.archive import WorkspaceArchive
from sinkside.errors import Conflict
from support.archive_places import DEPARTMENT, job, later


def test_the_oldest_waiting_job_is_taken(archive: WorkspaceArchive) -> None:
    """Workers get jobs in the order they were asked for, and none twice."""
    with archive.unit() as unit:
        unit.jobs.ask(job(2))
        unit.jobs.ask(job(1))
        taken = unit.jobs.claim("w1", later(10), lease_s=30)
        assert taken is not None
        assert (taken.id, taken.state, taken.worker, taken.attempts) == ("j-1", "running", "w1", 1)
        other = unit.jobs.claim("w2", later(10), lease_s=30)
        assert other is not None
        assert other.id == "j-2"
        assert unit.jobs.claim("w3", later(10), lease_s=30) is None
        assert [one.id for one in unit.jobs.all([DEPARTMENT])] == ["j-2", "j-1"]
        assert unit.jobs.all([DEPARTMENT], states=["waiting"]) == []
        with pytest.raises(Conflict, match="already"):
            unit.jobs.ask(job(1))


def test_a_silent_workers_job_goes_to_another(archive: WorkspaceArchive) -> None:
    """After the lease another worker gets the job, and the first one learns that it lost it."""
    with archive.unit() as unit:
        unit.jobs.ask(job(1))
        unit.jobs.claim("w1", later(0), lease_s=30)
        assert unit.jobs.beat("j-1", "w1", later(20), done=1, total=4, doing="page 1")
        assert unit.jobs.claim("w2", later(45), lease_s=30) is None
        again = unit.jobs.claim("w2", later(51), lease_s=30)
        assert again is not None
        assert (again.worker, again.attempts, again.doing) == ("w2", 2, "page 1")
        assert not unit.jobs.beat("j-1", "w1", later(52), done=2, total=4, doing="page 2")
        assert not unit.jobs.finish("j-1", "w1", result={"x": "y"})
        assert unit.jobs.finish("j-1", "w2", result={"x": "y"})
        closed = unit.jobs.get("j-1")
        assert closed is not None
        assert (closed.state, closed.result) == ("done", {"x": "y"})


def test_work_stops_when_asked(archive: WorkspaceArchive) -> None:
    """A waiting job is cancelled at once, a running one at its next beat, a silent one by the next worker."""
    with archive.unit() as unit:
        for number in (1, 2, 3):
            unit.jobs.ask(job(number))
        unit.jobs.cancel("j-3")
        unit.jobs.claim("w1", later(0), lease_s=30)
        unit.jobs.claim("w1", later(0), lease_s=30)
        unit.jobs.cancel("j-1")
        unit.jobs.cancel("j-2")
        assert not unit.jobs.beat("j-1", "w1", later(1), done=0, total=0, doing="")
        assert unit.jobs.finish("j-1", "w1", result={})
        silent = unit.jobs.claim("w2", later(99), lease_s=30)
        assert silent is not None
        assert (silent.id, silent.cancel_asked) == ("j-2", True)
        assert unit.jobs.finish("j-2", "w2", result={}, error="it was cancelled")
        states = {one.id: one.state for one in unit.jobs.all([DEPARTMENT])}
    assert states == {"j-1": "cancelled", "j-2": "cancelled", "j-3": "cancelled"}


def test_failed_work_says_why(archive: WorkspaceArchive) -> None:
    """An error closes the job as failed."""
    with archive.unit() as unit:
        unit.jobs.ask(job(1))
        unit.jobs.claim("w1", later(0), lease_s=30)
        unit.jobs.finish("j-1", "w1", result={}, error="the document is empty")
        closed = unit.jobs.get("j-1")
    assert closed is not None
    assert (closed.state, closed.error) == ("failed", "the document is empty")
