"""Taking apart and putting together, with the device drawn apart and what must be here now."""

from __future__ import annotations

from collections.abc import Sequence

from sinkside.aids.papers import blocks
from sinkside.aids.papers.drawings import Drawings, numbered
from sinkside.aids.papers.heads import head, open_stops
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.rows import RowMaker
from sinkside.aids.papers.setting import Values
from sinkside.aids.papers.speaking import Speaker
from sinkside.errors import BadInput, NotForTheFloor
from sinkside.instruction import Action, Instruction, Part, PartUse
from sinkside.plain.operations import shown_operations
from sinkside.route import Operation

_TO_COME_APART = 2
_APART = frozenset({Action.take_apart, Action.discard_part})
_TOGETHER = frozenset({Action.put_together, Action.replace_part})
_BESIDE_APART = frozenset({Action.set_position, Action.actuate, Action.inspect, Action.other, Action.load})
_BESIDE_TOGETHER = frozenset({Action.set_position, Action.actuate, Action.test, Action.lubricate})

_DRAWING_MM = 124.0
_STATE_MM = 58.0

#: So many boxes stand beside each other in a cell; of more pieces the number is ticked off at once.
_MOST_BOXES = 4

#: Nothing is counted then.
_NONE = "–"

#: What must be here of a part that is used once, when it is apart, clean, and together again.
_ONCE = {
    PartUse.discard_after_use: ("thrown away", _NONE, _NONE),
    PartUse.new_at_assembly: (_NONE, _NONE, "a new one"),
    PartUse.sterile_at_field: (_NONE, _NONE, _NONE),
}


def parts_sheet(request: PaperRequest, speaker: Speaker) -> Values:
    """How a device comes apart and goes together again.

    Raises:
        BadInput: if it does not come apart.
        NotForTheFloor: if its form cannot be drawn apart.
    """
    instruction = request.instruction
    device = instruction.device
    if len(device.parts) < _TO_COME_APART:
        raise BadInput(
            "the text names fewer than two parts, so nothing comes apart; expected a device of several parts",
            resource=device.name,
        )
    operations = shown_operations(request.route, instruction)
    apart, together = taken_apart(operations), put_together(operations)
    drawing = numbered(device, {"part": "apart"}, width_mm=_DRAWING_MM * request.sheet.type_scale)
    if drawing is None:
        raise NotForTheFloor(
            "there is no drawing of its parts, as its form is not known", resource=device.name
        )
    states = Drawings(instruction, width_mm=_STATE_MM * request.sheet.type_scale, is_apart_shown=True)
    maker = RowMaker(speaker, states)
    return {
        **head(request, speaker, (*apart, *together)),
        "stops": open_stops(request, speaker),
        "blocks": [
            {**drawing, "caption": ""},
            *_section("Take it apart", apart, maker, speaker),
            blocks.section(
                speaker.say("What must be here now"),
                speaker.say("Count and tick. A piece is missing: stop, tell theatre at once."),
            ),
            _counts(instruction, speaker, {name: number for number, name in reversed(_key(drawing))}),
            *_section("Put it together", together, maker, speaker),
        ],
    }


def taken_apart(operations: Sequence[Operation]) -> tuple[Operation, ...]:
    """The first run of operations that takes a device apart, with what is set before and counted after."""
    return _run(operations, _APART, _BESIDE_APART, from_the_end=False)


def put_together(operations: Sequence[Operation]) -> tuple[Operation, ...]:
    """The last run of operations that puts a device together, with the oil before and the test after."""
    return _run(operations, _TOGETHER, _BESIDE_TOGETHER, from_the_end=True)


def _run(
    operations: Sequence[Operation],
    wanted: frozenset[Action],
    beside: frozenset[Action],
    *,
    from_the_end: bool,
) -> tuple[Operation, ...]:
    """Operations of some actions that follow each other, with others around them that belong to them."""
    at = [index for index, one in enumerate(operations) if one.action in wanted]
    if not at:
        return ()
    first = last = at[-1] if from_the_end else at[0]
    belongs = wanted | beside
    while first > 0 and operations[first - 1].action in belongs:
        first -= 1
    while last + 1 < len(operations) and operations[last + 1].action in belongs:
        last += 1
    return tuple(operations[first : last + 1])


def _section(label: str, operations: Sequence[Operation], maker: RowMaker, speaker: Speaker) -> list[Values]:
    if not operations:
        said = blocks.words(speaker.say("The text does not say how."), is_large=True)
        return [blocks.section(speaker.say(label)), said]
    return [blocks.section(speaker.say(label)), blocks.rows(maker.rows(operations))]


def _key(drawing: Values) -> list[tuple[str, str]]:
    return [(named["number"], named["name"]) for named in drawing["key"]]


def _counts(instruction: Instruction, speaker: Speaker, numbers: dict[str, str]) -> Values:
    """A row for each part: its number on the drawing, its name, and a box for each time it is counted."""
    heads = ("", "Part", "Taken apart", "Clean and dry", "Put together")
    return blocks.table(
        [speaker.say(one) for one in heads],
        [_count(part, speaker, numbers) for part in instruction.device.parts],
        widths=(0.5, 3.2, 1.5, 1.5, 1.5),
        ruled=True,
    )


def _count(part: Part, speaker: Speaker, numbers: dict[str, str]) -> tuple[str, ...]:
    """A box for each piece where several are alike, and how many beside the name."""
    count = part.count or 1
    name = speaker.thing(part.id) if count == 1 else f"{count} × {speaker.thing(part.id)}"
    boxes = " ".join([blocks.TICK] * count) if count <= _MOST_BOXES else f"{blocks.TICK} × {count}"
    here = _ONCE.get(part.use, (boxes,) * 3)
    return (
        numbers.get(part.name, ""),
        speaker.voice.isolated(name),
        *(one if one in {boxes, _NONE} else speaker.say(one) for one in here),
    )
