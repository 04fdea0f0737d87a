"""Reports that open in any browser and need nothing beside themselves."""

from sinkside.aids.report.page import report_html
from sinkside.aids.report.request import CycleReport, DeviceReport, ReportInput

__all__ = ["CycleReport", "DeviceReport", "ReportInput", "report_html"]
