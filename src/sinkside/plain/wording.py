"""Plain sentences made of an operation's structure: verb first, one thing each, figures never typed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sinkside.instruction import Action, Instruction, Step
from sinkside.language import REFERENCE_LANGUAGE
from sinkside.plain import templates
from sinkside.plain.makers_words import capital, first_clause, is_short, quoted_text
from sinkside.plain.voice import Voice
from sinkside.route import Binding, Operation, ResourceKind, Station

#: More names than this no longer make one calm sentence, and move to the second line.
_NAMES_IN_A_HEADLINE = 3

#: A maker's sentence says more of these than their action: what to look for, what counts, what to repeat.
_SAID_BETTER_BY_THE_MAKER = frozenset(
    {Action.inspect, Action.test, Action.count_use, Action.repeat, Action.retire, Action.other}
)

#: A feature's name that only describes it: "hinged" alone.
_IS_NO_NOUN = re.compile(r"[a-z]+ed", re.IGNORECASE)

_MACHINE_PHASES = frozenset({Action.pre_rinse, Action.wash, Action.rinse, Action.disinfect, Action.dry})

#: What a phase is called that no word of ours names.
_GOES_ON = ("", templates.PHASES[Action.other])

_DONE_TO_WHAT_IS_NOT_HELD = frozenset({Action.flush, Action.blow, Action.fill, Action.load})

#: Positions that an action has brought about when it is done.
_TOLD_BY_ACTION: Mapping[Action, frozenset[tuple[str, str]]] = {
    Action.take_apart: frozenset({("part", "apart")}),
    Action.put_together: frozenset({("part", "assembled")}),
    Action.connect: frozenset({("port", "connected")}),
}

_OPENS_A_CLAUSE = ("if ", "when ", "unless ", "after ", "before ", "once ", "and ", "or ", "only ", "for ")


@dataclass(frozen=True)
class Worded:
    """An operation in words: the headline, and below it what belongs to it, each in its own place.

    Attributes:
        headline: one short sentence, verb first.
        names: what it is done to, where those are too many for the headline.
        with_what: what the department uses for it; where nothing is bound, what the text names.
        held: positions to hold meanwhile.
        until: when it is done.
        condition: when it is to be done.
        quoted: the maker's own sentence, where structure does not hold it all.
        cautions: what to take care of, as sentences.
    """

    headline: str
    names: str = ""
    with_what: tuple[str, ...] = ()
    held: tuple[tuple[str, str], ...] = ()
    until: str = ""
    condition: str = ""
    quoted: str = ""
    cautions: tuple[str, ...] = ()


def worded(operation: Operation, instruction: Instruction, voice: Voice) -> Worded:
    """An operation in plain words, from its structure; the maker's own words where there is none.

    Raises:
        NotForTheFloor: if a template has no translation.

    >>> from sinkside.instruction import Device
    >>> flush = Operation(letter="A", stage="cleaning", station=Station.sink, steps=(), action="flush",
    ...     on=("port",), positions={"jaw": "open"}, until="the water is clear")
    >>> words = worded(flush, Instruction(device=Device(name="Forceps")), Voice())
    >>> words.headline, words.held, words.until
    ('Flush the port', (('jaw', 'open'),), 'until the water is clear')
    """
    steps = steps_of(operation, instruction)
    names = _once([thing_name(thing, instruction, voice) for thing in _things(operation, instruction)])
    said = makers_sentence(operation, steps)
    cautions = _sentences(operation.cautions, voice)
    headline = _headline(operation, steps, names, voice)
    if headline is None or (said and _says_more(operation, steps)):
        return _in_makers_words(said, headline, cautions, voice)
    is_cut_off = bool(said) and _is_cut_off(operation)
    return Worded(
        headline=headline,
        names=", ".join(names) if len(names) > _NAMES_IN_A_HEADLINE else "",
        with_what=tuple(dict.fromkeys(_with_what(operation, steps, voice))),
        held=_held(operation),
        until="" if is_cut_off else _until(operation, voice),
        condition="" if is_cut_off else _condition(operation, voice),
        quoted=quoted_text(said, voice) if is_cut_off else "",
        cautions=cautions,
    )


def steps_of(operation: Operation, instruction: Instruction) -> tuple[Step, ...]:
    """The steps that an operation carries out, as far as the instruction has them."""
    return tuple(step for step in instruction.steps if step.id in operation.steps)


def thing_name(thing: str, instruction: Instruction, voice: Voice) -> str:
    """What a part or feature is called, without an article; by the department's glossary where it knows."""
    for part in instruction.device.parts:
        if part.id == thing:
            return voice.name(_without_article(part.name))
    for feature in instruction.device.features:
        if feature.id == thing:
            name = _without_article(feature.name)
            if not name or _IS_NO_NOUN.fullmatch(name):
                return voice.say(templates.FEATURES[feature.kind])
            return voice.name(name)
    return voice.name(_without_article(re.sub(r"-?\d+$", "", thing).replace("-", " ").replace("_", " ")))


