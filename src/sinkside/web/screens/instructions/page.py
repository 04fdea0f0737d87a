"""One instruction: the maker's page with the words lit, the steps beside it, and what is wrong with each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import Query

from sinkside.desk import shelf as desk_shelf
from sinkside.desk.department_route import InDepartment, in_department
from sinkside.desk.instruction_view import (
    FindingShown,
    InstructionView,
    StageShown,
    StepFields,
    StopShown,
    choices,
    instruction_view,
    step_fields,
)
from sinkside.desk.left_over import LeftOver
from sinkside.desk.lumens import has_lumens
from sinkside.desk.people import names_of
from sinkside.desk.shelf import OpenInstruction
from sinkside.desk.source_pages import SourcePage, is_picture, source_page
from sinkside.errors import NotThere
from sinkside.instruction import Action, Origin, Stage, Step
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Option
from sinkside.web.screens.instructions.beside import Beside, beside_step
from sinkside.web.screens.instructions.shelf import READ, screen
from sinkside.web.screens.instructions.standing import ApprovalShown, approval_shown

Id = Annotated[str, Query(max_length=200)]


@dataclass(frozen=True)
class RevisionShown:
    """One revision in the history: number, by whom, when, why, and whether it was approved."""

    number: int
    address: str
    by: str
    at: str
    note: str
    approved: bool


@dataclass(frozen=True)
class StepForm:
    """The open form: that of the selected step, or one for a step that is added after it.

    Attributes:
        act: where it is sent.
        fields: what stands in it.
        choices: what each field may say.
        adding: whether it adds a step.
        place: which left-over figure it places, or -1.
        quote: the words of the left-over figure.
    """

    act: str
    fields: StepFields
    choices: dict[str, tuple[Option, ...]]
    adding: bool
    place: int
    quote: str


@dataclass(frozen=True)
class InstructionPage:
    """One revision of an instruction with everything that is seen of it and may be done to it.

    Attributes:
        title: the device.
        address: of the instruction.
        about: maker, document and edition.
        summary: how much was read, and what was not understood.
        revision: the number of this revision.
        latest: whether it is the latest one.
        state: how the instruction stands.
        line: the stops of the route line.
        line_svg: the route line as a drawing.
        stages: the steps by stage.
        general: findings that stand beside no step.
        left_over: figures that found no place.
        selected: the id of the selected step, if any.
        beside: what stands beside this step: the drawing in its positions, or the department's own photo.
        before: the address of the step before the selected one.
        after: the address of the step after it, or of the first.
        finding: the finding that is being answered.
        source: the maker's page.
        page_before: the address of the page before it.
        page_after: the address of the page after it.
        picture: the address of the page's picture by itself.
        document: the address of the maker's file.
        form: the open form, for whoever may edit.
        may_answer: whether findings may be answered here by this person.
        may_edit: whether steps may be changed here by this person.
        approval: how it stands, and what this person may do about it.
        here: how it goes in this department.
        revisions: the history, newest first.
        compare: where this revision is compared with the one before.
        papers: where its papers are chosen.
        lumens: where it is computed what goes through its lumens, if it has any.
        reading: where the next revision is being read, if one is.
        names: the names behind pseudonyms.
        may_hand_in: whether this person may hand in the next revision.
    """

    title: str
    address: str
    about: str
    summary: str
    revision: int
    latest: bool
    state: str
    line: tuple[StopShown, ...]
    line_svg: str
    stages: tuple[StageShown, ...]
    general: tuple[FindingShown, ...]
    left_over: tuple[LeftOver, ...]
    selected: str
    beside: Beside
    before: str
    after: str
    finding: str
    source: SourcePage | None
    page_before: str
    page_after: str
    picture: str
    document: str
    form: StepForm | None
    may_answer: bool
    may_edit: bool
    approval: ApprovalShown
    here: InDepartment
    revisions: tuple[RevisionShown, ...]
    compare: str
    papers: str
    lumens: str
    reading: str
    names: dict[str, str]
    may_hand_in: bool


@screen.page(f"{DEPARTMENT}/instructions/{{instruction}}", right=READ, template="instruction.html")
def instruction(
    asked: Asked,
    instruction: str,
    *,
    step: Id = "",
    finding: Id = "",
    revision: Annotated[int | None, Query(ge=1, le=1_000_000)] = None,
    page: Annotated[int, Query(ge=1, le=10_000)] = 1,
    add: bool = False,
    place: Annotated[int, Query(ge=-1, le=10_000)] = -1,
) -> InstructionPage:
    """One revision of an instruction, the latest unless told, with a step selected."""
    opened = desk_shelf.open_instruction(asked.archive, asked.visitor, instruction, revision=revision)
    view = instruction_view(opened)
    selected = _selected(opened, step, finding)
    looking = _Looking(asked, opened, selected, page=page, add=add, place=place)
    return _page(looking, view, finding)


@dataclass(frozen=True)
class _Looking:
    """What is looked at: the revision, the selected step, the page of the document, the open form."""

    asked: Asked
    opened: OpenInstruction
    selected: Step | None
    page: int
    add: bool
    place: int

    @property
    def address(self) -> str:
        return self.asked.at(f"/instructions/{self.opened.row.id}")

    @property
    def left(self) -> Origin | None:
        """Where the left-over figure stands that is being placed."""
        left = self.opened.instruction.not_understood
        return left[self.place].origin if 0 <= self.place < len(left) else None

    def may(self, right: str) -> bool:
        """Whether this person may change this revision in some way; an older one stays as it is."""
        return self.opened.latest and self.asked.visitor.may(right)

    def at(self, **query: str | int) -> str:
        """An address on this page that keeps the revision."""
        kept = query if self.opened.latest else {"revision": self.opened.revision.number, **query}
        words = "&".join(f"{key}={value}" for key, value in kept.items())
        return f"{self.address}?{words}" if words else self.address


def _page(looking: _Looking, view: InstructionView, finding: str) -> InstructionPage:
    asked, opened, row = looking.asked, looking.opened, looking.opened.row
    source, (before, after) = _source(looking), _neighbours(looking)
    history = desk_shelf.history(asked.archive, asked.visitor, row.id)
    names = _names(looking, view, [line.by for line in history])
    return InstructionPage(
        title=view.name,
        address=looking.address,
        about=view.about,
        summary=view.summary,
        revision=opened.revision.number,
        latest=opened.latest,
        state=row.state,
        line=view.line,
        line_svg=view.line_svg,
        stages=view.stages,
        general=view.general,
        left_over=view.left_over,
        selected=looking.selected.id if looking.selected else "",
        beside=beside_step(asked, opened, looking.selected, looking.address),
        before=before,
        after=after,
        finding=finding,
        source=source,
        page_before=looking.at(page=source.page - 1) if source and source.page > 1 else "",
        page_after=looking.at(page=source.page + 1) if source and source.page < source.pages else "",
        picture=_picture(looking, source),
        document=f"{looking.address}/document/{opened.file.digest}" if opened.file else "",
        form=_form(looking),
        may_answer=looking.may("finding-answer"),
        may_edit=looking.may("instruction-edit"),
        approval=approval_shown(asked, opened, view, names),
        here=_here(looking),
        revisions=_revisions(looking, history, names),
        compare=f"{looking.address}/compare?after={opened.revision.number}" if len(history) > 1 else "",
        papers=asked.at(f"/papers/new?instruction={opened.row.id}"),
        lumens=f"{looking.address}/lumens" if has_lumens(opened.instruction) else "",
        reading=f"{looking.address}/reading" if row.fields.get("job") else "",
        names=names,
        may_hand_in=asked.visitor.may("instruction-upload"),
    )


def _here(looking: _Looking) -> InDepartment:
    with looking.asked.archive.unit(writes=False) as unit:
        return in_department(unit, looking.asked.visitor, looking.opened)


def _revisions(
    looking: _Looking, history: Sequence[desk_shelf.RevisionLine], names: Mapping[str, str]
) -> tuple[RevisionShown, ...]:
    """Every revision, the latest first."""
    return tuple(
        RevisionShown(
            line.number,
            f"{looking.address}?revision={line.number}",
            names.get(line.by, line.by),
            shown_moment(line.at, looking.asked.visitor.zone),
            line.note,
            line.approved,
        )
        for line in reversed(history)
    )


def _selected(opened: OpenInstruction, step: str, finding: str) -> Step | None:
    """The step that is asked for, or that of the finding that is asked for."""
    wanted = step
    if not wanted and finding:
        places = [one.finding.place.step for one in opened.findings if one.id == finding]
        wanted = next((place for place in places if place), "")
    return next((one for one in opened.instruction.steps if one.id == wanted), None)


def _neighbours(looking: _Looking) -> tuple[str, str]:
    """The addresses of the steps around the selected one; without one, of the first."""
    steps = [step.id for step in looking.opened.instruction.steps]
    if not steps:
        return "", ""
    at = steps.index(looking.selected.id) if looking.selected else -1
    before = step_address(looking.at(step=steps[at - 1]), steps[at - 1]) if at > 0 else ""
    after = step_address(looking.at(step=steps[at + 1]), steps[at + 1]) if at + 1 < len(steps) else ""
    return before, after


def step_address(address: str, step: str) -> str:
    """An address with the place of a step on the page."""
    return f"{address}#step-{step}"


def _source(looking: _Looking) -> SourcePage | None:
    origin = looking.left or (looking.selected.origin if looking.selected else None)
    file = looking.opened.file
    return source_page(
        looking.asked.archive,
        looking.opened,
        origin if origin and origin.text else None,
        page=looking.page,
        picture_at=f"{looking.address}/document/{file.digest}/page/{{page}}" if file else "",
    )


def _picture(looking: _Looking, source: SourcePage | None) -> str:
    file = looking.opened.file
    if source is None or file is None or not is_picture(file):
        return ""
    return f"{looking.address}/document/{file.digest}/page/{source.page}"


def _form(looking: _Looking) -> StepForm | None:
    if not looking.may("instruction-edit"):
        return None
    text = looking.opened.instruction
    if looking.left is not None:
        left = text.not_understood[looking.place]
        empty = Step(id="new", stage=_stage_near(looking, looking.left), action=Action.other)
        act = f"{looking.address}/place/{looking.place}"
        return StepForm(act, step_fields(empty, text), _offered(), True, looking.place, left.text)
    if looking.selected is None:
        return None
    at = f"{looking.address}/steps/{looking.selected.id}"
    if looking.add:
        empty = Step(id="new", stage=looking.selected.stage, action=Action.other)
        return StepForm(f"{at}/after", step_fields(empty, text), _offered(), True, -1, "")
    return StepForm(f"{at}/correct", step_fields(looking.selected, text), _offered(), False, -1, "")


def _offered() -> dict[str, tuple[Option, ...]]:
    return {name: tuple(Option(*one) for one in offered) for name, offered in choices().items()}


def _stage_near(looking: _Looking, origin: Origin) -> Stage:
    """The stage of the last step that stands before some words."""
    step = step_before(looking.opened, origin)
    return step.stage if step else Stage.point_of_use


def step_before(opened: OpenInstruction, origin: Origin) -> Step | None:
    """The last step whose words stand before others, or with them."""
    at = (origin.page, origin.line)
    earlier = [step for step in opened.instruction.steps if (step.origin.page, step.origin.line) <= at]
    return earlier[-1] if earlier else None


def _names(looking: _Looking, view: InstructionView, people: list[str]) -> dict[str, str]:
    fields = looking.opened.row.fields
    wanted = {*people, str(fields.get("approved_by") or ""), str(fields.get("confirm_turn") or "")}
    wanted |= {one.by for one in view.general}
    wanted |= {one.by for stage in view.stages for step in stage.steps for one in step.findings}
    return names_of(looking.asked.archive, wanted - {""})


def left_over(opened: OpenInstruction, place: int) -> Origin:
    """Where a left-over figure stands.

    Raises:
        NotThere: if there is no such figure.
    """
    left = opened.instruction.not_understood
    if not 0 <= place < len(left):
        raise NotThere("there is no such figure", resource=str(place))
    return left[place].origin
