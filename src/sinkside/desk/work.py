"""Every kind of long work, and how it is done."""

from __future__ import annotations

from sinkside.desk.cycle_records import JUDGE_JOB
from sinkside.desk.drafting import DraftDocument
from sinkside.desk.fit_job import WorkOutFits
from sinkside.desk.jobs import FIT_JOB, PAPERS_JOB, Handlers
from sinkside.desk.judging_many import JudgeCycles
from sinkside.desk.paper_packs import PrintPapers
from sinkside.desk.parsing_child import ChildLimits
from sinkside.desk.shelf import DRAFT_JOB


def handlers(limits: ChildLimits | None = None) -> Handlers:
    """How each kind of job is done, within limits for what is read from outside.

    >>> sorted(handlers())
    ['draft-document', 'fit-table', 'judge-cycles', 'print-papers']
    """
    allowed = limits or ChildLimits()
    return {
        DRAFT_JOB: DraftDocument(allowed),
        JUDGE_JOB: JudgeCycles(allowed),
        FIT_JOB: WorkOutFits(),
        PAPERS_JOB: PrintPapers(),
    }
