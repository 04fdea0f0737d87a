"""Plain sentences made of an operation's structure: verb first, one thing each, figures never typed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sinkside.instruction import Action, AirRemoval, FeatureKind, Instruction, Step
from sinkside.language import render
from sinkside.route import Binding, Operation, ResourceKind, Station

#: More names than this no longer make one calm sentence, and move to the second line.
_NAMES_IN_A_HEADLINE = 3

#: A maker's own sentence of at most this many words can stand as a headline.
_WORDS_IN_A_HEADLINE = 12

#: A first clause of fewer words says too little to stand alone.
_WORDS_IN_A_CLAUSE = 3

_CLAUSE_ENDS = re.compile(r"\s*(?:[,;:(–]|\s(?:and|until|while|so that|before|after)\s)", re.IGNORECASE)

#: A maker's sentence says more of these than their action: what to look for, what counts, what to repeat.
_SAID_BETTER_BY_THE_MAKER = frozenset(
    {Action.inspect, Action.test, Action.count_use, Action.repeat, Action.retire, Action.other}
)

#: What each action says: with a thing named, and without.
_HEADLINES: Mapping[Action, tuple[str, str]] = {
    Action.wipe: ("Wipe the {on}", "Wipe it clean"),
    Action.rinse: ("Rinse the {on}", "Rinse it"),
    Action.flush: ("Flush the {on}", "Flush it through"),
    Action.soak: ("Soak the {on}, fully under", "Soak it, fully under"),
    Action.brush: ("Brush the {on}", "Brush it"),
    Action.actuate: ("Move the {on}", "Move it to and fro"),
    Action.sonicate: ("Run the ultrasonic bath", "Run the ultrasonic bath"),
    Action.fill: ("Fill the {on}", "Fill it"),
    Action.prepare_solution: ("Mix the solution", "Mix the solution"),
    Action.discard_solution: ("Throw the solution away", "Throw the solution away"),
    Action.keep_moist: ("Keep the {on} moist", "Keep it moist"),
    Action.transport: ("Take it to the department", "Take it to the department"),
    Action.start_cleaning: ("Start to clean", "Start to clean"),
    Action.take_apart: ("Take off the {on}", "Take it apart"),
    Action.put_together: ("Put the {on} on", "Put it together"),
    Action.discard_part: ("Throw away the {on}", "Throw the part away"),
    Action.replace_part: ("Fit a new {on}", "Fit a new part"),
    Action.set_position: ("Set the {on}", "Set the moving parts"),
    Action.connect: ("Connect the {on}", "Connect it"),
    Action.load: ("Lay the {on} in place", "Lay it in place"),
    Action.pre_rinse: ("Pre-rinse", "Pre-rinse"),
    Action.wash: ("Wash", "Wash"),
    Action.disinfect: ("Disinfect", "Disinfect"),
    Action.dry: ("Dry the {on}", "Dry it"),
    Action.blow: ("Blow air through the {on}", "Blow it dry with air"),
    Action.inspect: ("Look at the {on}", "Look at all of it"),
    Action.test: ("Test the {on}", "Test that it works"),
    Action.lubricate: ("Oil the {on}", "Oil it"),
    Action.pack: ("Pack it", "Pack it"),
    Action.weigh: ("Weigh the set", "Weigh the set"),
    Action.sterilize: ("Sterilize", "Sterilize"),
    Action.cool: ("Let it cool", "Let it cool"),
    Action.release_check: ("Read the cycle record", "Read the cycle record"),
    Action.store: ("Store it", "Store it"),
    Action.count_use: ("Count this use", "Count this use"),
    Action.retire: ("Take it out of use", "Take it out of use"),
    Action.send_for_repair: ("Send it for repair", "Send it for repair"),
}

_STEAM: Mapping[AirRemoval, str] = {
    AirRemoval.prevacuum: "Steam with vacuum",
    AirRemoval.gravity: "Steam, gravity",
    AirRemoval.pulse: "Steam with pulses",
}

_SET: Mapping[tuple[str, str], str] = {
    ("jaw", "open"): "Open the jaw",
    ("jaw", "closed"): "Close the jaw",
    ("ratchet", "engaged"): "Lock the ratchet",
    ("ratchet", "released"): "Release the ratchet",
    ("sleeve", "forward"): "Push the sleeve forward",
    ("sleeve", "back"): "Pull the sleeve back",
    ("port", "open"): "Open the port",
    ("port", "capped"): "Cap the port",
    ("port", "connected"): "Connect the port",
    ("knob", "straight"): "Turn the knob straight",
    ("knob", "deflected"): "Turn the knob to bend the tip",
    ("part", "assembled"): "Put the parts together",
    ("part", "apart"): "Take the parts apart",
}

_HELD: Mapping[tuple[str, str], str] = {
    ("jaw", "open"): "jaw open",
    ("jaw", "closed"): "jaw closed",
    ("ratchet", "engaged"): "ratchet locked",
    ("ratchet", "released"): "ratchet released",
    ("sleeve", "forward"): "sleeve forward",
    ("sleeve", "back"): "sleeve back",
    ("port", "open"): "port open",
    ("port", "capped"): "port capped",
    ("port", "connected"): "port connected",
    ("knob", "straight"): "knob straight",
    ("knob", "deflected"): "tip bent by the knob",
    ("part", "assembled"): "parts together",
    ("part", "apart"): "parts apart",
}

_KINDS: Mapping[FeatureKind, str] = {
    FeatureKind.sliding_sleeve: "sleeve",
    FeatureKind.cutting_edge: "cutting edge",
    FeatureKind.single_use_part: "single-use part",
}

#: A feature's name that only describes it: "hinged" alone.
_IS_NO_NOUN = re.compile(r"[a-z]+ed", re.IGNORECASE)

#: Where loading has a place of its own.
_LOADED: Mapping[Station, str] = {
    Station.washer: "Load it on the rack",
    Station.ultrasonic: "Lay it in the bath",
    Station.sterilizer: "Load the sterilizer",
}

_MACHINE_PHASES = frozenset({Action.pre_rinse, Action.wash, Action.rinse, Action.disinfect, Action.dry})

_DONE_TO_WHAT_IS_NOT_HELD = frozenset({Action.flush, Action.blow, Action.fill, Action.load})

#: Positions that an action has brought about when it is done.
_TOLD_BY_ACTION: Mapping[Action, frozenset[tuple[str, str]]] = {
    Action.take_apart: frozenset({("part", "apart")}),
    Action.put_together: frozenset({("part", "assembled")}),
    Action.connect: frozenset({("port", "connected")}),
}

_OPENS_A_CLAUSE = ("if ", "when ", "unless ", "after ", "before ", "once ", "and ", "or ", "only ", "for ")


@dataclass(frozen=True)
class PlainWords:
    """An operation in plain words: one short sentence, what belongs to it, and what to take care of."""

    headline: str
    details: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def plain_words(operation: Operation, instruction: Instruction, language: str = "en") -> PlainWords:
    """An operation in plain words, from its structure; the maker's own words where there is none.

    Raises:
        BadInput: if the language is unknown.

    >>> from sinkside.instruction import Device
    >>> from sinkside.route import Station
    >>> flush = Operation(letter="A", stage="cleaning", station=Station.sink, steps=(), action="flush",
    ...     on=("port",), positions={"jaw": "open"}, until="the water is clear")
    >>> words = plain_words(flush, Instruction(device=Device(name="Forceps")))
    >>> words.headline, words.details
    ('Flush the port', ('jaw open', 'until the water is clear'))
    """
    steps = steps_of(operation, instruction)
    names = _once([thing_name(thing, instruction, language) for thing in _things(operation, instruction)])
    said = makers_sentence(operation, steps)
    headline = _headline(operation, steps, names, language)
    if headline is None or (said and _says_more(operation, steps)):
        quoted = _quoted(said, headline, language)
        return PlainWords(quoted.headline, quoted.details, _sentences(operation.cautions))
    details = [
        *_long_list(names),
        *_with_what(operation, steps),
        *_positions(operation, language),
        *_until(operation, said, language),
    ]
    return PlainWords(headline or "", tuple(dict.fromkeys(details)), _sentences(operation.cautions))


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


def steps_of(operation: Operation, instruction: Instruction) -> tuple[Step, ...]:
    """The steps that an operation carries out, as far as the instruction has them."""
    return tuple(step for step in instruction.steps if step.id in operation.steps)


def thing_name(thing: str, instruction: Instruction, language: str = "en") -> str:
    """What a part or feature is called, without an article."""
    for part in instruction.device.parts:
        if part.id == thing:
            return _without_article(part.name)
    for feature in instruction.device.features:
        if feature.id == thing:
            kind = render(_KINDS.get(feature.kind, feature.kind.value), {}, language)
            name = _without_article(feature.name)
            return kind if not name or _IS_NO_NOUN.fullmatch(name) else name
    return _without_article(re.sub(r"-?\d+$", "", thing).replace("-", " ").replace("_", " "))


def position_words(positions: Mapping[str, str], language: str = "en") -> tuple[str, ...]:
    """Positions as people say them: jaw open, ratchet released."""
    return tuple(
        render(_HELD.get(held, f"{held[0]} {held[1]}"), {}, language) for held in sorted(positions.items())
    )


def _headline(operation: Operation, steps: tuple[Step, ...], names: list[str], language: str) -> str | None:
    """One short sentence, or none where the structure is too thin for one."""
    if operation.action is Action.set_position and not operation.positions and steps:
        return None
    special = _special_headline(operation, steps, language)
    if special is not None or operation.action not in _HEADLINES:
        return special
    named, unnamed = _HEADLINES[operation.action]
    if 0 < len(names) <= _NAMES_IN_A_HEADLINE:
        verb = named.partition(" ")[0].lower()
        return render(named, {"on": [name.removeprefix(f"{verb} ") for name in names]}, language)
    return render(unnamed, {}, language)


def _special_headline(operation: Operation, steps: tuple[Step, ...], language: str) -> str | None:
    """The headline of an operation whose positions, program, steam or repeats say more than its action."""
    action = operation.action
    if action is Action.set_position and operation.positions:
        orders = [
            _SET.get(held, f"Set the {held[0]}: {held[1]}") for held in sorted(operation.positions.items())
        ]
        return ". ".join(render(order, {}, language) for order in orders)
    program = program_of(operation)
    if action in _MACHINE_PHASES and (program or operation.station is Station.washer):
        return _machine_headline(operation, program, language)
    if action is Action.load and operation.station in _LOADED:
        return render(_LOADED[operation.station], {}, language)
    ways = [_STEAM[step.air_removal] for step in steps if step.air_removal]
    if action is Action.sterilize and ways:
        return render(ways[0], {}, language)
    return None


def phase_name(step: Step, language: str = "en") -> str:
    """What a step that a machine carries out is called: Pre-rinse, Wash, Rinse, Disinfect, Dry."""
    return _phase(step.action, language)


def _machine_headline(operation: Operation, program: Binding | None, language: str) -> str:
    """The phase by its name; a program that carries out several steps by the program's name."""
    if program is not None and len(operation.steps) > 1:
        return render("Run “{program}”", {"program": program.program or program.name}, language)
    return _phase(operation.action, language)


