"""What sentences without a verb that asks still mean under their heading."""

from __future__ import annotations

from dataclasses import replace

from sinkside.draft.clauses import Clause, looks_imperative, noun_action
from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.notfigures import Found
from sinkside.draft.passage import Passage
from sinkside.draft.positions import positions_in
from sinkside.draft.sections import Section
from sinkside.draft.stages import DEFAULT_ACTIONS, stages_for
from sinkside.draft.telling import told
from sinkside.instruction import Action, Stage
from sinkside.quantities import FigureQuantity

#: The lowest temperature that steam sterilizers are set to (common practice).
_STEAM_C = 115.0
#: Water that disinfects, in washers (common practice): never so hot in a wash.
_HOT_WATER_C, _BOILING_C = 80.0, 100.0
#: A shorter time is a slip, and tells nothing of what is meant.
_SHORTEST_HOT_S = 30.0
_PROCESS = {
    FigureQuantity.temperature,
    FigureQuantity.time,
    FigureQuantity.volume,
    FigureQuantity.pressure,
}
_MACHINE_PHASES = {Action.pre_rinse, Action.wash, Action.rinse, Action.disinfect, Action.dry}
_LEAST_PHASES = 3
_BETWEEN_PHASES = {",", "and", ":", "then", "/", "–", "—", "→"}
_MOST_WORDS_OF_A_PART = 5
#: Actions that makers only tell the means of.
_TOLD_ONLY = {Action.pack, Action.store}
#: These have a place of their own even where they are only named: 'Disinfection: 90 °C, 5 min' in a washer.
_OWN_PLACE = {Action.disinfect, Action.dry, Action.sterilize, Action.lubricate, Action.transport}
_OWN_PLACE |= {Action.start_cleaning}
#: 'It is 134 °C and is held for three minutes' is the cycle itself.
_OF_A_CYCLE = {Action.sterilize, Action.dry, Action.set_position}
_ON_ITS_WAY = {
    Action.transport,
    Action.keep_moist,
    Action.other,
    Action.load,
    Action.put_together,
    Action.connect,
}
#: Behind these a sentence that forbids turns to what is to be done instead.
_TURNS = {":", ";", "instead", "rather", "but", "sondern", "mais", "sino"}
_WEAK = {None, Action.wash, Action.rinse}


def one_cycle(reading: Reading, found: list[Found], clauses: list[Clause], section: Section) -> list[Clause]:
    """'134 °C, 3 min, dry 40 min' is one sterilization cycle; its drying is a figure, no step."""
    if Stage.sterilization not in section.stages and not _is_steam(reading, found, section):
        return clauses
    hot = FigureQuantity.temperature in _quantities(found)
    if not hot or any(clause.action not in _OF_A_CYCLE for clause in clauses):
        return clauses
    return [Clause(Action.sterilize, 0, 0, len(reading.tokens), "a sterilization cycle")]


def _is_steam(reading: Reading, found: list[Found], section: Section) -> bool:
    """'134 °C, 4 min, dry 20 min' is steam under any heading that is not about hot air or a washer."""
    figures = [figure for one in found for figure in one.figures]
    hot = any(x.quantity is FigureQuantity.temperature and x.number("°C") >= _STEAM_C for x in figures)
    timed = any(x.quantity is FigureQuantity.time for x in figures)
    elsewhere = section.describing or {Stage.cleaning, Stage.disinfection, Stage.drying} & set(section.stages)
    return hot and timed and not elsewhere and not reading.has("substance", "air")


def implied(passage: Passage, reading: Reading, found: list[Found], section: Section) -> list[Clause]:
    """The one thing that a sentence without a verb asks for, or nothing."""
    if _leaves_in_a_box(reading, section):
        return [Clause(Action.transport, 0, 0, len(reading.tokens), "a box to travel in")]
    phases = (phases_in(reading) or _hot_then_dry(reading, found)) if found else []
    if phases:
        return phases
    action, pattern = _by_figures(reading, found, section)
    if action is None and section.stages:
        action, pattern = _by_words(passage, reading, section.stages)
    elif action is None and not section.describing:
        action, pattern = told(reading)
    if action is None:
        return []
    return [Clause(action, 0, 0, len(reading.tokens), pattern, outright=action in _OWN_PLACE)]


