"""Which stage a heading opens whose words name none: by what is asked for below it, and by its place."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from sinkside.draft.clauses import clauses_of, noun_action
from sinkside.draft.forbidding import asks_alone, forbids_alone
from sinkside.draft.lexicon import read_words
from sinkside.draft.passage import Passage, PassageKind
from sinkside.draft.stages import is_describing, stages_for, stages_named
from sinkside.instruction import Action, Stage

#: A stage that stands between the stages of the headings around it is likelier by this much.
_IN_ITS_PLACE = 1.0
_SHARE_OF_LATER_CHOICES = 0.5
_LEAST_WEIGHT = 1.0
_ORDER = tuple(Stage)

Place = tuple[int, int]


def guessed_stages(passages: list[Passage], language: str) -> dict[Place, Stage]:
    """The stage of each heading that names none but leads in things to do, by page and line of the heading.

    What is asked for below it votes; a stage between those of the named headings around it comes first.
    """
    sections = list(_sections(passages))
    named = [stages_named(heading.text, language) for heading, _ in sections]
    behind = _named_behind(named)
    guessed: dict[Place, Stage] = {}
    before, named_before = _ORDER[0], False
    for (heading, below), stages, after in zip(sections, named, behind, strict=True):
        inside = heading.number is not None and "." in heading.number
        if stages:
            before, named_before = stages[-1], True
        elif not inside and not _opens_no_stage(heading.text, language):
            votes = _votes(below, language)
            stage = _likeliest(votes, _ORDER.index(before), _ORDER.index(after))
            stage = stage or (_only_between(before, after) if named_before and below and not votes else None)
            if stage is not None:
                guessed[heading.page, heading.line] = before = stage
    return guessed


def _only_between(before: Stage, after: Stage) -> Stage | None:
    """'GET READY' between transport and cleaning can only be preparation, within cleaning it is that."""
    if before is after:
        return before
    between = _ORDER[_ORDER.index(before) + 1 : _ORDER.index(after)]
    return between[0] if len(between) == 1 else None


def _opens_no_stage(text: str, language: str) -> bool:
    """'Warnings' describes, 'Do' and 'Do not' hold whatever is asked or forbidden."""
    return is_describing(text, language) or asks_alone(text, language) or forbids_alone(text, language)


def _named_behind(named: list[tuple[Stage, ...]]) -> list[Stage]:
    """For each section the first stage that a heading behind it names."""
    after, behind = _ORDER[-1], []
    for stages in reversed(named):
        behind.append(after)
        after = stages[0] if stages else after
    return behind[::-1]


def _sections(passages: list[Passage]) -> Iterator[tuple[Passage, list[Passage]]]:
    heading: Passage | None = None
    below: list[Passage] = []
    for passage in passages:
        if passage.kind is PassageKind.heading:
            if heading is not None:
                yield heading, below
            heading, below = passage, []
        elif passage.kind is PassageKind.sentence and not passage.forbidden:
            below.append(passage)
    if heading is not None:
        yield heading, below


def _votes(below: list[Passage], language: str) -> dict[Stage, float]:
    votes: dict[Stage, float] = defaultdict(float)
    for passage in below:
        for cue in read_words(passage.text, language).all("stage_cue"):
            votes[Stage(cue.value)] += 1.0
        for action in _actions_of(passage, language):
            for choice, stage in enumerate(stages_for(action)):
                votes[stage] += 1.0 if choice == 0 else _SHARE_OF_LATER_CHOICES
    return votes


def _actions_of(passage: Passage, language: str) -> list[Action]:
    """What a sentence asks for; a bullet may only name it: 'Jaws wiped'."""
    reading = read_words(passage.text, language)
    if reading.has("general_rule"):
        return []
    asked = [clause.action for clause in clauses_of(reading)]
    named = noun_action(reading) if passage.bullet and not asked else None
    return [named] if named else asked


def _likeliest(votes: dict[Stage, float], before: int, after: int) -> Stage | None:
    """The stage with most votes; what ends in sending the device away is where it was used."""
    if not votes or max(votes.values()) < _LEAST_WEIGHT:
        return None
    if before == 0 and votes.get(Stage.transport, 0.0) >= _LEAST_WEIGHT and votes.get(Stage.point_of_use):
        return Stage.point_of_use

    def weight(stage: Stage) -> float:
        return votes[stage] + (_IN_ITS_PLACE if before <= _ORDER.index(stage) <= after else 0.0)

    return max(votes, key=lambda stage: (weight(stage), -_ORDER.index(stage)))