def _phase(action: Action, language: str) -> str:
    plain = {Action.rinse: "Rinse", Action.dry: "Dry", Action.other: "Then"}
    return render(plain.get(action) or _HEADLINES[action][1], {}, language)


def program_of(operation: Operation) -> Binding | None:
    """The machine program that carries out an operation, or none."""
    return next((bound for bound in operation.bindings if bound.kind is ResourceKind.program), None)


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


def makers_sentence(operation: Operation, steps: tuple[Step, ...]) -> str:
    """The sentence that an operation was read from; nothing where it came from a row of a table."""
    origins = [operation.origin.text, *(step.origin.text for step in steps)]
    text = next((origin.strip() for origin in origins if origin.strip()), "")
    return "" if text.startswith("|") else text


def _quoted(text: str, headline: str | None, language: str) -> PlainWords:
    """The maker's own words: a short sentence as it stands, a long one below our headline or its start."""
    if not text:
        return PlainWords(headline or render("See the maker’s text", {}, language))
    if len(text.split()) <= _WORDS_IN_A_HEADLINE:
        return PlainWords(_capital(text.rstrip(".;")))
    return PlainWords(headline or _first_clause(text), (f"“{text}”",))


def _first_clause(text: str) -> str:
    """The first words of a long sentence that stand by themselves.

    >>> _first_clause("Tilt the tray toward the drain and let it stand until no more water runs from it.")
    'Tilt the tray toward the drain'
    """
    for end in _CLAUSE_ENDS.finditer(text):
        words = text[: end.start()].split()
        if _WORDS_IN_A_CLAUSE <= len(words) <= _WORDS_IN_A_HEADLINE:
            return _capital(" ".join(words))
    return _capital(" ".join(text.split()[:_WORDS_IN_A_HEADLINE]) + " …")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _long_list(names: list[str]) -> Iterable[str]:
    return (", ".join(names),) if len(names) > _NAMES_IN_A_HEADLINE else ()


