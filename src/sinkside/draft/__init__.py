"""From a maker's document to a drafted Instruction; every reading keeps its page, line and words."""

from sinkside.draft.drafting import draft, draft_text
from sinkside.draft.explaining import Explained, explain

__all__ = ["Explained", "draft", "draft_text", "explain"]
