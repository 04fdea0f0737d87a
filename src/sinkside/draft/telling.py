"""Work that is told and not asked: 'The nurse wipes it', 'It travels in a closed box', 'They cut cleanly'."""

from __future__ import annotations

from sinkside.draft.clauses import action_words, asides
from sinkside.draft.lexicon import Lexeme, Reading
from sinkside.draft.stages import stages_for
from sinkside.draft.tokens import TokenKind
from sinkside.instruction import Action, Stage

#: What stands behind a verb, and seldom behind a noun of the same form.
_BEHIND_A_VERB = ("determiner", "pronoun", "adverb", "opener", "number", "feature", "part_noun", "tool")
#: No subject ends so.
_NO_SUBJECT = ("determiner", "article", "quality", "aside_word", "modal", "prohibition")
_DENIES = {"no", "not", "never", "nothing", "none"}
_LEAST_WORDS = 3
_LEAST_BEHIND_WHO = 3
_MANY = {"they", "you", "we", "who"}


def told(reading: Reading, stages: tuple[Stage, ...] = ()) -> tuple[Action | None, str]:
    """The work that a sentence in the present tense tells of, and how it was recognised.

    >>> from sinkside.draft.lexicon import read_words
    >>> told(read_words("The scrub nurse wipes the shaft."))[0]
    <Action.wipe: 'wipe'>
    >>> told(read_words("Foam keeps the shaft wet."))
    (None, '')
    """
    if reading.has("prohibition"):
        return None, ""
    denied = [place for place, token in enumerate(reading.tokens) if token.norm in _DENIES]
    end = denied[0] if denied else len(reading.tokens)
    aside = asides(reading)
    verbs = [verb for verb in action_words(reading) if verb.first not in aside]
    agents = [*verbs[:1], *reading.all("substance")[:1]]
    for verb in verbs:
        # 'Brushing removes biofilm', 'The foam keeps it moist' tell what work and agents do.
        about_work = any(agent.first < verb.first for agent in agents)
        if verb.first < end and not about_work and _is_told(reading, verb):
            return _fitting(Action(verb.value), stages), "told in the present tense"
    if Stage.inspection in stages and not denied and _is_found_so(reading):
        return Action.inspect, "a criterion that is told"
    return None, ""


def _fitting(action: Action, stages: tuple[Stage, ...]) -> Action:
    """What belongs elsewhere is only told here: 'The foam travels with it' under 'Cleaning' sends nothing."""
    usual = stages_for(action)
    return action if not usual or not stages or set(usual) & set(stages) else Action.other


def _is_told(reading: Reading, verb: Lexeme) -> bool:
    """Whether a verb stands behind its subject, in the form of the present, with something behind it."""
    if verb.first == 0 or reading.grammar.language != "en":
        return False
    form, before = reading.tokens[verb.first], reading.tokens[verb.first - 1]
    singular = form.norm.endswith("s") and not form.norm.endswith("ss")
    many = before.norm in _MANY or (before.norm.endswith("s") and not before.norm.endswith("ss"))
    many = many or _leads_with_who(reading, verb)
    if not (singular or many) or before.kind is not TokenKind.word or form.norm.endswith(("ed", "ing")):
        return False
    somebody = singular and before.norm == "one"
    if not somebody and any(reading.at(verb.first - 1, kind) for kind in _NO_SUBJECT):
        return False
    # 'travels to the department': what stands behind the verb is part of its phrase.
    return verb.last > verb.first + 1 or _goes_on(reading, verb.last)


def _leads_with_who(reading: Reading, verb: Lexeme) -> bool:
    """'Those who have a washer put the tubes on its nozzles': the verb behind what they have."""
    norms = [token.norm for token in reading.tokens[: verb.first]]
    return norms[:2] == ["those", "who"] and len(norms) > _LEAST_BEHIND_WHO


def _goes_on(reading: Reading, place: int) -> bool:
    if place >= len(reading.tokens) or reading.tokens[place].norm in {".", ";", ","}:
        return True
    token = reading.tokens[place]
    lettered = token.kind is TokenKind.label or (len(token.text) == 1 and token.text.isupper())
    return lettered or any(reading.at(place, kind) for kind in _BEHIND_A_VERB)


def _is_found_so(reading: Reading) -> bool:
    """'The jaws meet along their length': under inspection, what is said of the device is to be seen."""
    subject = any(reading.has(kind) for kind in ("feature", "part_noun", "position_noun"))
    spoken = reading.tokens and reading.tokens[0].norm in {"they", "it"}
    return bool(subject or spoken) and len(reading.tokens) >= _LEAST_WORDS
