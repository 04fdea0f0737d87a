"""The paper pack for when nothing else works: forms with the department's own machines, one PDF."""

from sinkside.aids.downtime.printing import DowntimeRequest, downtime_pdf

__all__ = ["DowntimeRequest", "downtime_pdf"]
