"""To which stage a step belongs: what its heading or row says, and where its action can belong at all."""

from __future__ import annotations

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
    Action.soak: (_CLEANING, _POINT, _DISINFECTION, _PREPARATION),
    Action.brush: (_CLEANING, _POINT, _PREPARATION),
    Action.sonicate: (_CLEANING,),
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
    Action.send_for_repair: (_MAINTENANCE,),
}

#: These go where they belong, whatever the heading says.
_STRONG = {
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
_UNGUIDED: dict[Action, Stage] = {
    Action.take_apart: _PREPARATION,
    Action.discard_part: _PREPARATION,
    Action.connect: _CLEANING,
    Action.load: _CLEANING,
    Action.inspect: _INSPECTION,
    Action.test: _INSPECTION,
    Action.replace_part: _MAINTENANCE,
    Action.put_together: _INSPECTION,
}

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
    return tuple(dict.fromkeys(Stage(lexeme.value) for lexeme in reading.all("stage")))


def is_describing(text: str, language: str = "en") -> bool:
    """Whether sentences under a heading describe rather than ask: 'Warnings', 'Scope'."""
    return read_words(text.lower() if text.isupper() else text, language).has("section")


def stage_of(action: Action, named: tuple[Stage, ...], before: Stage | None) -> Stage:
    """The stage of a step: by its heading where the action can belong there, else by the action."""
    allowed = ACTION_STAGES.get(action)
    if allowed is None:
        return named[0] if named else _UNGUIDED.get(action) or before or Stage.cleaning
    for stage in named:
        if stage in allowed:
            return stage
    if named and action not in _STRONG:
        return named[0]
    if not named and before in allowed:
        return before or allowed[0]
    return allowed[0]
