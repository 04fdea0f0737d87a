"""One poster, and all papers of a large set in two languages on two processes: part of `make bench`."""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median

from sinkside.aids.papers import Kind, PaperRequest, paper_pdf
from sinkside.desk import instructions, routes
from sinkside.desk.papers import device_file
from sinkside.instruction import Instruction
from sinkside.parallel import Processes
from sinkside.route import Route, Station, resolve

DEMO = Path(__file__).parents[1] / "src" / "sinkside" / "demo"
TEXTS = (
    DEMO / "documents" / "bone-punch.txt",
    DEMO / "data" / "instructions" / "micro-scissors.yaml",
    DEMO / "data" / "instructions" / "modular-dissector.yaml",
    DEMO / "documents" / "sinus-forceps.pdf",
    DEMO / "documents" / "suction-punch.pdf",
)
DEVICES, LANGUAGES = 30, ("en", "de")
KINDS = (Kind.poster, Kind.card, Kind.theatre_card, Kind.inspection, Kind.protection)
POSTER_BAR_S, SET_BAR_S = 0.3, 30.0
PROCESSES = 2


@dataclass(frozen=True)
class Asked:
    """One device with its route, so that each process has what it needs."""

    instruction: Instruction
    route: Route


def main() -> int:
    """Measure and print."""
    site = routes.open_department(DEMO / "data" / "department.yaml")
    texts = [device_file(instructions.open_instruction(path), None).instruction for path in TEXTS]
    devices = [named(texts[number % len(texts)], number) for number in range(DEVICES)]
    asked = [Asked(text, resolve(text, site)) for text in devices]
    wall, busy = poster_seconds(asked)
    say("one poster, warm", wall, POSTER_BAR_S)
    say("one poster, warm: of the processor", busy, POSTER_BAR_S)
    start = time.perf_counter()
    workers: Processes[Asked, int] = Processes(PROCESSES, lost=lambda _: 0)
    made = sum(sum(share) for share in workers.each(papers_of, [asked[n::6] for n in range(6)]))
    taken = time.perf_counter() - start
    say(f"{made} papers of {DEVICES} devices in {len(LANGUAGES)} languages", taken, SET_BAR_S)
    return 0


def named(text: Instruction, number: int) -> Instruction:
    """A device of another name, so that no paper is set from what was set before."""
    device = text.device.model_copy(update={"name": f"{text.device.name}, no. {number}"})
    steps = tuple(
        step.model_copy(update={"cautions": (*step.cautions, f"of no. {number}")}) if n % 5 == 0 else step
        for n, step in enumerate(text.steps)
    )
    return text.model_copy(update={"device": device, "steps": steps})


def request_of(asked: Asked) -> PaperRequest:
    """The poster of a device."""
    return PaperRequest(instruction=asked.instruction, printed="2026-11-30", route=asked.route, proof=True)


def poster_seconds(asked: Sequence[Asked]) -> tuple[float, float]:
    """Median seconds of two posters of each text, by the wall's clock and of the processor; warm."""
    paper_pdf(request_of(asked[0]))
    wall, busy = [], []
    for one in asked[1 : 1 + 2 * len(TEXTS)]:
        start, begun = time.perf_counter(), time.process_time()
        paper_pdf(request_of(one))
        wall.append(time.perf_counter() - start)
        busy.append(time.process_time() - begun)
    return median(wall), median(busy)


def papers_of(asked: Sequence[Asked]) -> list[int]:
    """How many papers were set of each device."""
    return [
        sum(
            bool(paper_pdf(replace(request_of(one), kind=kind, languages=(language,), station=station(kind))))
            for language in LANGUAGES
            for kind in KINDS
        )
        for one in asked
    ]


def station(kind: Kind) -> Station | None:
    """Where a card hangs."""
    return Station.sink if kind is Kind.card else None


def say(what: str, seconds: float, bar: float) -> None:
    """One line: what was measured, and whether it keeps to its bar."""
    word = "within" if seconds <= bar else "ABOVE"
    print(f"{what:<58} {seconds:8.2f} s   {word} the bar of {bar:g} s")


if __name__ == "__main__":
    sys.exit(main())
