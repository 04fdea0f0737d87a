"""To which stage a step belongs: everything that speaks for a stage is weighed, and says why it does."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.draft.clauses import Clause
from sinkside.draft.lexicon import Reading
from sinkside.draft.stages import ACTION_STAGES, CARRIED_ON, STRONG, UNGUIDED
from sinkside.instruction import Action, Stage

#: What may be done "again", after which the device lies apart.
_TAKES_APART = {Action.take_apart, Action.set_position, Action.other}
#: Under a heading of the point of use these are done there, though they mostly belong elsewhere.
_ALSO_AT_THE_TABLE = {Action.disinfect, Action.soak}
#: Who looks at a part sorts it out there and then, or sends it in.
_SORTS_OUT = {Action.retire, Action.send_for_repair}
_FOR_A_FAULT = {*_SORTS_OUT, Action.replace_part, Action.discard_part}
#: Under a heading that names nothing but preparation these still clean.
_NEVER_PREPARES = {Action.wash, Action.sonicate, Action.brush}
#: Where no heading tells, what cools behind these comes out of the sterilizer.
_ENDS_THE_CYCLE = {Stage.sterilization, Stage.packaging, Stage.storage, Stage.drying}
#: What a heading or stage cell names; of several, the earlier a little more.
_HEADING = 3.0
_LATER_IN_HEADING = 0.05
#: Where an action usually belongs: its first choice, and how much less each further one.
_USUAL = 2.0
_FURTHER_CHOICE = 0.2
#: Asked for outright, some actions go where they belong, whatever the heading says.
_STRONG_BONUS = 2.0
#: Where an action that can belong anywhere is found most often.
_OFTEN = 1.0
#: Work goes on where it was: under a heading with several stages a little, under none much.
_GOES_ON = 0.3
_GOES_ON_WITHOUT_HEADING = 1.5
_SAME_ITEM = 6.0
#: Words of the sentence that tell the stage: 'until no more drops appear' is drying.
_CUE = 4.0
_NOTHING_ELSE = 0.1
#: Of several stages in the heading, the one that the sentence itself speaks of: 'For transport, …'.
_SPOKEN_OF = 1.0


@dataclass(frozen=True, slots=True)
class Evidence:
    """That something speaks for a stage: how much, and what it is."""

    stage: Stage
    weight: float
    reason: str


@dataclass(frozen=True, slots=True)
class WorkAsked:
    """A thing to do with what is known around it.

    Attributes:
        action: what is to be done.
        named: the stages that its heading or row names, in the order of the words.
        before: the stage of the step before.
        same_item: whether that step stands in the same item.
        cues: the stages that words of its sentence tell.
        spoken: the stages that its sentence speaks of, as makers do in headings.
        outright: whether a verb asks for it, and it is not only named.
        fault: whether a fault that was seen is the reason.
    """

    action: Action
    named: tuple[Stage, ...] = ()
    before: Stage | None = None
    same_item: bool = False
    cues: tuple[Stage, ...] = ()
    spoken: tuple[Stage, ...] = ()
    outright: bool = True
    fault: bool = False


def stage_of(asked: WorkAsked) -> Stage:
    """The stage that most speaks for.

    >>> stage_of(WorkAsked(Action.wipe, (Stage.inspection, Stage.maintenance), Stage.maintenance)).value
    'inspection'
    """
    weights: dict[Stage, float] = defaultdict(float)
    for evidence in evidence_for(asked):
        weights[evidence.stage] += evidence.weight
    return max(weights, key=lambda stage: (round(weights[stage], 6), -tuple(Stage).index(stage)))


def evidence_for(asked: WorkAsked) -> list[Evidence]:
    """All that speaks for one stage or another; never empty."""
    return [*evidence_of_itself(asked), *_of_work_before(asked)]


def evidence_of_itself(asked: WorkAsked) -> list[Evidence]:
    """What speaks for a stage whatever was done before."""
    return [*_of_heading(asked), *_of_action(asked), *_of_words(asked)]


def _of_heading(asked: WorkAsked) -> Iterator[Evidence]:
    for place, stage in enumerate(asked.named):
        yield Evidence(stage, _HEADING - _LATER_IN_HEADING * place, "the heading names it")


def _of_action(asked: WorkAsked) -> Iterator[Evidence]:
    allowed = ACTION_STAGES.get(asked.action)
    if allowed is None:
        often = UNGUIDED.get(asked.action)
        if often is not None:
            yield Evidence(often, _OFTEN, f"'{asked.action}' is often done there")
        return
    sorts = asked.action in _SORTS_OUT and Stage.inspection in asked.named
    strong = asked.action in STRONG and asked.outright and not sorts
    for place, stage in enumerate(allowed):
        weight = _USUAL - _FURTHER_CHOICE * place + (_STRONG_BONUS if strong else 0.0)
        yield Evidence(stage, weight, f"'{asked.action}' belongs there")


def _of_work_before(asked: WorkAsked) -> Iterator[Evidence]:
    before, allowed = asked.before, ACTION_STAGES.get(asked.action)
    if before is None:
        yield Evidence(Stage.cleaning, _NOTHING_ELSE, "nothing else is known")
        return
    yield Evidence(before, _NOTHING_ELSE, "it was the stage before")
    if asked.same_item and asked.action in CARRIED_ON and _fits(asked, before):
        yield Evidence(before, _SAME_ITEM, "it goes on with the work of its item")
    elif before in asked.named:
        yield Evidence(before, _GOES_ON, "it goes on with the work under its heading")
    elif not asked.named and before in (allowed or ()) and before is not Stage.preparation:
        yield Evidence(before, _GOES_ON_WITHOUT_HEADING, "it goes on with the work before it")


def _fits(asked: WorkAsked, before: Stage) -> bool:
    """Whether work can go on in the stage before: 'Before packing, …' speaks of another."""
    turns = set(asked.spoken) & set(asked.named)
    if turns and before not in turns:
        return False
    return not asked.named or before in asked.named or before in ACTION_STAGES.get(asked.action, ())


def _of_words(asked: WorkAsked) -> Iterator[Evidence]:
    """Words count for a stage only where the action can belong there."""
    allowed = ACTION_STAGES.get(asked.action, tuple(Stage))
    for stage in asked.spoken:
        if len(asked.named) > 1 and stage in asked.named and stage in allowed:
            yield Evidence(stage, _SPOKEN_OF, "the sentence speaks of it")
    if asked.named[:1] == (Stage.point_of_use,) and asked.action in _ALSO_AT_THE_TABLE:
        yield Evidence(
            Stage.point_of_use, _CUE + _STRONG_BONUS, "whatever it lies in, it lies there where it was used"
        )
    if asked.named == (Stage.preparation,) and asked.action in _NEVER_PREPARES and asked.outright:
        yield Evidence(Stage.cleaning, _CUE, "to wash is no preparation")
    led = Stage.storage in asked.named or (not asked.named and asked.before in _ENDS_THE_CYCLE)
    if asked.action is Action.cool and led:
        yield Evidence(Stage.storage, _CUE, "what cools is on its way to the shelf")
    if asked.fault and (Stage.inspection in asked.named or not asked.named):
        yield Evidence(Stage.inspection, _CUE, "the fault is seen there")
    for stage in asked.cues:
        if stage in allowed:
            yield Evidence(stage, _CUE, "its words tell it")


def spoken_of(reading: Reading, clause: Clause) -> tuple[Stage, ...]:
    """The stages that a clause speaks of in the words of headings."""
    lexemes = reading.all("stage", first=clause.first, last=clause.last)
    return tuple(dict.fromkeys(Stage(one) for lexeme in lexemes for one in lexeme.value.split("+")))


def cues_of(reading: Reading, clause: Clause) -> tuple[Stage, ...]:
    """The stages that words of a clause tell: 'until no more drops appear' is drying."""
    told = [x.value for x in reading.all("stage_cue", first=clause.first, last=clause.last)]
    # "Slide the rod in and out again" tries it, and leaves nothing apart.
    if clause.first == 0 and clause.action in _TAKES_APART and not reading.has("movement"):
        told += [x.value for x in reading.all("stage_cue_alone", last=clause.last)]
    wet = reading.has("substance", "water") or reading.has("substance", "detergent")
    if clause.action is Action.blow and (reading.has("substance", "air") or not wet):
        told.append(Stage.drying)
    if clause.action is Action.inspect and (reading.has("soil") or reading.has("optics")):
        told.append(Stage.inspection)
    if clause.action is Action.replace_part and reading.has("count", "life"):
        told.append(Stage.maintenance)
    return tuple(dict.fromkeys(Stage(stage) for stage in told))


def finds_fault(reading: Reading, action: Action) -> bool:
    """'Parts with cracks are taken out of use': who looks at them sorts them out, whatever their life is."""
    return action in _FOR_A_FAULT and reading.has("fault") and not reading.has("count", "life")
