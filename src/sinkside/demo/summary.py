"""What came of the demo, in at most ten lines."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from sinkside.cycles import Verdict
from sinkside.desk import papers
from sinkside.desk.cycles import JudgedCycle
from sinkside.desk.papers import DeviceFile
from sinkside.findings import Level, count_by_level
from sinkside.instruction import Instruction


@dataclass(frozen=True)
class DemoResult:
    """Everything that the demo read, found and made."""

    department: str
    drafted: tuple[Instruction, ...]
    on_file: tuple[Instruction, ...]
    devices: tuple[DeviceFile, ...]
    cycles: tuple[JudgedCycle, ...]
    example: str


def summary_of(result: DemoResult, folder: Path) -> str:
    """What was read, what is wrong by level, what was made and where, what to type next."""
    devices, site = result.devices, result.department
    held = sum(not device.fit_for_the_floor for device in devices)
    routed = sum(device.route is not None and device.route.resolved for device in devices)
    return "\n".join(
        [
            f"Read     {_read(result)}",
            f"Wrong    {_wrong(result)}",
            f"Routes   {routed} of {len(devices)} can be done at {site}{_change(result)}",
            f"Posters  {len(devices)} in {folder}/posters; nobody approved one, and {held} have open stops",
            f"Cycles   {_judged(result)}",
            f"Next     open {folder}/report.html in a browser, or type:",
            f"         .venv/bin/sinkside review {folder}/documents/{result.example}",
            "The maker's current instruction and local policy govern; release by a qualified person.",
        ]
    )


def _read(result: DemoResult) -> str:
    drafted = f"{len(result.drafted)} documents and {len(result.on_file)} instructions on file"
    return f"{drafted}; of the documents {papers.read_words(result.drafted)}"


def _wrong(result: DemoResult) -> str:
    counts = count_by_level(finding for device in result.devices for finding in device.findings)
    faulty = [device.name for device in result.devices if device.review_stops]
    marks = {Level.stop: "■", Level.concern: "▲", Level.note: "●"}
    levels = ", ".join(
        f"{mark} {counts[level]} {level.value}{'' if counts[level] == 1 else 's'}"
        for level, mark in marks.items()
    )
    return f"{levels} in the makers' texts; stops in {' and '.join(faulty) or 'none'}"


def _judged(result: DemoResult) -> str:
    verdicts = Counter(one.answer.verdict for one in result.cycles if isinstance(one.answer, Verdict))
    answers = f"{verdicts['meets']} meet, {verdicts['fails']} fail, {verdicts['unclear']} unclear"
    return f"{len(result.cycles)} judged: {answers}"


def _change(result: DemoResult) -> str:
    """The smallest change for the first device without a route that has no open stop of its own."""
    for device in result.devices:
        if device.route and not device.route.resolved and device.route.changes and not device.review_stops:
            return f"; {device.name}: {device.route.changes[0].sentence}"
    return ""
