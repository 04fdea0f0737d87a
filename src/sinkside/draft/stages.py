"""What headings say of stages, and where each action can belong; `staging` weighs the two."""

from __future__ import annotations

import re

from sinkside.draft.lexicon import read_words
from sinkside.instruction import Action, Stage

_POINT, _TRANSPORT, _PREPARATION, _CLEANING = (
    Stage.point_of_use,
    Stage.transport,
    Stage.preparation,
    Stage.cleaning,
)
_DISINFECTION, _DRYING, _INSPECTION, _MAINTENANCE = (
    Stage.disinfection,
    Stage.drying,
    Stage.inspection,
    Stage.maintenance,
)
_PACKAGING, _STERILIZATION, _STORAGE = Stage.packaging, Stage.sterilization, Stage.storage

#: Where an action can belong, most likely first; an action that is not here can belong anywhere.
ACTION_STAGES: dict[Action, tuple[Stage, ...]] = {
    Action.wipe: (_CLEANING, _POINT, _DRYING, _DISINFECTION, _INSPECTION, _PREPARATION),
    Action.rinse: (_CLEANING, _POINT, _DISINFECTION, _PREPARATION),
    Action.flush: (_CLEANING, _POINT, _DISINFECTION, _PREPARATION),
    Action.soak: (_CLEANING, _POINT, _DISINFECTION, _PREPARATION, _TRANSPORT, _STERILIZATION),
    Action.brush: (_CLEANING, _POINT, _PREPARATION),
    Action.sonicate: (_CLEANING,),
    Action.fill: (_CLEANING, _DISINFECTION, _POINT, _PREPARATION, _INSPECTION, _STORAGE),
    Action.prepare_solution: (_PREPARATION, _CLEANING, _DISINFECTION, _POINT),
    Action.discard_solution: (_CLEANING, _PREPARATION, _DISINFECTION),
    Action.keep_moist: (_POINT, _TRANSPORT),
    Action.transport: (_TRANSPORT, _STORAGE),
    Action.start_cleaning: (_TRANSPORT,),
    Action.pre_rinse: (_CLEANING, _POINT),
    Action.wash: (_CLEANING, _POINT),
    Action.disinfect: (_DISINFECTION,),
    Action.dry: (_DRYING, _STERILIZATION),
    Action.blow: (_DRYING, _CLEANING),
    Action.lubricate: (_MAINTENANCE,),
    Action.pack: (_PACKAGING, _TRANSPORT, _POINT),
    Action.weigh: (_PACKAGING,),
    Action.sterilize: (_STERILIZATION,),
    Action.cool: (_STERILIZATION, _STORAGE, _DISINFECTION, _DRYING),
    Action.release_check: (_STERILIZATION, _STORAGE, _PACKAGING),
    Action.store: (_STORAGE,),
    Action.count_use: (_MAINTENANCE, _STORAGE, _INSPECTION),
    Action.retire: (_MAINTENANCE, _STORAGE, _INSPECTION),
    Action.send_for_repair: (_MAINTENANCE, _INSPECTION, _STORAGE),
}

#: These go where they belong, whatever the heading says.
STRONG = {
    Action.soak,
    Action.sonicate,
    Action.transport,
    Action.start_cleaning,
    Action.disinfect,
    Action.dry,
    Action.lubricate,
    Action.pack,
    Action.weigh,
    Action.sterilize,
    Action.store,
    Action.count_use,
    Action.retire,
    Action.send_for_repair,
}

#: Where actions that can belong anywhere belong when no heading says so.
UNGUIDED: dict[Action, Stage] = {
    Action.take_apart: _PREPARATION,
    Action.discard_part: _PREPARATION,
    Action.connect: _CLEANING,
    Action.load: _CLEANING,
    Action.inspect: _INSPECTION,
    Action.test: _INSPECTION,
    Action.replace_part: _MAINTENANCE,
    Action.put_together: _INSPECTION,
}

#: What goes on with the work of the words before it in the same item: "Oil the joint. Wipe the excess away."
CARRIED_ON = {Action.wipe, Action.set_position, Action.actuate, Action.other, Action.keep_moist, Action.load}
CARRIED_ON |= {Action.discard_part}

#: Of a heading that names nothing but stages; no sentence is read again to find that out.
_LONGEST_NAME = 90
#: "Cleaning (mandatory)": what stands behind in parentheses says how.
_BEHIND = re.compile(r"\s*\([^)]*\)$")

#: What a step does when its words name no action but its heading names a stage.
DEFAULT_ACTIONS: dict[Stage, Action] = {
    Stage.cleaning: Action.wash,
    Stage.disinfection: Action.disinfect,
    Stage.drying: Action.dry,
    Stage.inspection: Action.inspect,
    Stage.packaging: Action.pack,
    Stage.sterilization: Action.sterilize,
    Stage.storage: Action.store,
    Stage.transport: Action.transport,
}


def stages_named(text: str, language: str = "en") -> tuple[Stage, ...]:
    """The stages that a heading or stage cell names, in the order of its words.

    >>> [stage.value for stage in stages_named("Inspection, testing and care")]
    ['inspection', 'maintenance']
    """
    reading = read_words(text.lower() if text.isupper() else text, language)
    # 'Intended use' describes: the use in it is no stage.
    covered = [x for x in reading.all("section") if x.last > x.first + 1]
    open_ = [
        x for x in reading.all("stage") if not any(y.first <= x.first and x.last <= y.last for y in covered)
    ]
    # 'Disinfection: manual' is no cleaning: how it is done counts where nothing else is named.
    ways = {(x.first, x.last) for x in reading.all("method")}
    telling = [x for x in open_ if (x.first, x.last) not in ways] or open_
    return tuple(dict.fromkeys(Stage(stage) for lexeme in telling for stage in lexeme.value.split("+")))


def says_only_how(text: str, language: str = "en") -> bool:
    """Whether words only say how something is done: 'By hand', 'Machine'."""
    reading = read_words(text.lower().rstrip(" :"), language)
    way = reading.at(0, "method")
    return way is not None and way.last == len(reading.tokens)


def names_only_a_stage(text: str, language: str) -> bool:
    """'Manual cleaning. Soak …': a heading that runs into its text."""
    if len(text) > _LONGEST_NAME:
        return False
    reading = read_words(_BEHIND.sub("", text).rstrip(".:").lower(), language)
    place, named = 0, None
    while place < len(reading.tokens):
        named = reading.at(place, "stage") or reading.at(place, "section")
        if named is None and reading.tokens[place].norm not in {"and", ",", "/", "&", "of", "the"}:
            return False
        place = named.last if named else place + 1
    return named is not None and not text.rstrip().endswith((";", "!"))


def is_describing(text: str, language: str = "en", *, begun: bool = False) -> bool:
    """Whether sentences under a heading describe rather than ask: 'Warnings', 'Scope'.

    Once the steps have `begun`, 'Remarks' and 'Notes' may ask for more of them.
    """
    kinds = {x.value for x in read_words(text.lower() if text.isupper() else text, language).all("section")}
    return bool(kinds - {"afterthought"} if begun else kinds)


def stages_for(action: Action) -> tuple[Stage, ...]:
    """The stages where an action usually belongs, most likely first; empty if it tells nothing."""
    usual = UNGUIDED.get(action)
    return ACTION_STAGES.get(action) or ((usual,) if usual else ())
