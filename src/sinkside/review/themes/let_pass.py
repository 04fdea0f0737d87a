"""What a text lets pass, or asks for, that undoes the work: wet packs, hot trays, dried soil, damage."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Stage
from sinkside.review.case import Case
from sinkside.review.lexicon import one_behind_the_other, says
from sinkside.review.practice import OF_PACKS, ON_THE_WAY, Practice, practised
from sinkside.review.rule import Theme, Trip, book, figure, rule

_BEHIND_THE_WASH = OF_PACKS | {Stage.drying, Stage.inspection, Stage.maintenance}
_AT_THE_SINK = frozenset({Stage.cleaning, Stage.disinfection})
_NOT_THERE = ("keeps-off", "negation", "forbidden", "this-text")
#: "To reprocessing" takes nothing back.
_DENIED = ("negation", "forbidden")
_AT_USE = frozenset({Stage.point_of_use})
_NOT_STORED = frozenset(Stage) - {Stage.storage}


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="The device may be packed wet.",
    message="“{words}”: what is packed wet comes out wet, and steam is no longer what it must be.",
    remedy="Ask the maker whether the device must be dry before it is packed.",
    source=book("iso-17664-1"),
)
def packed_wet(case: Case) -> Iterator[Trip]:
    """Words that let drying be left out, or pack what is still wet, behind the wash."""
    yield from practised(
        case,
        Practice(("need-not-dry",), ("special-case",), _BEHIND_THE_WASH),
        Practice(("still-wet", "packs-it"), ("special-case",), _BEHIND_THE_WASH),
    )


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="A pack that is wet after the cycle is accepted.",
    message="“{words}”: a pack that is wet after the cycle is not sterile once it is touched.",
    remedy="Ask the maker for the drying that leaves no moisture; a wet pack is processed again.",
    source=figure("wet-pack-visible-moisture"),
)
def wet_pack_accepted(case: Case) -> Iterator[Trip]:
    """Words that store, release or dry by standing what came wet out of the sterilizer."""
    yield from practised(case, Practice(("damp-pack", "lets-pass"), stages=OF_PACKS))


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="What comes hot out of the sterilizer is used, handed out or touched at once.",
    message="“{words}”: a hot pack draws moisture and germs in, and it burns hands.",
    remedy="Ask the maker how long the device cools before it is touched.",
    source=figure("steam-cooling-minimum"),
)
def not_cooled(case: Case) -> Iterator[Trip]:
    """Words that leave cooling out, behind the sterilizer."""
    yield from practised(
        case,
        Practice(("uncooled",), ("lets-cool", "immediate-use", "burns"), OF_PACKS, ("forbidden", "never")),
    )


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="Hot instruments are cooled with water, ice or cold air.",
    message="“{words}”: sudden cooling wets the pack, makes metal warp and glass or glue crack.",
    remedy="Ask the maker how the device cools; packed devices cool in the air of the room.",
    source=figure("steam-cooling-minimum"),
)
def hot_metal_quenched(case: Case) -> Iterator[Trip]:
    """Words that cool with something cold, behind the sterilizer."""
    yield from practised(case, Practice(("cold-thing", "cools"), ("immediate-use",), OF_PACKS))


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="Something is sterilized that was not cleaned.",
    message="“{words}”: soil shields germs from the steam, so that nothing is sterile.",
    remedy="Ask the maker whether cleaning may ever be left out; until then it is not.",
    source=book("iso-17664-1"),
)
def sterilized_uncleaned(case: Case) -> Iterator[Trip]:
    """Words that leave cleaning out in front of sterilizing."""
    yield from practised(case, Practice(("uncleaned", "sterilizing"), ("repair",)))


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="An indicator is taken for a proof of sterility.",
    message="“{words}” shows that a pack met the cycle, and does not show that it is sterile.",
    remedy="Ask the maker what must be seen before the device is handed out; a person decides by the record.",
    source=book("cdc-2008"),
)
def indicator_taken_for_proof(case: Case) -> Iterator[Trip]:
    """Words that call something sterile because a tape or an indicator changed."""
    yield from practised(
        case, Practice(("indicator-words", "proves", "sterile-words"), ("together-with-record",))
    )


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="A cycle for immediate use is the rule and not the exception.",
    message="“{words}” is meant for emergencies, and nothing of it can be stored.",
    remedy="Ask the maker for the cycle for packed devices.",
    source=book("cdc-2008"),
)
def immediate_use_as_rule(case: Case) -> Iterator[Trip]:
    """Words that make an unwrapped cycle the usual one, or store what comes out of it."""
    yield from practised(case, Practice(("immediate-use", "as-a-rule")))


@rule(
    Theme.packaging_and_sterilization,
    Level.note,
    title="Packs lie on each other, where steam and air do not get between them.",
    message="“{words}”: steam and air do not pass between what lies on each other.",
    remedy="Ask the maker how packs lie in the chamber.",
)
def packs_piled_up(case: Case) -> Iterator[Trip]:
    """Words that stack trays, or lay things on top of the device, anywhere but on the shelf."""
    yield from practised(case, Practice(("on-top",), stages=_NOT_STORED))


@rule(
    Theme.packaging_and_sterilization,
    Level.note,
    title="Pouches lie in each other with film against paper, or folded over.",
    message="“{words}”: steam enters only where paper lies against paper.",
    remedy="Ask the maker how two pouches lie in each other.",
)
def pouches_face_wrong(case: Case) -> Iterator[Trip]:
    """Words that lay film against paper or fold the inner pouch."""
    yield from practised(case, Practice(("film-against-paper",)))


@rule(
    Theme.storage,
    Level.concern,
    title="A torn or outdated pack is used.",
    message="“{words}”: a pack that is torn or out of its date is processed again.",
    remedy="Ask the maker what ends the shelf life of a pack.",
    source=book("cdc-2008"),
)
def damaged_pack_accepted(case: Case) -> Iterator[Trip]:
    """Words that tape a torn pack, or use one behind its date."""
    yield from practised(
        case,
        Practice(("torn-pack", "tapes")),
        Practice(("past-date", "lets-pass")),
    )


@rule(
    Theme.storage,
    Level.concern,
    title="Packs are stored where they get wet, dirty or old.",
    message="“{words}” is no place for sterile packs.",
    remedy="Ask the maker for the conditions of storage.",
    source=book("cdc-2008"),
)
def harmful_store(case: Case) -> Iterator[Trip]:
    """Places of storing that are damp, dirty or in the sun, unless the words keep off them."""
    told: set[str] = set()
    where = frozenset({Stage.storage})
    for trip in practised(case, Practice(("bad-place", "storing"), ("keeps-off",), where, ())):
        told.add(trip.place.text)
        yield trip
    for passage in case.sentences:
        keeps = says(passage.text, "keeping-packs")
        if passage.text in told or not (keeps or case.stage_of(passage) is Stage.storage):
            continue
        near = one_behind_the_other(passage.text, "near-words", "wet-place")
        if near and not any(says(passage.text, sense) for sense in _NOT_THERE):
            yield Trip(passage.place, {"words": min(near)})


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="Damage that ends the life of a device is called harmless.",
    message="“{words}” ends the use of a device, and is said to do no harm here.",
    remedy="Ask the maker which damage ends the use of the device.",
    source=book("iso-17664-1"),
)
def damage_called_harmless(case: Case) -> Iterator[Trip]:
    """Words that let cracks, rust and breaks pass."""
    yield from practised(case, Practice(("damage-words", "lets-damage"), ("pack-words", "until-damaged")))


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="Damage is mended at the bench.",
    message="“{words}” is work for the maker's workshop: what is mended at the bench was never tested.",
    remedy="Ask the maker who may repair the device, and how.",
)
def mended_at_the_bench(case: Case) -> Iterator[Trip]:
    """Words that straighten, glue, tape or grind what is bent, cracked or blunt."""
    yield from practised(case, Practice(("mends", "damage-words"), ("pack-words", "send-in")))


@rule(
    Theme.point_of_use_and_transport,
    Level.concern,
    title="Soil is made to dry on the device.",
    message="“{words}”: soil that has dried is many times harder to remove.",
    remedy="Ask the maker how soil is kept moist until cleaning.",
    source=book("aki-maintenance"),
)
def soil_made_to_dry(case: Case) -> Iterator[Trip]:
    """Words that dry the device between use and cleaning."""
    yield from practised(
        case,
        Practice(("makes-dry",), ("soil-off",), ON_THE_WAY),
        Practice(("dries-first",), (), ON_THE_WAY | {Stage.preparation}, denied_by=("forbidden",)),
    )


@rule(
    Theme.point_of_use_and_transport,
    Level.concern,
    title="The used device is carried open.",
    message="“{words}” neither keeps people from soil nor the device from harm.",
    remedy="Ask the maker in what the used device is carried.",
    source=book("iso-17664-1"),
)
def carried_open(case: Case) -> Iterator[Trip]:
    """Words of an open tray on the way to the department; those of hands are a doubt."""
    practices = (
        Practice(("open-transport",), ("in-closed-thing",), frozenset({Stage.transport}), _DENIED),
        Practice(("open-transport", "moves-on"), ("in-closed-thing",), _AT_USE, _DENIED),
    )
    for trip in practised(case, *practices):
        yield dataclasses.replace(trip, doubtful=not says(trip.place.text or "", "surely-open"))


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="Cleaner is left on the device.",
    message="“{words}”: residues of cleaner harm patient and metal, and keep steam off.",
    remedy="Ask the maker how the cleaner is rinsed off.",
    source=book("iso-17664-1"),
)
def cleaner_left_on(case: Case) -> Iterator[Trip]:
    """Words that leave the rinse behind the cleaner out."""
    yield from practised(case, Practice(("not-rinsed", "detergent"), ("foam-words",), _AT_THE_SINK))


RULES = (
    packed_wet,
    wet_pack_accepted,
    not_cooled,
    hot_metal_quenched,
    sterilized_uncleaned,
    indicator_taken_for_proof,
    immediate_use_as_rule,
    packs_piled_up,
    pouches_face_wrong,
    damaged_pack_accepted,
    harmful_store,
    damage_called_harmless,
    mended_at_the_bench,
    soil_made_to_dry,
    carried_open,
    cleaner_left_on,
)
