"""An instruction as a page shows it: route line, steps by stage, findings beside the step they concern."""

from __future__ import annotations

import functools
import itertools
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from sinkside.aids.figures import ShownFigure, shown_figures
from sinkside.aids.reading_words import read_words
from sinkside.aids.report.finding_view import finding_views
from sinkside.aids.route_line import route_line
from sinkside.aids.route_line_svg import route_line_svg
from sinkside.aids.words import plain_words, thing_name
from sinkside.desk.figure_lines import figure_lines
from sinkside.desk.left_over import LeftOver, left_over_figures, where
from sinkside.desk.remembered import Remembered
from sinkside.desk.shelf import OpenInstruction, Weighed
from sinkside.desk.standing import Standing
from sinkside.findings import Level
from sinkside.instruction import POSITIONS, Action, Instruction, Stage, Step
from sinkside.plain.names import calm_maker, calm_name
from sinkside.plain.operations import shown_operations
from sinkside.records import Row
from sinkside.route import Operation

_STAGE_WORDS: Final = {Stage.point_of_use: "Point of use"}
_UNNAMED: Final = "unnamed device"

#: What many people look at is put into words once.
_KEPT_VIEWS: Final = 100


@dataclass(frozen=True)
class StopShown:
    """One stop of the route line: its words, figures, and the worst level there, if any."""

    label: str
    figure: str
    level: str


@dataclass(frozen=True)
class Sum:
    """One piece of a finding's arithmetic."""

    name: str
    value: str


@dataclass(frozen=True)
class Quote:
    """Words of the maker's that a finding concerns, and where they stand."""

    text: str
    where: str


@dataclass(frozen=True)
class FindingShown:
    """A finding beside its step, with arithmetic, words and source to unfold, and how it stands.

    Attributes:
        id: what it is known by.
        level: stop, concern or note.
        message: the one sentence.
        remedy: what would put it right.
        arithmetic: what was computed.
        quotes: the words it concerns.
        source: the published source, and how it was read.
        step: the step that it stands beside, if any.
        is_open: whether nothing settles it yet.
        maker_only: whether only the maker's written answer settles it.
        carried: whether an edit took it away though the maker's words still raise it.
        how: accepted, asked or answered; empty if nothing was said to it.
        words: what was said.
        by: the pseudonym of whoever said it.
        at: when, ISO 8601 in UTC.
        file: the digest of the attached answer.
        file_name: its name.
    """

    id: str
    level: str
    message: str
    remedy: str
    arithmetic: tuple[Sum, ...]
    quotes: tuple[Quote, ...]
    source: str
    step: str
    is_open: bool
    maker_only: bool
    carried: bool
    how: str = ""
    words: str = ""
    by: str = ""
    at: str = ""
    file: str = ""
    file_name: str = ""


@dataclass(frozen=True)
class FigureShown:
    """A figure: number with its bound, unit, and what it is of."""

    number: str
    unit: str
    label: str


@dataclass(frozen=True)
class StepShown:
    """A step in plain words: letter, sentence, what belongs to it, figures, place, and its findings."""

    id: str
    letter: str
    sentence: str
    details: str
    figures: tuple[FigureShown, ...]
    where: str
    accepted: bool
    findings: tuple[FindingShown, ...]


@dataclass(frozen=True)
class StageShown:
    """Steps that follow each other in one stage, and those of them that nobody accepted yet."""

    stage: str
    steps: tuple[StepShown, ...]
    to_accept: tuple[str, ...] = ()


@dataclass(frozen=True)
class StepFields:
    """A step as the fields of a form; lists have an entry a line."""

    stage: str
    action: str
    on: str
    uses: str
    figures: str
    positions: dict[str, str]
    air_removal: str
    until: str
    cautions: str


