"""Labels for sets and loads, with a code that scanners read and a line that people read."""

from sinkside.aids.labels.printing import labels_pdf
from sinkside.aids.labels.request import LabelRequest, LabelSize, LoadLabel, Numbered, SetLabel

__all__ = ["LabelRequest", "LabelSize", "LoadLabel", "Numbered", "SetLabel", "labels_pdf"]
