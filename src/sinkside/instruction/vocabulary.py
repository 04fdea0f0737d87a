"""The words that instructions may use: stages, actions, positions, kinds of part and feature."""

from __future__ import annotations

from enum import StrEnum


class Stage(StrEnum):
    """The stages of processing, after the headings of ISO 17664-1, in the order of the work."""

    point_of_use = "point-of-use"
    transport = "transport"
    preparation = "preparation"
    cleaning = "cleaning"
    disinfection = "disinfection"
    drying = "drying"
    inspection = "inspection"
    maintenance = "maintenance"
    packaging = "packaging"
    sterilization = "sterilization"
    storage = "storage"


#: Stages in the order of the work.
STAGES = tuple(Stage)


class Action(StrEnum):
    """What a step asks a person or a machine to do."""

    wipe = "wipe"
    rinse = "rinse"
    flush = "flush"
    soak = "soak"
    brush = "brush"
    actuate = "actuate"
    sonicate = "sonicate"
    fill = "fill"
    prepare_solution = "prepare-solution"
    discard_solution = "discard-solution"
    keep_moist = "keep-moist"
    transport = "transport"
    start_cleaning = "start-cleaning"
    take_apart = "take-apart"
    put_together = "put-together"
    discard_part = "discard-part"
    replace_part = "replace-part"
    set_position = "set-position"
    connect = "connect"
    load = "load"
    pre_rinse = "pre-rinse"
    wash = "wash"
    disinfect = "disinfect"
    dry = "dry"
    blow = "blow"
    inspect = "inspect"
    test = "test"
    lubricate = "lubricate"
    pack = "pack"
    weigh = "weigh"
    sterilize = "sterilize"
    cool = "cool"
    release_check = "release-check"
    store = "store"
    count_use = "count-use"
    retire = "retire"
    send_for_repair = "send-for-repair"
    repeat = "repeat"
    other = "other"


#: Positions that moving features can take; a step's `positions` may use only these.
POSITIONS: dict[str, tuple[str, ...]] = {
    "jaw": ("open", "closed"),
    "ratchet": ("engaged", "released"),
    "sleeve": ("forward", "back"),
    "port": ("open", "capped", "connected"),
    "knob": ("straight", "deflected"),
    "part": ("assembled", "apart"),
}


class PartUse(StrEnum):
    """Whether a part is used again; single use is three different things."""

    reusable = "reusable"
    discard_after_use = "discard-after-use"
    new_at_assembly = "new-at-assembly"
    sterile_at_field = "sterile-at-field"


class FeatureKind(StrEnum):
    """Features of a device that decide how it must be processed."""

    lumen = "lumen"
    joint = "joint"
    ratchet = "ratchet"
    sliding_sleeve = "sliding-sleeve"
    port = "port"
    knob = "knob"
    jaw = "jaw"
    insulation = "insulation"
    cutting_edge = "cutting-edge"
    tip = "tip"
    thread = "thread"
    spring = "spring"
    connector = "connector"
    single_use_part = "single-use-part"


class AirRemoval(StrEnum):
    """How a steam cycle gets the air out; no cycle stands in for another."""

    prevacuum = "prevacuum"
    gravity = "gravity"
    pulse = "pulse"


class FigureRole(StrEnum):
    """The part that a figure plays in its step, where the quantity alone does not tell."""

    total = "total"
    exposure = "exposure"
    drying = "drying"
    pulses = "pulses"
    dose = "dose"
    repeats = "repeats"
    strokes = "strokes"
    actuations = "actuations"
    drops = "drops"
    magnification = "magnification"
    brush_diameter = "brush-diameter"
    brush_length = "brush-length"
    time_since_use = "time-since-use"
    set_mass = "set-mass"
    life = "life"


class StatementKind(StrEnum):
    """What a sentence is that asks for no step."""

    prohibition = "prohibition"
    limit = "limit"
    warning = "warning"
    life = "life"
    contact = "contact"
    note = "note"
