"""The order of the work."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Evidence, Level
from sinkside.instruction import Action, PartUse, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import WET_ACTIONS, Case, words
from sinkside.review.doing import dries
from sinkside.review.lexicon import found, heads, negated, says, singular
from sinkside.review.rule import Theme, Trip, book, rule

#: Rinsing and flushing the assembled device first is usual; these want its parts apart.
_NEEDS_PARTS_APART = frozenset({Action.soak, Action.brush, Action.sonicate, Action.wash})

#: Nothing that is done to a device takes as long as a pack keeps.
_A_DAY_S = 86400.0

_BEFORE_THE_PACK = frozenset(
    {Stage.cleaning, Stage.disinfection, Stage.drying, Stage.inspection, Stage.maintenance}
)
_WASHES = frozenset({Action.wash, Action.soak, Action.sonicate})
_BEFORE_CARE = frozenset({Stage.point_of_use, Stage.transport, Stage.preparation, Stage.cleaning})
_BEHIND_CLEANING = frozenset({Stage.drying, Stage.inspection, Stage.packaging, Stage.sterilization})
_WHERE_PACKED = frozenset(Stage) - {
    Stage.point_of_use,
    Stage.transport,
    Stage.preparation,
    Stage.cleaning,
    Stage.storage,
}
_DRIED_BY_HAND = frozenset({Stage.cleaning, Stage.disinfection, Stage.drying})


@rule(
    Theme.order,
    Level.concern,
    title="The device is lubricated before it is cleaned.",
    message="Lubricant goes on before cleaning and seals soil in.",
    remedy="Ask the maker whether lubrication belongs after cleaning and before the function test.",
)
def lubricated_before_cleaning(case: Case) -> Iterator[Trip]:
    """Lubricating steps in front of the first cleaning step, where cleaning does follow."""
    if case.first_cleaning < len(case.steps):
        for passage in case.sentences:
            is_told = says(passage.text, "lubrication") and says(passage.text, "before-cleaning")
            is_step = passage.step is not None and passage.step.action is Action.lubricate
            if is_told and not is_step and not negated(passage.text, "lubrication"):
                yield Trip(passage.place, more_places=(case.place(case.steps[case.first_cleaning]),))
        for step in case.doing(Action.lubricate):
            # A chapter on maintenance that happens to be printed first says nothing about the order of work.
            is_of_maintenance = case.stage_of_heading(step) in {Stage.maintenance, Stage.inspection}
            is_first = case.index(step) < case.first_cleaning and not is_of_maintenance
            if negated(words(step), "lubrication") or says(words(step), "bone-wax"):
                continue
            if is_first or says(words(step), "before-cleaning"):
                yield Trip(case.place(step), more_places=(case.place(case.steps[case.first_cleaning]),))
            elif washed := _washed_behind(case, step):
                yield Trip(case.place(step), more_places=(case.place(washed),))


@rule(
    Theme.order,
    Level.concern,
    title="The device is taken apart only after cleaning has begun.",
    message="Parts come apart here, after cleaning began; what lay between them was not reached.",
    remedy="Ask the maker whether the device is to be taken apart before cleaning.",
    source=book("iso-17664-1"),
)
def taken_apart_after_cleaning(case: Case) -> Iterator[Trip]:
    """The first taking apart of a text, where cleaning steps stand in front of it."""
    apart = [step for step in case.steps if _takes_apart(case, step)]
    if apart and apart[0].stage in {Stage.preparation, Stage.cleaning, Stage.disinfection}:
        at = case.index(apart[0])
        before = [step for step in case.steps[_begins(case, at) : at] if _is_done_to_parts(step)]
        if before:
            yield Trip(case.place(apart[0]), more_places=(case.place(before[0]),))
    for step in [*apart[1:], *(s for s in case.steps if _draws_out(s) and s not in apart)]:
        # "Draw the stylet out" behind the brush: the lumen was not free when it was worked on.
        inside = [s for s in case.steps[case.first_cleaning : case.index(step)] if _works_inside(s)]
        if step.stage is Stage.cleaning and inside and says(words(step), "fills-a-lumen"):
            yield Trip(case.place(step), more_places=(case.place(inside[-1]),))
        elif brushed := _brushed_before(case, step):
            yield Trip(case.place(step), more_places=(case.place(brushed),))


@rule(
    Theme.order,
    Level.concern,
    title="The device is inspected only after it has been packed.",
    message="The first inspection stands after packing, where the device can no longer be seen.",
    remedy="Ask the maker where inspection belongs.",
    source=book("iso-17664-1"),
)
def inspected_after_packing(case: Case) -> Iterator[Trip]:
    """The first inspection against the first packing."""
    packed, inspected = _packing(case), case.doing(Action.inspect, Action.test)
    # A list of what is in the tray, in front of all work, may be read as packing.
    is_first = bool(packed) and case.index(packed[0]) < case.first_cleaning < len(case.steps)
    if packed and not is_first and inspected and case.index(inspected[0]) > case.index(packed[0]):
        yield Trip(case.place(inspected[0]), more_places=(case.place(packed[0]),))


@rule(
    Theme.order,
    Level.concern,
    title="The device is packed before it is dried.",
    message="The device is packed here, and it is dried only afterwards.",
    remedy="Ask the maker where drying belongs; nothing wet is packed.",
    source=book("iso-17664-1"),
)
def packed_before_dried(case: Case) -> Iterator[Trip]:
    """The first packing against the first drying outside the sterilizer, both in front of the steam."""
    packed = _packing(case)
    if not packed:
        return
    at = case.index(packed[0])
    steam = [case.index(step) for step in case.doing(Action.sterilize)]
    wet = [step for step in case.steps[:at] if step.action in WET_ACTIONS and step.stage in _DRIED_BY_HAND]
    dried_before = any(dries(step) for step in case.steps[:at])
    behind = [step for step in case.steps[at + 1 : min(steam, default=len(case.steps))] if dries(step)]
    if wet and not dried_before and behind and behind[0].stage is not Stage.sterilization:
        yield Trip(case.place(packed[0]), {}, (case.place(behind[0]),))
    for step in behind if dried_before else ():
        # Dried once and once more inside the pack: "after wrapping, moisture is blown out".
        is_behind = says(words(step), "after-packing") or says(words(step), "after-sealing")
        if is_behind and step.stage is not Stage.sterilization:
            yield Trip(case.place(step), {}, (case.place(packed[0]),))


@rule(
    Theme.order,
    Level.concern,
    title="The device is wetted after it was dried for the last time.",
    message="This wets the device after its last drying, and the pack comes next.",
    remedy="Ask the maker where the device is dried again.",
    source=book("iso-17664-1"),
)
def wetted_after_drying(case: Case) -> Iterator[Trip]:
    """Wet steps between the last drying and the first pack; tests with water are a doubt."""
    packed = _packing(case) or case.doing(Action.sterilize)
    if not packed:
        return
    before = [step for step in case.steps[: case.index(packed[0])] if step.stage in _BEFORE_THE_PACK]
    dried = [at for at, step in enumerate(before) if dries(step)]
    for step in before[dried[-1] + 1 :] if dried else ():
        is_if = step.condition or any(says(words(step), sense) for sense in ("condition-strict", "again-if"))
        said = words(step)
        wipes = step.action is Action.wipe and says(said, "with-wet-cloth") and not says(said, "alcohol")
        is_wet = (step.action in WET_ACTIONS or wipes) and says(said, "liquid") and not dries(step)
        # "Oil the joint, then rinse it": what is wetted last is wet.
        is_wet = is_wet and not says(_last_work(said), "lubrication")
        if is_wet and not is_if:
            # A trial with water may be dried where another chapter says so.
            is_trial = step.stage is Stage.inspection and says(said, "trial-with-water")
            yield Trip(case.place(step), {}, (case.place(before[dried[-1]]),), doubtful=is_trial)
            return


@rule(
    Theme.order,
    Level.concern,
    title="The device is sterilized before it is packed.",
    message="The device is packed only here, after it was sterilized.",
    remedy="Ask the maker whether the device is sterilized in its pack.",
    source=book("iso-17664-1"),
)
def packed_after_sterilization(case: Case) -> Iterator[Trip]:
    """The first packing against the last sterilization, unless that is for immediate use."""
    packed, cycles = _packing(case), case.doing(Action.sterilize)
    if packed and cycles and case.index(packed[0]) > case.index(cycles[-1]):
        wraps = says(words(packed[0]), "wrapping")
        is_flash = any(says(words(step), "immediate-use") for step in cycles)
        if wraps and not _keeps(packed[0]):
            yield Trip(case.place(packed[0]), {}, (case.place(cycles[-1]),), doubtful=is_flash)


@rule(
    Theme.order,
    Level.concern,
    title="The device is disinfected before it is cleaned.",
    message="Disinfection stands before cleaning; soil shields what lies under it.",
    remedy="Ask the maker where cleaning belongs.",
    source=book("iso-17664-1"),
)
def disinfected_before_cleaned(case: Case) -> Iterator[Trip]:
    """Disinfection in front of the first cleaning step, where cleaning does follow."""
    if case.first_cleaning >= len(case.steps):
        return
    for step in case.steps[: case.first_cleaning]:
        if step.action is Action.disinfect and not negated(words(step), "disinfecting"):
            is_early = step.stage in {Stage.point_of_use, Stage.transport}
            others = (case.place(case.steps[case.first_cleaning]),)
            yield Trip(case.place(step), {}, others, doubtful=is_early)


@rule(
    Theme.order,
    Level.note,
    title="The device is oiled after it was tried for the last time.",
    message="Lubricant goes on after the last test of function.",
    remedy="Ask the maker whether the device is tried after it was lubricated.",
)
def lubricated_after_test(case: Case) -> Iterator[Trip]:
    """The last lubrication against the last test, where both stand before the pack."""
    tests = [step for step in case.doing(Action.test) if step.stage in {Stage.inspection, Stage.maintenance}]
    oils = [step for step in case.doing(Action.lubricate) if not negated(words(step), "lubrication")]
    if tests and oils and case.index(oils[-1]) > case.index(tests[-1]):
        yield Trip(case.place(oils[-1]), {}, (case.place(tests[-1]),))


@rule(
    Theme.order,
    Level.note,
    title="Ultrasound comes before any soil was taken off.",
    message="{action} is the first thing that happens to the soiled device.",
    remedy="Ask the maker whether gross soil is rinsed off first.",
)
def sonicated_first(case: Case) -> Iterator[Trip]:
    """Ultrasound as the first work on soil in the whole text."""
    first = next((step for step in case.steps if step.action in WET_ACTIONS | {Action.wipe}), None)
    if first is not None and first.action is Action.sonicate:
        evidence: Evidence = {"action": "Ultrasound"}
        yield Trip(case.place(first), evidence)


def _last_work(said: str) -> str:
    """What words ask for last: what stands behind their last "then"."""
    return said.rpartition(" then ")[2]


def _washed_behind(case: Case, oiled: Step) -> Step | None:
    """The step that washes in detergent, in ultrasound or in a machine what a step in front of it oils."""
    heading = case.stage_of_heading(oiled) or oiled.stage
    behind = [
        s for s in case.steps[case.index(oiled) + 1 :] if s.action in _WASHES and s.origin != oiled.origin
    ]
    washes = [s for s in behind if s.stage is Stage.cleaning and not s.condition]
    if heading in {Stage.preparation, Stage.cleaning, Stage.disinfection}:
        # A row of a table has no chapter of its own: what follows it is done after it.
        return next((s for s in washes if s.heading != oiled.heading or _is_row(oiled)), None)
    before = case.steps[: case.index(oiled)]
    begun = next((n for n, s in enumerate(before) if s.stage in _BEFORE_CARE), None)
    # Rules in front of all work may speak of damage and packs.
    is_between = begun is not None and not any(s.stage in _BEHIND_CLEANING for s in before[begun:])
    return next(iter(washes), None) if is_between else None


def _is_row(step: Step) -> bool:
    return words(step).startswith("|") or bool(step.number)


def _begins(case: Case, at: int) -> int:
    """Where the cleaning in front of a step begins: a chapter in front of the work at the table is none."""
    early = [n for n, s in enumerate(case.steps[:at]) if s.stage in {Stage.point_of_use, Stage.transport}]
    return max(case.first_cleaning, early[-1] + 1 if early else 0)


def _is_done_to_parts(step: Step) -> bool:
    """Whether a step cleans what has to be apart for it; words that only rule or allow clean nothing."""
    only_told = any(says(words(step), sense) for sense in ("forbidden", "allowed-words", "kept-away-from"))
    return step.action in _NEEDS_PARTS_APART and not only_told


def _draws_out(step: Step) -> bool:
    """Whether a step draws a stylet or the like out by its words, whatever it was read as."""
    return says(words(step), "fills-a-lumen") and says(words(step), "drawn-out")


def _brushed_before(case: Case, apart: Step) -> Step | None:
    """The brushing by name of what comes out only behind it, and is not brushed again."""
    if apart.stage is not Stage.cleaning or apart.condition or says(words(apart), "goes-together"):
        return None
    things = _things(words(apart))
    named = [
        s
        for s in case.doing(Action.brush)
        if s.stage is Stage.cleaning and s.origin != apart.origin and things & _things(words(s))
    ]
    again = any(case.index(s) > case.index(apart) for s in named)
    soaks = case.steps[case.index(apart) :]
    wetted = any(s.action in {Action.soak, Action.sonicate} and s.stage is Stage.cleaning for s in soaks)
    return None if again or wetted or not named else named[-1]


def _things(said: str) -> frozenset[str]:
    """The parts that some words name; the brush that cleans them is none."""
    named = heads(said, "component") | found(said, "comes-out")
    return frozenset(singular(one) for one in named) - {"brush"}


def _works_inside(step: Step) -> bool:
    """Whether a step brushes or flushes a lumen."""
    return step.action in {Action.brush, Action.flush} and says(words(step), "through")


def _keeps(step: Step) -> bool:
    """Whether words on a pack tell how long it keeps: "unopened pouches: 6 months"."""
    times = step.figures_of(FigureQuantity.time)
    return says(words(step), "storing") or any(time.number("s") >= _A_DAY_S for time in times)


def _packing(case: Case) -> list[Step]:
    """The steps that pack; "packs shall be stored" packs nothing, nor does a battery pack."""
    packs = [step for step in case.doing(Action.pack) if step.stage in _WHERE_PACKED]
    # "Wrap the head in a wipe and spray": what catches a spray is no pack.
    packs = [step for step in packs if not says(words(step), "wrapped-in-a-wipe")]
    # "Before anything is packed, blow through the luer" packs nothing either.
    return [step for step in packs if not (says(words(step), "ahead-of-packing") and dries(step))]


def _takes_apart(case: Case, step: Step) -> bool:
    """Whether a step takes something off the device; a single-use part that is removed counts."""
    if step.figures_of(FigureQuantity.temperature) and says(words(step), "up-to-temper"):
        return False
    if step.action is Action.take_apart:
        return bool(step.on) or not says(words(step), "soil")
    parts = {part.id for part in case.instruction.device.parts if part.use is not PartUse.reusable}
    return step.action is Action.discard_part and bool(parts & set(step.on)) and says(words(step), "removal")


RULES = (
    lubricated_before_cleaning,
    taken_apart_after_cleaning,
    inspected_after_packing,
    packed_before_dried,
    wetted_after_drying,
    packed_after_sterilization,
    disinfected_before_cleaned,
    lubricated_after_test,
    sonicated_first,
)