def position_words(feature: str, position: str, voice: Voice) -> str:
    """A held position as people say it: jaw open.

    >>> position_words("ratchet", "released", Voice())
    'ratchet released'
    """
    return voice.say(templates.HELD[feature, position])


def phase_name(step: Step, voice: Voice) -> str:
    """What a step that a machine carries out is called: Pre-rinse, Wash, Rinse, Disinfect, Dry."""
    return _phase(step.action, voice)


def program_of(operation: Operation) -> Binding | None:
    """The machine program that carries out an operation, or none."""
    return next((bound for bound in operation.bindings if bound.kind is ResourceKind.program), None)


def makers_sentence(operation: Operation, steps: tuple[Step, ...]) -> str:
    """The sentence that an operation was read from; nothing where it came from a row of a table."""
    origins = [operation.origin.text, *(step.origin.text for step in steps)]
    text = next((origin.strip() for origin in origins if origin.strip()), "")
    return "" if text.startswith("|") else text


def _in_makers_words(text: str, headline: str | None, cautions: tuple[str, ...], voice: Voice) -> Worded:
    """The maker's own words: a short sentence as it stands, a long one below our headline or its start.

    In another language than the reader's they are never the headline.
    """
    known = voice.name(text)
    if not text:
        return Worded(headline or voice.say(templates.SEE_THE_TEXT), cautions=cautions)
    if voice.is_foreign and known == text:
        told = headline or voice.say(templates.SEE_THE_TEXT)
        return Worded(told, quoted=quoted_text(text, voice), cautions=cautions)
    if is_short(known):
        return Worded(capital(known.rstrip(".;")), cautions=cautions)
    return Worded(headline or first_clause(known), quoted=quoted_text(text, voice), cautions=cautions)


def _once(names: list[str]) -> list[str]:
    """Names without doubles; "screw" is not named beside "locking screw".

    >>> _once(["locking screw", "screw", "leaf spring", "leaf spring"])
    ['locking screw', 'leaf spring']
    """
    told = dict.fromkeys(names)
    return [name for name in told if not any(other.endswith(f" {name}") for other in told)]


def _things(operation: Operation, instruction: Instruction) -> tuple[str, ...]:
    """What an operation is done to; all parts together are the device itself, and need no naming.

    "Flush the port with the jaw open" names a jaw that is only held.
    """
    parts = {part.id for part in instruction.device.parts}
    if len(parts) > 1 and parts <= set(operation.on):
        return ()
    if operation.action not in _DONE_TO_WHAT_IS_NOT_HELD:
        return operation.on
    kinds = {feature.id: feature.kind.value for feature in instruction.device.features}
    free = tuple(thing for thing in operation.on if kinds.get(thing, thing) not in operation.positions)
    return free or (() if operation.action is Action.load else operation.on)


def _headline(operation: Operation, steps: tuple[Step, ...], names: list[str], voice: Voice) -> str | None:
    """One short sentence, or none where the structure is too thin for one."""
    if operation.action is Action.set_position and not operation.positions and steps:
        return None
    special = _special_headline(operation, steps, voice)
    if special is not None or operation.action not in templates.HEADLINES:
        return special
    named, unnamed = templates.HEADLINES[operation.action]
    if not 0 < len(names) <= _NAMES_IN_A_HEADLINE:
        return voice.say(unnamed)
    if voice.language == REFERENCE_LANGUAGE:
        verb = named.partition(" ")[0].lower()
        names = [name.removeprefix(f"{verb} ") for name in names]
    return voice.say(named, on=names)


def _special_headline(operation: Operation, steps: tuple[Step, ...], voice: Voice) -> str | None:
    """The headline of an operation whose positions, program, steam or repeats say more than its action."""
    action = operation.action
    if action is Action.set_position and operation.positions:
        return voice.stop.join(voice.say(templates.SET[held]) for held in sorted(operation.positions.items()))
    program = program_of(operation)
    if action in _MACHINE_PHASES and (program or operation.station is Station.washer):
        return _machine_headline(operation, program, voice)
    if action is Action.load and operation.station in templates.LOADED:
        return voice.say(templates.LOADED[operation.station])
    ways = [templates.STEAM[step.air_removal] for step in steps if step.air_removal]
    if action is Action.sterilize and ways:
        return voice.say(ways[0])
    return None


