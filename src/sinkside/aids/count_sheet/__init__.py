"""Count sheets: what is counted of a set before and after use and at its return, with the map of its tray."""

from sinkside.aids.count_sheet.printing import count_sheet_pdf
from sinkside.aids.count_sheet.request import CountSheetRequest, MadeFrom, SheetSize, TrayMap

__all__ = ["CountSheetRequest", "MadeFrom", "SheetSize", "TrayMap", "count_sheet_pdf"]
