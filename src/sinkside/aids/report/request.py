"""What a report is made from."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.cycles import Trace, Unread, Verdict
from sinkside.department import Program
from sinkside.findings import Finding
from sinkside.instruction import Instruction
from sinkside.route import Route


@dataclass(frozen=True)
class DeviceReport:
    """One device: its instruction, what the review found, and its route where one was asked for."""

    instruction: Instruction
    findings: tuple[Finding, ...] = ()
    route: Route | None = None


@dataclass(frozen=True)
class CycleReport:
    """One machine cycle: what it proves, the record behind it, and the program that it is held against."""

    verdict: Verdict
    trace: Trace
    program: Program


@dataclass(frozen=True)
class ReportInput:
    """Everything that one report shows.

    Args:
        title: what the report is about.
        printed: the day it was made, ISO 8601.
        department: whose it is.
        profile: the limits profile in force.
        devices: in the order to be shown.
        cycles: in the order to be shown.
        unread: recorder files that could not be read, and why.
        language: the reader's language.
    """

    title: str
    printed: str
    department: str = ""
    profile: str = "eu"
    devices: tuple[DeviceReport, ...] = ()
    cycles: tuple[CycleReport, ...] = ()
    unread: tuple[Unread, ...] = ()
    language: str = "en"
