"""Evidence files: what is kept of a run, or of a load, on paper, what is not recorded first."""

from sinkside.aids.evidence.drawing import on_paper
from sinkside.aids.evidence.printing import evidence_pdf
from sinkside.aids.evidence.request import (
    EvidenceBlock,
    EvidenceLine,
    EvidencePicture,
    EvidenceRequest,
    EvidenceSaid,
    EvidenceSection,
    EvidenceTable,
    LineStop,
)

__all__ = [
    "EvidenceBlock",
    "EvidenceLine",
    "EvidencePicture",
    "EvidenceRequest",
    "EvidenceSaid",
    "EvidenceSection",
    "EvidenceTable",
    "LineStop",
    "evidence_pdf",
    "on_paper",
]
