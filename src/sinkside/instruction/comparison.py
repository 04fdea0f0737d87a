"""Two revisions of a text side by side, told in the trade's terms: sterilization exposure 3 → 4 min."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from typing import Literal

from sinkside.documents import Value
from sinkside.errors import BadQuantity
from sinkside.instruction.document import Instruction, Part, Step
from sinkside.instruction.pairing import paired_steps, words_of
from sinkside.instruction.vocabulary import STAGES, Action, FigureRole, PartUse, Stage
from sinkside.language import figure_text, number
from sinkside.quantities import Figure, FigureQuantity

ChangeKind = Literal["added", "removed", "changed", "moved"]

_ARROW = "→"
_NOTHING = "not stated"
_RELATIVE = 1e-9


class Change(Value):
    """One difference: what it concerns, how it was and is, in one line; and the steps on both sides."""

    kind: ChangeKind
    what: str
    before: str = ""
    after: str = ""
    sentence: str
    stage: Stage | None = None
    step_before: str | None = None
    step_after: str | None = None


class Comparison(Value):
    """What changed between two revisions (`sinkside/comparison-1`), in the order of the work."""

    format: Literal["sinkside/comparison-1"] = "sinkside/comparison-1"
    before: str
    after: str
    changes: tuple[Change, ...] = ()

    @property
    def alike(self) -> bool:
        """Whether nothing changed."""
        return not self.changes


#: How the trade names a figure, where neither its quantity nor its role says it plainly.
_ROLE_NAMES = {
    FigureRole.exposure: "exposure",
    FigureRole.drying: "drying",
    FigureRole.time_since_use: "time since use",
    FigureRole.set_mass: "mass of the set",
}
_QUANTITY_NAMES = {
    FigureQuantity.ph: "pH",
    FigureQuantity.lethality: "A0 or F0",
    FigureQuantity.counted: "number",
    FigureQuantity.temperature_difference: "temperature band",
}
_ACTION_NAMES = {Action.sonicate: "ultrasonic bath", Action.wash: "washer", Action.other: "step"}

#: Here the stage says the action already.
_STAGE_SAYS_IT = frozenset(
    {
        (Stage.sterilization, Action.sterilize),
        (Stage.disinfection, Action.disinfect),
        (Stage.drying, Action.dry),
        (Stage.transport, Action.transport),
        (Stage.storage, Action.store),
    }
)

_PLAIN_FIELDS = (
    ("stage", "stage"),
    ("action", "action"),
    ("with_", "with"),
    ("air_removal", "air removal"),
    ("until", "until"),
    ("condition", "only if"),
    ("alternative", "alternative"),
)
_LISTED_FIELDS = (("on", "on"), ("tools", "tools"), ("repeats", "repeats"), ("cautions", "cautions"))


def compare(old: Instruction, new: Instruction, *, language: str = "en") -> Comparison:
    """What changed between two revisions of a text for one device.

    Steps are paired by stage, action and words, so that one moved or renumbered is not told as new. The same
    figure in another unit is no change.

    Args:
        old: the text as it was.
        new: the text as it is.
        language: the language in which figures are written.

    >>> from sinkside.instruction import Device
    >>> def cycle(minutes: float) -> Instruction:
    ...     time = Figure(quantity="time", value=minutes, unit="min", role="exposure")
    ...     step = Step(id="s1", stage="sterilization", action="sterilize", figures=(time,))
    ...     return Instruction(device=Device(name="Grasper"), steps=(step,))
    >>> [change.sentence for change in compare(cycle(3), cycle(4)).changes]
    ['sterilization exposure 3 → 4 min']
    """
    changes = [*_device_changes(old, new), *_step_changes(old, new, language), *_statement_changes(old, new)]
    return Comparison(before=_title(old), after=_title(new), changes=tuple(changes))


def _title(instruction: Instruction) -> str:
    document = instruction.device.document
    return " ".join(filter(None, (document.title or instruction.device.name, document.revision)))


def _changed(what: str, before: str, after: str, pair: tuple[Step, Step] | None = None) -> Change:
    return Change(
        kind="changed",
        what=what,
        before=before,
        after=after,
        sentence=f"{what} {before} {_ARROW} {after}",
        stage=pair[1].stage if pair else None,
        step_before=pair[0].id if pair else None,
        step_after=pair[1].id if pair else None,
    )


def _device_changes(old: Instruction, new: Instruction) -> Iterator[Change]:
    for name in ("name", "maker"):
        before, after = getattr(old.device, name), getattr(new.device, name)
        if before != after:
            yield _changed(name, before or _NOTHING, after or _NOTHING)
    parts_before = {part.name.casefold(): part for part in old.device.parts}
    parts_after = {part.name.casefold(): part for part in new.device.parts}
    for key in dict.fromkeys([*parts_before, *parts_after]):
        yield from _part_changes(parts_before.get(key), parts_after.get(key))
    limits = [
        [f"{limit.limits} {limit.as_written}" for limit in text.device.limits if limit.as_written]
        for text in (old, new)
    ]
    yield from _one_sided("limit", *limits)


def _part_changes(before: Part | None, after: Part | None) -> Iterator[Change]:
    if before and after:
        if before.use is not after.use:
            yield _changed(f"part {after.name}", _use(before.use), _use(after.use))
    elif before:
        yield _lone("removed", "part", before.name)
    elif after:
        yield _lone("added", "part", after.name)


def _use(use: PartUse) -> str:
    return use.value.replace("-", " ")


def _lone(kind: ChangeKind, what: str, text: str, step: Step | None = None) -> Change:
    is_new = kind == "added"
    return Change(
        kind=kind,
        what=what,
        before="" if is_new else text,
        after=text if is_new else "",
        sentence=f"{kind}: {what} {text}".rstrip(),
        stage=step.stage if step else None,
        step_before=step.id if step and not is_new else None,
        step_after=step.id if step and is_new else None,
    )


def _one_sided(what: str, before: Sequence[str], after: Sequence[str]) -> Iterator[Change]:
    known, wanted = ({words_of(text) for text in side} for side in (before, after))
    yield from (_lone("removed", what, text) for text in before if words_of(text) not in wanted)
    yield from (_lone("added", what, text) for text in after if words_of(text) not in known)


def _statement_changes(old: Instruction, new: Instruction) -> Iterator[Change]:
    before, after = ([one.origin.text for one in text.statements if one.origin.text] for text in (old, new))
    yield from _one_sided("statement", before, after)


def _step_changes(old: Instruction, new: Instruction, language: str) -> Iterator[Change]:
    found: list[tuple[int, Change]] = []
    pairs = paired_steps(old.steps, new.steps)
    for before, after in pairs:
        step = after or before
        if step is None:
            continue
        if before and after:
            changes = list(_pair_changes((before, after), language))
        else:
            figures = " ".join(figure_text(figure, language) for figure in step.figures)
            changes = [_lone("added" if after else "removed", _name(step), figures, step)]
        found += [(STAGES.index(step.stage), change) for change in changes]
    found += [(STAGES.index(step.stage), _moved(step, was)) for step, was in _out_of_order(pairs, new)]
    yield from (change for _, change in sorted(found, key=lambda one: one[0]))


def _out_of_order(
    pairs: Sequence[tuple[Step | None, Step | None]], new: Instruction
) -> Iterator[tuple[Step, Step]]:
    """Steps that now come before one that they came after; pairs stand in the order of the old text."""
    place_of = {step.id: place for place, step in enumerate(new.steps)}
    furthest = -1
    for before, after in pairs:
        if before and after:
            if place_of[after.id] < furthest:
                yield after, before
            furthest = max(furthest, place_of[after.id])


def _moved(step: Step, was: Step) -> Change:
    name = _name(step)
    return Change(
        kind="moved",
        what=name,
        sentence=f"moved: {name} now comes earlier",
        stage=step.stage,
        step_before=was.id,
        step_after=step.id,
    )


def _name(step: Step) -> str:
    """A step as the trade says it: `sterilization`, `cleaning flush`."""
    if (step.stage, step.action) in _STAGE_SAYS_IT:
        return step.stage.value
    action = _ACTION_NAMES.get(step.action, step.action.value.replace("-", " "))
    return f"{step.stage.value.replace('-', ' ')} {action}"


def _pair_changes(pair: tuple[Step, Step], language: str) -> Iterator[Change]:
    before, after = pair
    name = _name(after)
    yield from _figure_changes(pair, language)
    for field, said in _PLAIN_FIELDS:
        was, is_now = (getattr(step, field) or _NOTHING for step in pair)
        if was != is_now:
            yield _changed(f"{name}, {said}:", str(was), str(is_now), pair)
    for field, said in _LISTED_FIELDS:
        was, is_now = (", ".join(getattr(step, field)) or _NOTHING for step in pair)
        if words_of(was) != words_of(is_now):
            yield _changed(f"{name}, {said}:", was, is_now, pair)
    for feature in dict.fromkeys([*before.positions, *after.positions]):
        was, is_now = (step.positions.get(feature, _NOTHING) for step in pair)
        if was != is_now:
            yield _changed(f"{name}, {feature}", was, is_now, pair)


def _figure_changes(pair: tuple[Step, Step], language: str) -> Iterator[Change]:
    before, after = (_by_kind(step) for step in pair)
    for key in dict.fromkeys([*before, *after]):
        for was, is_now in zip_longest(before[key], after[key]):
            if was and is_now and _same(was, is_now):
                continue
            what = _said_once(_name(pair[1]), _figure_name(was or is_now))
            yield _changed(what, *_both(was, is_now, language), pair)


def _said_once(name: str, figure: str) -> str:
    """A figure of a step without its first word twice: a cleaning brush has a diameter, no brush diameter."""
    first, _, rest = figure.partition(" ")
    return f"{name} {rest}".rstrip() if name.split()[-1:] == [first] else f"{name} {figure}"


def _by_kind(step: Step) -> defaultdict[tuple[str, str], list[Figure]]:
    found: defaultdict[tuple[str, str], list[Figure]] = defaultdict(list)
    for figure in step.figures:
        found[figure.quantity, figure.role or ""].append(figure)
    return found


def _figure_name(figure: Figure | None) -> str:
    if figure is None:
        return ""
    if figure.role in list(FigureRole):
        role = FigureRole(figure.role)
        return _ROLE_NAMES.get(role, role.value.replace("-", " "))
    return _QUANTITY_NAMES.get(figure.quantity, figure.quantity.value.replace("-", " "))


def _both(was: Figure | None, is_now: Figure | None, language: str) -> tuple[str, str]:
    """Both sides as written; one unit is said once: `3 → 4 min`."""
    if was and is_now and was.value is not None and is_now.value is not None and was.unit == is_now.unit:
        return number(was.value, language), figure_text(is_now, language).replace("\u00a0", " ")
    texts = [figure_text(one, language).replace("\u00a0", " ") if one else _NOTHING for one in (was, is_now)]
    return texts[0], texts[1]


def _same(was: Figure, is_now: Figure) -> bool:
    if (was.strict or False) != (is_now.strict or False) or was.reference != is_now.reference:
        return False
    try:
        ends = zip(was.ends(), is_now.ends(was.unit), strict=True)
    except BadQuantity:
        return False
    return all(a == b or math.isclose(a, b, rel_tol=_RELATIVE) for a, b in ends)