@dataclass(frozen=True)
class InstructionView:
    """Everything of one revision that does not depend on who looks."""

    name: str
    about: str
    summary: str
    line: tuple[StopShown, ...]
    line_svg: str
    stages: tuple[StageShown, ...]
    general: tuple[FindingShown, ...]
    left_over: tuple[LeftOver, ...]


def instruction_view(opened: OpenInstruction) -> InstructionView:
    """One revision as its page shows it."""
    return _view(opened.weighed, opened.revision.digest)


@dataclass(frozen=True)
class _Text:
    """What of a text is the same however it stands: accepting a step makes a revision of the same text."""

    summary: str
    steps: tuple[tuple[Stage, StepShown], ...]
    left_over: tuple[LeftOver, ...]


_TEXTS: Final = Remembered[str, _Text](most=_KEPT_VIEWS)


@functools.lru_cache(maxsize=_KEPT_VIEWS)
def _view(opened: Weighed, digest: str) -> InstructionView:
    instruction = opened.instruction
    text = _TEXTS.get(digest, lambda: _text(instruction))
    findings = [_finding(one) for one in opened.findings]
    steps = {step.id for step in instruction.steps}
    beside: defaultdict[str, list[FindingShown]] = defaultdict(list)
    for finding in findings:
        beside[finding.step if finding.step in steps else ""].append(finding)
    line = route_line(instruction, None, [one.finding for one in opened.findings if one.is_open])
    return InstructionView(
        name=device_name(opened),
        about=_about(opened),
        summary=text.summary,
        line=tuple(
            StopShown(stop.label, stop.figure, stop.mark.value if stop.mark else "") for stop in line.stops
        ),
        line_svg=route_line_svg(line, key="route-line"),
        stages=_stages(text, opened.accepted, beside),
        general=tuple(beside[""]),
        left_over=text.left_over,
    )


def _text(instruction: Instruction) -> _Text:
    left = left_over_figures(instruction)
    pairs = zip(instruction.steps, shown_operations(None, instruction), strict=True)
    steps = tuple((step.stage, _step(step, operation, instruction)) for step, operation in pairs)
    return _Text(_summary(instruction, len(left)), steps, left)


def device_name(opened: OpenInstruction | Weighed) -> str:
    """What the device is called; where the draft found no name, the document's file says which it is."""
    name = opened.instruction.device.name
    if name == _UNNAMED and opened.instruction.device.document.file:
        return f"Unnamed device ({opened.instruction.device.document.file})"
    return calm_name(name)


def row_words(row: Row) -> tuple[str, str]:
    """A line of the shelf in words: the device, and maker, document and edition."""
    fields = row.fields
    file_name = str(fields.get("file_name") or fields.get("pending_file") or "")
    title = f"Unnamed device ({file_name})" if row.title == _UNNAMED and file_name else calm_name(row.title)
    about = (maker_words(row), str(fields.get("document") or ""))
    return title, " · ".join(filter(None, about))


def maker_words(row: Row) -> str:
    """The maker of an instruction on the shelf; empty where the text names none."""
    return calm_maker(str(row.fields.get("maker") or ""))


def step_fields(step: Step, instruction: Instruction) -> StepFields:
    """A step as the fields of a form."""
    return StepFields(
        stage=step.stage.value,
        action=step.action.value,
        on=", ".join(thing_name(thing, instruction) for thing in step.on),
        uses=step.with_ or "",
        figures=figure_lines(step.figures),
        positions=dict(step.positions),
        air_removal=step.air_removal.value if step.air_removal else "",
        until=step.until or "",
        cautions="\n".join(step.cautions),
    )


def things_named(text: str, instruction: Instruction) -> tuple[str, ...]:
    """The parts and features that words separated by commas name; what is none of them stays as written.

    >>> from sinkside.instruction import Device, Part
    >>> device = Device(name="Punch", parts=(Part(id="p1", name="inner rod"),))
    >>> things_named("Inner rod, tray", Instruction(device=device))
    ('p1', 'tray')
    """
    device = instruction.device
    ids = [*(part.id for part in device.parts), *(feature.id for feature in device.features)]
    known = {thing_name(one, instruction).casefold(): one for one in reversed(ids)}
    known |= {one: one for one in ids}
    names = filter(None, (name.strip() for name in text.split(",")))
    return tuple(known.get(name.casefold(), name) for name in names)


