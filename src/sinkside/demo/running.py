"""The main job, from makers' documents to posters and verdicts, over the demo workspace."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TypeVar

from sinkside import documents
from sinkside.demo.summary import DemoResult, summary_of
from sinkside.demo.traces import DEMO_TRACES, DemoTrace
from sinkside.demo.workspace import Progress, Workspace, new_workspace
from sinkside.department import Department
from sinkside.desk import cycles, instructions, papers, routes
from sinkside.desk.cycles import JudgedCycle
from sinkside.desk.papers import DeviceFile
from sinkside.findings import FindingsDocument
from sinkside.instruction import Instruction

Given = TypeVar("Given")
Done = TypeVar("Done")


def run_demo(folder: Path, *, today: date, tell: Progress) -> str:
    """Make the demo workspace, run the main job over it, and say in at most ten lines what came of it.

    Raises:
        UnreadableFile: if the folder holds something that no demo made, or cannot be written.
    """
    with new_workspace(folder) as workspace:
        result = _run(workspace, today=today, tell=tell)
    return summary_of(result, folder)


def _run(workspace: Workspace, *, today: date, tell: Progress) -> DemoResult:
    site = routes.open_department(workspace.department)
    drafted = _each(tell, "Reading documents", workspace.documents, lambda path: _draft(workspace, path))
    on_file = {path.stem: documents.load(Instruction, path) for path in workspace.on_file}
    named = [*zip([path.stem for path in workspace.documents], drafted, strict=True), *on_file.items()]
    devices = _each(
        tell, "Reviewing and routing", named, lambda one: _review_and_route(workspace, site, *one)
    )
    names = [name for name, _ in named]
    _each(
        tell,
        "Printing posters",
        list(zip(names, devices, strict=True)),
        lambda one: _print(workspace, *one, today=today),
    )
    judged = _each(tell, "Judging recorder files", DEMO_TRACES, lambda trace: _judge(workspace, trace, site))
    papers.write_report(
        devices,
        judged,
        out=workspace.folder / "report.html",
        made_on=today,
        department=site,
        profile=site.profile,
    )
    return DemoResult(
        department=site.name,
        drafted=tuple(drafted),
        on_file=tuple(on_file.values()),
        devices=tuple(devices),
        cycles=tuple(judged),
        example=max(zip(workspace.documents, devices, strict=False), key=_stops_of)[0].name,
    )


def _stops_of(pair: tuple[Path, papers.DeviceFile]) -> int:
    """How many stops a document has: the one to look at first has the most."""
    return len(pair[1].review_stops)


def _each(tell: Progress, doing: str, given: Sequence[Given], work: Callable[[Given], Done]) -> list[Done]:
    done = []
    tell(doing, 0, len(given))
    for count, one in enumerate(given, 1):
        done.append(work(one))
        tell(doing, count, len(given))
    return done


def _draft(workspace: Workspace, path: Path) -> Instruction:
    instruction = instructions.draft(path)
    instructions.keep(instruction, workspace.made("instructions", f"{path.stem}.yaml"))
    return instruction


def _review_and_route(
    workspace: Workspace, site: Department, name: str, instruction: Instruction
) -> DeviceFile:
    device = papers.device_file(instruction, site)
    findings = FindingsDocument(findings=device.findings)
    documents.save(findings, workspace.made("findings", f"{name}.json"))
    if device.route:
        documents.save(device.route, workspace.made("routes", f"{name}.json"))
    return device


def _print(workspace: Workspace, name: str, device: DeviceFile, *, today: date) -> None:
    out = workspace.made("posters", f"{name}.pdf")
    wanted = papers.WantedPaper(proof=not device.fit_for_the_floor)
    papers.print_paper(device, wanted, out=out, printed_on=today)


def _judge(workspace: Workspace, trace: DemoTrace, site: Department) -> JudgedCycle:
    program = cycles.open_program(workspace.program(trace.program))
    path = workspace.made("traces", f"{trace.name}.csv")
    cycles.simulate(trace.kind, program, seed=trace.seed, out=path, dialect=trace.dialect)
    judged = cycles.judge_for_report(path, program, profile=site.profile)
    documents.save(judged.answer, workspace.made("verdicts", f"{trace.name}.json"))
    return judged