def before_ban(passage: Passage, reading: Reading, found: list[Found], section: Section) -> list[Clause]:
    """'Parts side by side in a basket, never inside each other' asks before it forbids."""
    ban = next(iter(reading.all("prohibition")), None)
    if ban is None or not ban.first or section.describing or not section.stages:
        return []
    if reading.tokens[ban.first - 1].norm not in {",", ";", "-", ":"}:
        return []
    words = read_words(reading.words(0, ban.first - 1), reading.grammar.language)
    asked = implied(passage, words, [one for one in found if one.last <= ban.first], section)
    return [replace(one, last=len(reading.tokens)) for one in asked[-1:]]


def behind_ban(reading: Reading, clauses: list[Clause], section: Section) -> list[Clause]:
    """'Never scratch at char: soften it in peroxide' forbids, and asks for another thing behind its colon."""
    bans = reading.all("prohibition")
    if not bans or section.describing:
        return []
    turns = [
        place
        for place, token in enumerate(reading.tokens)
        if place > bans[0].last and token.norm in _TURNS and not _is_ratio(reading, place)
    ]
    if not turns or any(ban.first > turns[0] for ban in bans):
        return []
    return [replace(one, first=turns[0] + 1) for one in clauses if turns[0] < one.verb]


def _is_ratio(reading: Reading, place: int) -> bool:
    return reading.tokens[place - 1].value is not None


def listed_phases(reading: Reading, clauses: list[Clause]) -> list[Clause]:
    """The phases of a list in which a noun looked like a verb: '…, thermal disinfection, and drying'."""
    phases = phases_in(reading) if clauses else []
    verbs, named = {x.verb for x in clauses}, {phase.verb for phase in phases}
    if not phases or not verbs <= named:
        return clauses
    # Of several verbs, a noun among them or behind shows that it is one list.
    among = any(verb > min(verbs) for verb in named - verbs)
    return phases if len(clauses) == 1 or among else clauses


def phases_in(reading: Reading) -> list[Clause]:
    """'a 4-minute pre-rinse, a 10-minute wash and a thermal disinfection': a clause for each phase."""
    nouns = [x for x in reading.all("action") if Action(x.value) in _MACHINE_PHASES]
    starts = [_start_of_item(reading, noun.first) for noun in nouns]
    if len(set(starts)) < _LEAST_PHASES or reading.has("prohibition"):
        return []
    ends = [*starts[1:], len(reading.tokens)]
    starts[0] = 0
    return [
        Clause(Action(noun.value), noun.first, start, end, "a phase of a list")
        for noun, start, end in zip(nouns, starts, ends, strict=True)
        if end > start
    ]


def _hot_then_dry(reading: Reading, found: list[Found]) -> list[Clause]:
    """'… at 90 °C until A0 is 3000, and with hot air for 20 min' disinfects, then dries."""
    hot = [one.last for one in found for x in one.figures if x.quantity is FigureQuantity.lethality]
    dry = [x for x in reading.all("action") if x.value == Action.dry and hot and x.first >= hot[0]]
    if not dry:
        return []
    start = _start_of_item(reading, dry[0].first)
    return [
        Clause(Action.disinfect, 0, 0, start, "a lethality"),
        Clause(Action.dry, dry[0].first, start, len(reading.tokens), "a phase of a list"),
    ]


def _start_of_item(reading: Reading, place: int) -> int:
    while (
        place > 0
        and reading.tokens[place - 1].norm not in _BETWEEN_PHASES
        and not _is_dash(reading, place - 1)
    ):
        place -= 1
    return place


def _is_dash(reading: Reading, place: int) -> bool:
    """'… 2 min - rinse': a hyphen with white space around it parts; 'a ten-minute wash' has none."""
    sign = reading.tokens[place]
    return sign.norm == "-" and reading.text[sign.end : sign.end + 1] == " "


def _leaves_in_a_box(reading: Reading, section: Section) -> bool:
    """'Lid on, to CSSD within 60 min' where it was used: on its way, though no verb sends it."""
    where = {Stage.point_of_use, Stage.transport} & set(section.stages[:1])
    goes = any(reading.tokens[x.first - 1].norm == "to" for x in reading.all("cleaning_goal", first=1))
    named = noun_action(reading) not in {None, *_ON_ITS_WAY}
    return bool(where) and not named and (reading.has("transport_box") or reading.has("boxed") or goes)


