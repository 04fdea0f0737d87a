"""Papers that show steps: poster, cards, and what people look up beside the work."""

from sinkside.aids.papers.kinds import NAMES, SIZES, Kind, Size
from sinkside.aids.papers.paper import paper_pdf
from sinkside.aids.papers.request import Approval, PaperRequest
from sinkside.aids.papers.setting import sheets
from sinkside.aids.papers.specimen import specimen_pdf

__all__ = [
    "NAMES",
    "SIZES",
    "Approval",
    "Kind",
    "PaperRequest",
    "Size",
    "paper_pdf",
    "sheets",
    "specimen_pdf",
]