def choices() -> dict[str, tuple[tuple[str, str], ...]]:
    """What the fields of a step may say, each as value and words."""
    actions = sorted(Action, key=lambda action: action.value)
    return {
        "stage": tuple((stage.value, stage_words(stage)) for stage in Stage),
        "action": tuple((action.value, _words(action.value)) for action in actions),
        "air_removal": (
            ("", "not said"),
            ("prevacuum", "vacuum"),
            ("gravity", "gravity"),
            ("pulse", "pulses"),
        ),
        **{
            feature: (("", "not said"), *((one, one) for one in positions))
            for feature, positions in POSITIONS.items()
        },
    }


def stage_words(stage: Stage) -> str:
    """A stage as people say it."""
    return _STAGE_WORDS.get(stage, _words(stage.value))


def _words(identifier: str) -> str:
    text = identifier.replace("-", " ")
    return text[:1].upper() + text[1:]


def _stages(
    text: _Text, accepted: frozenset[str], beside: Mapping[str, list[FindingShown]]
) -> tuple[StageShown, ...]:
    stages = []
    for stage, group in itertools.groupby(text.steps, key=lambda pair: pair[0]):
        steps = tuple(
            replace(step, accepted=step.id in accepted, findings=tuple(beside.get(step.id, ())))
            for _, step in group
        )
        left = tuple(step.id for step in steps if not step.accepted)
        stages.append(StageShown(stage_words(stage), steps, left))
    return tuple(stages)


def _step(step: Step, operation: Operation, instruction: Instruction) -> StepShown:
    words = plain_words(operation, instruction)
    return StepShown(
        id=step.id,
        letter=operation.letter,
        sentence=words.headline,
        details=" · ".join((*words.details, *words.cautions)),
        figures=tuple(_figure(figure) for figure in shown_figures(operation)),
        where=where(step.origin) if step.origin.text else "",
        accepted=False,
        findings=(),
    )


def _figure(figure: ShownFigure) -> FigureShown:
    return FigureShown(figure.number, figure.unit, figure.label)


def _finding(standing: Standing) -> FindingShown:
    finding, answer = standing.finding, standing.answer
    view = finding_views([finding])[0]
    shown = FindingShown(
        id=standing.id,
        level=view.level,
        message=view.message,
        remedy=view.remedy,
        arithmetic=tuple(Sum(name, value) for name, value, _ in view.evidence),
        quotes=tuple(Quote(text, place) for text, place in view.quotes),
        source=view.source,
        step=finding.place.step or "",
        is_open=standing.is_open,
        maker_only=standing.maker_only,
        carried=standing.carried,
    )
    if answer is None:
        return shown
    return replace(
        shown,
        how=answer.how,
        words=answer.words,
        by=answer.by,
        at=answer.at.isoformat(),
        file=answer.file,
        file_name=answer.file_name,
    )


def _about(opened: Weighed) -> str:
    device = opened.instruction.device
    document = device.document
    edition = f"edition {document.revision}" if document.revision else ""
    return " · ".join(part for part in (calm_maker(device.maker), document.title, edition) if part)


def _summary(instruction: Instruction, left: int) -> str:
    pages = instruction.device.document.pages
    read = f"read from {pages} page{'' if pages == 1 else 's'}: " if pages else ""
    return f"{read}{read_words([instruction], left=left)}"


def worst(findings: Iterable[FindingShown]) -> str:
    """The worst level among findings that are open; empty if there is none."""
    levels = {finding.level for finding in findings if finding.is_open}
    return next((level.value for level in Level if level.value in levels), "")
