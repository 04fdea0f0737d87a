"""Long work: what runs, how far it is, and a way to stop it."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.desk import jobs as desk_jobs
from sinkside.records import Job
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, SIGNED_IN, Done, Screen

screen = Screen("jobs")

_KINDS = {
    "draft-document": "Reading a document",
    "judge-cycles": "Judging recorder files",
    "fit-table": "Working out the fit table",
    "print-papers": "Setting papers",
}
#: Where to see what came of work that is of no one thing.
_LEADS = {"judge-cycles": "/cycles", "fit-table": "/fit"}
_STATES = {
    "waiting": "waits for its turn",
    "running": "runs",
    "done": "done",
    "failed": "could not be done",
    "cancelled": "cancelled",
}


@dataclass(frozen=True)
class JobLine:
    """One job: what it is, how far, and where it is shown."""

    address: str
    what: str
    state: str
    words: str
    asked: str
    done: int
    total: int


@dataclass(frozen=True)
class JobsPage:
    """The latest jobs, newest first."""

    title: str
    jobs: tuple[JobLine, ...]


@dataclass(frozen=True)
class JobPage:
    """One job, live: `going` while it waits or runs, then `leads_to` is what came of it."""

    title: str
    address: str
    state: str
    words: str
    going: bool
    done: int
    total: int
    doing: str
    error: str
    leads_to: str
    cancel_asked: bool


@screen.page(f"{DEPARTMENT}/jobs", right=SIGNED_IN, template="jobs.html")
def jobs(asked: Asked) -> JobsPage:
    """The latest long work that this person may see."""
    here = desk_jobs.jobs_here(asked.archive, asked.visitor)
    return JobsPage(
        title="Long work",
        jobs=tuple(
            JobLine(
                asked.at(f"/jobs/{job.id}"),
                _what(job),
                job.state,
                _STATES[job.state],
                shown_moment(job.asked, asked.visitor.zone),
                job.done,
                job.total,
            )
            for job in here
        ),
    )


@screen.page(f"{DEPARTMENT}/jobs/{{job}}", right=SIGNED_IN, template="job.html")
def job(asked: Asked, job: str) -> JobPage:
    """How far one job is."""
    known = desk_jobs.open_job(asked.archive, asked.visitor, job)
    return JobPage(
        title=_what(known),
        address=asked.at(f"/jobs/{known.id}"),
        state=known.state,
        words=_STATES[known.state],
        going=known.state in {"waiting", "running"},
        done=known.done,
        total=known.total,
        doing=known.doing,
        error=known.error,
        leads_to=_leads_to(asked, known),
        cancel_asked=known.cancel_asked,
    )


@screen.act(f"{DEPARTMENT}/jobs/{{job}}/cancel", right=SIGNED_IN, page=job)
def cancel(asked: Asked, job: str) -> Done:
    """Ask that a job stops."""
    desk_jobs.cancel(asked.archive, asked.visitor, job, handlers=asked.context.handlers, now=asked.now)
    return Done(go=asked.at(f"/jobs/{job}"), said="It was asked to stop.")


def _what(job: Job) -> str:
    kind = _KINDS.get(job.kind, job.kind)
    name = job.arguments.get("file_name")
    return f"{kind}: {name}" if name else kind


def _leads_to(asked: Asked, job: Job) -> str:
    if job.state != "done":
        return ""
    if "instruction" in job.result:
        return asked.at(f"/instructions/{job.result['instruction']}")
    cycles = job.result.get("cycles", "").split()
    if len(cycles) == 1:
        return asked.at(f"/cycles/{cycles[0]}")
    if job.kind == "print-papers":
        return asked.at(f"/papers/packs/{job.id}")
    return asked.at(_LEADS[job.kind]) if job.kind in _LEADS else ""