def _by_figures(reading: Reading, found: list[Found], section: Section) -> tuple[Action | None, str]:
    quantities = _quantities(found)
    named = noun_action(reading)
    if not quantities or not (section.stages or (named and quantities & _PROCESS)):
        return None, ""
    lethal = Action.sterilize if _is_of_steam(found) else Action.disinfect
    cycle = Stage.sterilization in section.stages and FigureQuantity.temperature in quantities
    oiled = reading.has("count", "drops") and reading.has("substance", "lubricant")
    hot_water = named is None and Stage.cleaning in section.stages and _is_hot_water(found)
    readings: tuple[tuple[bool, Action, str], ...] = (
        (FigureQuantity.lethality in quantities and named in _WEAK, lethal, "a lethality"),
        (cycle, Action.sterilize, "a sterilization cycle"),
        (named is None and reading.has("substance", "air"), Action.blow, "air under a heading"),
        (oiled, Action.lubricate, "drops of a lubricant"),
        (hot_water, Action.disinfect, "water that disinfects"),
    )
    for fits, action, pattern in readings:
        if fits:
            return action, pattern
    named = named or noun_action(read_words((section.heading or "").lower(), reading.grammar.language))
    stage = section.stages[0] if section.stages else Stage.cleaning
    return named or DEFAULT_ACTIONS.get(stage, Action.other), "figures under a heading"


def _is_hot_water(found: list[Found]) -> bool:
    """'90 °C, 5 min' of a washer disinfects: nothing is washed so hot (A0 of ISO 15883-1, from memory)."""
    figures = [figure for one in found for figure in one.figures]
    hot = [x for x in figures if x.quantity is FigureQuantity.temperature and x.unit in {"°C", "°F"}]
    timed = any(x.quantity is FigureQuantity.time and x.ends("s")[1] >= _SHORTEST_HOT_S for x in figures)
    return timed and any(_HOT_WATER_C <= x.ends("°C")[0] < _BOILING_C for x in hot)


def _is_of_steam(found: list[Found]) -> bool:
    """F0 is told in minutes and of steam, A0 in seconds and of hot water."""
    lethal = [x for one in found for x in one.figures if x.quantity is FigureQuantity.lethality]
    return any(figure.unit == "min" for figure in lethal)


def _by_words(passage: Passage, reading: Reading, stages: tuple[Stage, ...]) -> tuple[Action | None, str]:
    named = fitting(reading, stages) or noun_action(reading)
    usual = DEFAULT_ACTIONS.get(stages[0], Action.other)
    obliges = reading.has("modal", "must")
    readings: tuple[tuple[bool, Action, str], ...] = (
        (bool(positions_in(reading)), Action.set_position, "a state"),
        (_comes_off(reading), Action.take_apart, "a part that comes off"),
        (reading.has("needless"), Action.other, "nothing needed"),
        (reading.has("substance", "lubricant") and named is None, Action.lubricate, "a lubricant"),
        (
            reading.has("tool") or reading.has("substance"),
            usual if named in {None, Action.set_position} else named,
            "a thing to use",
        ),
        (obliges and Stage.inspection in stages, Action.inspect, "a criterion"),
        (
            _is_item(passage, named) or obliges or looks_imperative(reading) or _told_only(reading, stages),
            named or Action.other,
            "an item under a heading",
        ),
    )
    return next(((action, pattern) for fits, action, pattern in readings if fits), told(reading, stages))


def _comes_off(reading: Reading) -> bool:
    """'Needle off', 'O out': a short item that ends with what happens to its part."""
    tokens = [token for token in reading.tokens if token.norm not in {".", ";", ","}]
    ends = any(x.last >= len(tokens) for x in reading.all("comes_off"))
    return ends and 1 < len(tokens) <= _MOST_WORDS_OF_A_PART


def _told_only(reading: Reading, stages: tuple[Stage, ...]) -> bool:
    """'Sterilization packaging after EN ISO 11607' under 'Packaging' says with what to pack."""
    return fitting(reading, stages[:1]) in _TOLD_ONLY and not reading.has("modal")


def fitting(reading: Reading, stages: tuple[Stage, ...]) -> Action | None:
    """Of several things that are named, the one that belongs under the heading."""
    for lexeme in reading.all("action"):
        action = noun_action(reading, lexeme.first, lexeme.last)
        if action and stages_for(action)[:1] and stages_for(action)[0] in stages:
            return action
    return None


def _is_item(passage: Passage, named: Action | None) -> bool:
    """A numbered item asks for something; a bullet does if it names what: 'Jaws wiped'."""
    return bool(passage.number or passage.lead) or (passage.bullet and named is not None)


def _quantities(found: list[Found]) -> set[FigureQuantity]:
    return {figure.quantity for one in found for figure in one.figures}