def _with_what(operation: Operation, steps: tuple[Step, ...]) -> Iterable[str]:
    """What the department uses for it; where nothing is bound, what the maker's text names."""
    bound = [_bound_name(binding, operation) for binding in operation.bindings]
    if bound:
        return bound
    named = [step.with_ for step in steps if step.with_]
    return [*named, *(tool for step in steps for tool in step.tools)]


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


def _positions(operation: Operation, language: str) -> Iterable[str]:
    """Positions to hold, unless the headline has just asked for them."""
    if operation.action is Action.set_position:
        return ()
    told = _TOLD_BY_ACTION.get(operation.action, frozenset())
    kept = {name: held for name, held in operation.positions.items() if (name, held) not in told}
    return position_words(kept, language)


def _until(operation: Operation, said: str, language: str) -> Iterable[str]:
    """Until when and under which condition; the whole sentence where a clause of it was cut off."""
    clauses = [clause.strip().rstrip(".") for clause in (operation.until, operation.condition) if clause]
    if said and any(clause.count("(") != clause.count(")") for clause in clauses):
        yield f"“{said}”"
        return
    if operation.until:
        ended = re.sub(r"^(and )?until ", "", operation.until.strip(), flags=re.IGNORECASE).rstrip(".")
        yield render("until {ended}", {"ended": ended}, language)
    if operation.condition:
        condition = operation.condition.strip().rstrip(".")
        if condition.lower().startswith(_OPENS_A_CLAUSE):
            yield condition[:1].lower() + condition[1:]
        else:
            yield render("if {condition}", {"condition": condition}, language)


def _sentences(cautions: Iterable[str]) -> tuple[str, ...]:
    """Cautions as whole sentences, each once."""
    kept = [caution.strip() for caution in cautions if caution.strip()]
    ended = [text if text[-1] in ".!?" else f"{text}." for text in kept]
    return tuple(dict.fromkeys(text[0].upper() + text[1:] for text in ended))


def _without_article(name: str) -> str:
    return re.sub(r"^(the|a|an) ", "", name.strip(), flags=re.IGNORECASE)
