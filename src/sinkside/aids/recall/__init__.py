"""The papers of a recall: what to fetch from where, whom to call, letters about cases and to other houses."""

from sinkside.aids.recall.printing import recall_pdf
from sinkside.aids.recall.request import CalledBack, OtherHouse, RecallPaper, RecallRequest

__all__ = ["CalledBack", "OtherHouse", "RecallPaper", "RecallRequest", "recall_pdf"]
