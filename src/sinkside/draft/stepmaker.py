"""One clause made into a step: stage, what on, positions, substances."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sinkside.draft.attaching import positions_of
from sinkside.draft.clauses import Clause, noun_action
from sinkside.draft.device import DeviceDraft
from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.notfigures import Found
from sinkside.draft.passage import Passage
from sinkside.draft.positions import positions_in
from sinkside.draft.roles import with_roles
from sinkside.draft.sections import Section
from sinkside.draft.stages import ACTION_STAGES, DEFAULT_ACTIONS
from sinkside.draft.staging import WorkAsked, cues_of, finds_fault, spoken_of, stage_of
from sinkside.draft.stepping import StepDraft, air_removal_in, fill_words, is_unit_letter, origin_of
from sinkside.draft.veiled import THROWN_AWAY
from sinkside.instruction import Action, Stage

#: To place something in one of these is to soak it.
#: "Drill guide with trocar, long": what stands behind is no name of the device as a whole.
_WITH_PARTS = re.compile(r",|\(|\b(?:with|and)\b")
_REACH_OF_AN_OBJECT = 5
#: With a lubricant these lubricate.
_PUTS_ON = {Action.fill, Action.rinse, Action.load, Action.other, Action.put_together, Action.connect}
#: "Wipe the jaw with sterile water right after use", in a chart without headings.
_AT_THE_TABLE = {Action.wipe, Action.rinse, Action.flush, Action.keep_moist, Action.soak}
#: Where no heading tells, or one of these does, what is done on arrival makes ready for cleaning.
_BEFORE_ARRIVAL = {Stage.point_of_use, Stage.transport}
_KEPT_HOT = {Stage.sterilization, Stage.disinfection}
#: What disinfects or sterilizes is hotter than any store.
_HOT_C = 60.0
_LONG = {"time:week", "time:month", "time:year"}
_SOLUTIONS = {"detergent", "disinfectant", "saline", "alcohol"}


@dataclass(slots=True)
class StepMaker:
    """Makes steps for one device; `section` and `last` follow the reading."""

    device: DeviceDraft
    language: str
    section: Section
    last: StepDraft | None = None
    _joined: int | None = None

    def step(self, passage: Passage, clause: Clause, reading: Reading) -> StepDraft:
        """The step of a clause, without its figures."""
        action = self._meant(clause, reading)
        last = self.last
        asked = WorkAsked(
            action,
            self._stages(reading, clause, action),
            last.stage if last else None,
            same_item=last is not None and last.item == passage.item,
            cues=(*self._apart_again(passage, clause, action), *cues_of(reading, clause)),
            spoken=spoken_of(reading, clause),
            outright=clause.outright,
            fault=finds_fault(reading, action),
        )
        step = StepDraft(
            stage=stage_of(asked),
            asked=None if asked.named else asked,
            action=action,
            origin=origin_of(passage),
            item=passage.item,
            pattern=clause.pattern,
            number=passage.number,
            heading=self.section.heading,
            on=self.on(reading, clause.first, clause.last),
            positions={}
            if _is_criterion(clause, self.section) or clause.pattern == THROWN_AWAY
            else positions_of(reading, action, clause.first, clause.last),
            remark=clause.pattern == "a state",
        )
        fill_words(step, reading, clause.first, clause.last)
        self._complete(step, passage)
        self.last = step
        self._joined = passage.item if action is Action.put_together else self._joined
        return step

    def _apart_again(self, passage: Passage, clause: Clause, action: Action) -> tuple[Stage, ...]:
        """'Put the head on, let it run. Remove the head': what was joined for a test is made ready again."""
        again = action is Action.take_apart and self._joined == passage.item and clause.first == 0
        return (Stage.preparation,) if again else ()

    def _stages(self, reading: Reading, clause: Clause, action: Action) -> tuple[Stage, ...]:
        """The stages of the heading, unless the sentence opens with another: 'For transport, …'.

        One that was only guessed leads nothing that never belongs there.
        """
        stages = self.section.stages
        if self.section.guessed and not set(stages) & set(ACTION_STAGES.get(action, stages)):
            stages = ()
        on_its_way = reading.at(0, "sending_opener")
        if on_its_way and clause.first == 0:
            return (Stage(on_its_way.value),)
        if reading.at(0, "arrival") and set(stages) <= _BEFORE_ARRIVAL:
            return (Stage.preparation,)
        opened = reading.at(0, "stage_opener")
        if opened and not stages:
            return (Stage(opened.value),)
        told = [x for x in reading.all("stage_opener") if x.value == Stage.point_of_use]
        if told and not stages and clause.action in _AT_THE_TABLE:
            return (Stage.point_of_use,)
        return stages

    def _meant(self, clause: Clause, reading: Reading) -> Action:
        """What a word asks for here: to place something in a solution is to soak it."""
        plainly = self._by_its_thing(clause, reading)
        if plainly is not None:
            return plainly
        span = {"first": clause.first, "last": clause.last}
        if clause.action is Action.load or (
            clause.action is Action.set_position and not positions_in(reading, **span)
        ):
            return self._put(clause, reading)
        if self._stores(clause, reading):
            return Action.store
        if clause.action is Action.take_apart and self._moves_whole(clause, reading):
            return Action.other
        if clause.action is Action.actuate and not any(token.value for token in reading.tokens):
            return Action.set_position if positions_in(reading, **span) else Action.actuate
        return clause.action

    def _by_its_thing(self, clause: Clause, reading: Reading) -> Action | None:
        """What the things of a clause tell of it: a lens looks, oil lubricates, uses end a life."""
        whole = clause.action is Action.take_apart and reading.has("device_noun")
        if (clause.action is Action.discard_part or whole) and reading.has("count", "life"):
            return Action.retire
        if clause.action is Action.replace_part:
            return _instead(reading, clause)
        if clause.action is Action.send_for_repair and reading.has("transport_box"):
            return Action.transport
        if clause.action in _PUTS_ON and (done := self._done_with(clause, reading)):
            return done
        looking = clause.action in {Action.wash, Action.pack, Action.other} and (
            reading.has("optics") or reading.has("count", "magnification")
        )
        return Action.inspect if looking or _is_criterion(clause, self.section) else None

    @staticmethod
    def _oils(clause: Clause, reading: Reading) -> bool:
        """'Put a thin film of steam-permeable grease on the cones', 'Spray the joints with lubricant'."""
        oils = [
            x for x in reading.all("substance", first=clause.verb, last=clause.last) if x.value == "lubricant"
        ]
        off = any(
            reading.tokens[place].norm in {"off", "away", "out"} for place in range(clause.verb, clause.last)
        )
        return bool(oils) and not off and not reading.has("prohibition")

    def _stores(self, clause: Clause, reading: Reading) -> bool:
        """'Dry, 10 to 25 °C' under storage, and what only names 'protected from dust' anywhere."""
        told = not clause.outright and Stage.storage in cues_of(reading, clause)
        return told or (clause.action is Action.dry and self.section.stages[:1] == (Stage.storage,))

    def _done_with(self, clause: Clause, reading: Reading) -> Action | None:
        """What putting on or into something means: with a lubricant, or into water."""
        if self._oils(clause, reading):
            return Action.lubricate
        return Action.soak if clause.action is Action.put_together and self._dips(clause, reading) else None

    def _dips(self, clause: Clause, reading: Reading) -> bool:
        """'Drop the drills into a beaker with distilled water' puts nothing together."""
        wet = _SOLUTIONS | {"water"}
        named = {x.value for x in reading.all("substance", first=clause.verb, last=clause.last)}
        return bool(named & wet) and {Stage.point_of_use, Stage.cleaning} >= set(self.section.stages)

    def _moves_whole(self, clause: Clause, reading: Reading) -> bool:
        """'Remove the cannulas and rinse them' takes the device out of its bath, and nothing apart."""
        near = reading.all("device_noun", first=clause.verb + 1, last=clause.verb + _REACH_OF_AN_OBJECT)
        left = reading.all("out_of", first=clause.verb) or reading.all(
            "packed_goods", first=clause.verb + 1, last=clause.verb + _REACH_OF_AN_OBJECT
        )
        own = _WITH_PARTS.split(self.device.name())[0].lower()
        moved = {reading.words(x.first, x.last).lower().removesuffix("s") for x in near}
        taken = Stage.preparation in self.section.stages or reading.all("part_noun", first=clause.verb)
        return bool(left) or (not taken and any(noun in own for noun in moved))

    def _put(self, clause: Clause, reading: Reading) -> Action:
        """To put or keep something in a solution is to soak it, in a closed box to send it on its way."""
        span = {"first": clause.first, "last": clause.last}
        stages = self.section.stages
        if {x.value for x in reading.all("substance", **span)} & _SOLUTIONS:
            return Action.soak
        if clause.action is Action.set_position:
            return self._kept(clause, reading)
        leaves = {Stage.point_of_use, Stage.transport} & set(stages)
        boxed = reading.all("transport_box", **span) and (leaves or not stages)
        return Action.transport if boxed or (leaves and _is_shut_in(reading, clause)) else Action.load

    def _kept(self, clause: Clause, reading: Reading) -> Action:
        """To keep something hot is part of its cycle, to keep it for months is to store it."""
        stage = self.section.stages[0] if self.section.stages else None
        if reading.at(clause.verb, "state"):
            return Action.set_position
        units = {x.value for x in reading.all("unit", first=clause.first, last=clause.last)}
        if stage is Stage.storage or units & _LONG:
            return Action.store
        warm = any(unit.startswith("temperature:") for unit in units)
        hot = warm and any((token.value or 0.0) >= _HOT_C for token in reading.tokens)
        return DEFAULT_ACTIONS[stage] if stage in _KEPT_HOT and hot else Action.set_position

    def _complete(self, step: StepDraft, passage: Passage) -> None:
        if step.action is Action.repeat and not step.repeats and self.last and self.last.number:
            step.repeats = (self.last.number,)
        if step.stage is Stage.sterilization and step.air_removal is None:
            around = read_words(f"{passage.lead} {self.section.heading}", self.language)
            step.air_removal = air_removal_in(around)
        if step.action is Action.brush and "lumen-1" in step.on:
            self.device.brushed()

    def on(self, reading: Reading, first: int, last: int) -> tuple[str, ...]:
        """The parts and features that a stretch of words names."""
        parts = self.device.parts
        lettered = [
            token.text
            for place, token in enumerate(reading.tokens[first:last], start=first)
            if token.text in parts and not is_unit_letter(reading, place)
        ]
        words = reading.words(first, last).lower()
        named = [part.id for part in parts.values() if len(part.name) > 1 and part.name.lower() in words]
        features = [f"{x.value}-1" for x in reading.all("feature", first=first, last=last)]
        known = [feature for feature in features if feature in self.device.features]
        return tuple(dict.fromkeys([*lettered, *named, *known]))


def _is_shut_in(reading: Reading, clause: Clause) -> bool:
    """'Lay it in its tray, jaw open, and close the lid': where it was used, that is how it leaves."""
    boxed = reading.all("boxed", first=clause.first, last=clause.last)
    return any(x.first > clause.verb and x.value == "shut" for x in boxed)


def _instead(reading: Reading, clause: Clause) -> Action | None:
    """'Rows 12 to 15 can be replaced by manual disinfection': what is done in place of other work."""
    for place in range(clause.verb + 1, clause.last):
        if reading.tokens[place].norm in {"by", "with"}:
            named = noun_action(reading, place + 1, place + _REACH_OF_AN_OBJECT)
            return named if named in DEFAULT_ACTIONS.values() else None
    return None


def _is_criterion(clause: Clause, section: Section) -> bool:
    """'The blades have to close': under inspection that is something to see, not something to do."""
    moves = clause.action in {Action.set_position, Action.actuate}
    return moves and clause.pattern == "obligation" and section.stages[:1] == (Stage.inspection,)


def add_figures(step: StepDraft, reading: Reading, found: list[Found]) -> None:
    """The figures of some readings, with the parts that they play in the step."""
    for one in found:
        step.figures.extend(with_roles(one, reading, step.action, step.stage))
