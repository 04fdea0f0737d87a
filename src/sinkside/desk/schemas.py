"""The JSON Schemas of the documents that Sinkside reads and writes."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from sinkside.aids.letter import Letter
from sinkside.bench.deviations import DeviationReport
from sinkside.cycles import Reader, Verdict
from sinkside.department import Department, Program
from sinkside.desk.evidence.documents import EvidenceMade
from sinkside.errors import BadInput
from sinkside.findings import FindingsDocument
from sinkside.flows import LumenReport
from sinkside.instruction import Instruction
from sinkside.limits import LimitsDocument
from sinkside.moisture import Moisture, Things
from sinkside.route import Route, SetRoute
from sinkside.sets import SetDocument
from sinkside.sets.layout import Layout

DOCUMENTS: dict[str, type[BaseModel]] = {
    "instruction": Instruction,
    "department": Department,
    "program": Program,
    "set": SetDocument,
    "route": Route,
    "set-route": SetRoute,
    "findings": FindingsDocument,
    "questions": Letter,
    "verdict": Verdict,
    "reader": Reader,
    "limits": LimitsDocument,
    "lumens": LumenReport,
    "things": Things,
    "moisture": Moisture,
    "layout": Layout,
    "deviation": DeviationReport,
    "evidence": EvidenceMade,
}


def schema(name: str) -> dict[str, Any]:
    """The JSON Schema of a document.

    Raises:
        BadInput: if there is no document of that name.
    """
    if name not in DOCUMENTS:
        raise BadInput(f"there is no document '{name}'; expected one of {', '.join(DOCUMENTS)}")
    return DOCUMENTS[name].model_json_schema(by_alias=True)