def _machine_headline(operation: Operation, program: Binding | None, voice: Voice) -> str:
    """The phase by its name; a program that carries out several steps by the program's name."""
    if program is not None and len(operation.steps) > 1:
        return voice.say(templates.RUN_PROGRAM, program=program.program or program.name)
    return _phase(operation.action, voice)


def _phase(action: Action, voice: Voice) -> str:
    return voice.say(templates.PHASES.get(action) or templates.HEADLINES.get(action, _GOES_ON)[1])


def _says_more(operation: Operation, steps: tuple[Step, ...]) -> bool:
    """Whether the maker's sentence says what the structure does not hold."""
    action = operation.action
    if action is Action.set_position:
        return not operation.positions
    if operation.figures or operation.bindings or operation.cautions:
        return False
    if action in {Action.inspect, Action.test}:
        return not operation.until and not any(step.tools for step in steps)
    if action is Action.load:
        return bool(operation.positions) and not any(step.with_ or step.tools for step in steps)
    if action is Action.pack:
        return not operation.positions and not any(step.with_ or step.tools for step in steps)
    return action in _SAID_BETTER_BY_THE_MAKER or action is Action.actuate


def _with_what(operation: Operation, steps: tuple[Step, ...], voice: Voice) -> Iterable[str]:
    """What the department uses for it; where nothing is bound, what the maker's text names."""
    bound = [_bound_name(binding, operation) for binding in operation.bindings]
    if bound:
        return [voice.isolated(name) for name in bound]
    named = [step.with_ for step in steps if step.with_]
    named += [tool for step in steps for tool in step.tools]
    return [voice.isolated(voice.name(name)) for name in named]


def _bound_name(binding: Binding, operation: Operation) -> str:
    """What is bound, by the department's own name; a program with the machine that runs it.

    A headline that already names the program leaves the machine to say.
    """
    is_in_headline = len(operation.steps) > 1 and operation.action in _MACHINE_PHASES
    if is_in_headline and binding.kind is ResourceKind.program:
        return binding.name
    if binding.program and binding.program != binding.name:
        return f"{binding.name}, “{binding.program}”"
    return binding.name


def _held(operation: Operation) -> tuple[tuple[str, str], ...]:
    """Positions to hold, unless the headline has just asked for them."""
    if operation.action is Action.set_position:
        return ()
    told = _TOLD_BY_ACTION.get(operation.action, frozenset())
    return tuple(held for held in sorted(operation.positions.items()) if held not in told)


def _is_cut_off(operation: Operation) -> bool:
    """Whether a clause lost its other half: the whole sentence is quoted then."""
    clauses = [clause for clause in (operation.until, operation.condition) if clause]
    return any(clause.count("(") != clause.count(")") for clause in clauses)


def _until(operation: Operation, voice: Voice) -> str:
    if not operation.until:
        return ""
    ended = re.sub(r"^(and )?until ", "", operation.until.strip(), flags=re.IGNORECASE).rstrip(".")
    return voice.say(templates.UNTIL, ended=voice.quote(ended))


def _condition(operation: Operation, voice: Voice) -> str:
    """Under which condition; a clause that opens like one needs no word of ours in its own language."""
    if not operation.condition:
        return ""
    condition = operation.condition.strip().rstrip(".")
    if not condition.lower().startswith(_OPENS_A_CLAUSE):
        return voice.say(templates.IF, condition=voice.quote(condition))
    if voice.language != REFERENCE_LANGUAGE:
        return voice.say(templates.CONDITION, condition=voice.quote(condition))
    return condition[:1].lower() + condition[1:]


def _sentences(cautions: Iterable[str], voice: Voice) -> tuple[str, ...]:
    """Cautions as whole sentences, each once; the maker's words in another language stand as quoted."""
    kept = [caution.strip() for caution in cautions if caution.strip()]
    ended = [text if text[-1] in ".!?" else f"{text}." for text in kept]
    return tuple(dict.fromkeys(voice.quote(capital(text)) for text in ended))


def _without_article(name: str) -> str:
    return re.sub(r"^(the|a|an) ", "", name.strip(), flags=re.IGNORECASE)
