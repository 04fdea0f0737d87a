"""What one place of a text lets happen against another, or the trade: wetting, waiting, sending back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from sinkside.findings import Level
from sinkside.instruction import PartUse, Stage
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import clauses, found, negated, says, sentences, subjects
from sinkside.review.practice import ON_THE_WAY, Practice, practised
from sinkside.review.rule import Theme, Trip, book, rule

#: Words of things that are wetted in every text and forbid nothing by being named.
_EVERYTHING: Final = frozenset(
    {"device", "instrument", "instruments", "solution", "water", "liquid", "part", "parts"}
)
_UNTIL: Final = re.compile(r"\buntil\b", re.IGNORECASE)
_PART: Final = re.compile(r"\b(?:[Tt]he\s+)?([a-z][a-z-]+(?:\s[A-Z]\b)?)\s+(?:is|are)\b")


@rule(
    Theme.contradictions,
    Level.concern,
    title="Something that must stay dry is laid into a liquid.",
    message="The text says that the {part} must not be wetted, and asks here for “{words}”.",
    remedy="Ask the maker whether the {part} may be wetted; until then it stays dry.",
)
def wetted_against_own_words(case: Case) -> Iterator[Trip]:
    """What the text keeps dry by name, against the words that lay it into a liquid by name."""
    for ban in case.sentences:
        # "Until the cloth under the arm stays dry" keeps nothing out of water.
        kept_dry = [one for one in clauses(ban.text) if says(one, "keeps-dry") and not _UNTIL.search(one)]
        for part in {word for clause in kept_dry for word in subjects(clause, "keeps-dry")} - _EVERYTHING:
            for passage in case.sentences:
                said = _wets(passage, part, ban)
                if said:
                    yield Trip(passage.place, {"part": part, "words": said}, (ban.place,))


def _wets(passage: Passage, part: str, ban: Passage) -> str | None:
    """The words of a passage that wet a part by name, if nothing in them denies it."""
    if passage.text == ban.text or says(passage.text, "forbidden"):
        return None
    for sentence in sentences(passage.text):
        if part in subjects(sentence) and says(sentence, "wets") and not negated(sentence, "wets"):
            return min(found(sentence, "wets"))
    return None


@rule(
    Theme.order,
    Level.concern,
    title="Insulation is tested while it is wet.",
    message="“{words}”: a wet surface carries the test current and hides or invents a fault.",
    remedy="Ask the maker whether the insulation is dry when it is tested.",
)
def insulation_tested_wet(case: Case) -> Iterator[Trip]:
    """Words that test insulation before it is dry."""
    yield from practised(case, Practice(("before-dry", "insulation-test"), ("dried-first",)))


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="The life of the device ends by nothing that can be checked.",
    message="“{words}” ends no life that anybody could check.",
    remedy="Ask the maker by what sign or after how many cycles the device is taken out of use.",
    source=book("iso-17664-1"),
)
def life_without_a_sign(case: Case) -> Iterator[Trip]:
    """Words of a life that ends by nobody's count and by no sign."""
    yield from practised(case, Practice(("no-end-of-life",), ("life-end-told",), denied_by=()))


@rule(
    Theme.vagueness,
    Level.note,
    title="An inspection passes by a look and by no criterion.",
    message="“{words}” is no criterion that two people would use alike.",
    remedy="Ask the maker what must be seen, and what must not.",
    source=book("iso-17664-1"),
)
def passes_by_a_look(case: Case) -> Iterator[Trip]:
    """Words that let the device pass because it looks well."""
    yield from practised(case, Practice(("looks-alright",), denied_by=()))


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="A used device is sent to the workshop as it is.",
    message="“{words}”: whoever opens the parcel is exposed to what the patient had.",
    remedy="Decontaminate the device before it is sent, with a note that says so; else ask the maker.",
    source=book("iso-17664-1"),
)
def sent_back_uncleaned(case: Case) -> Iterator[Trip]:
    """Words that send the device back as it comes from the patient."""
    yield from practised(
        case,
        Practice(("as-it-comes", "sends-back"), ("decontaminated-first",), denied_by=()),
        Practice(("decontamination-denied", "sends-back"), denied_by=()),
    )


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="Openings that steam and air need are closed.",
    message="“{words}”: where the openings of a container are closed, steam does not get in and air not out.",
    remedy="Ask the maker of the container; its openings stay free.",
    source=book("iso-17664-1"),
)
def steam_openings_closed(case: Case) -> Iterator[Trip]:
    """Words that tape or cover vents, filters and perforations of a container."""
    yield from practised(case, Practice(("stops-up", "steam-openings")))


@rule(
    Theme.point_of_use_and_transport,
    Level.concern,
    title="Soil may wait until it has dried.",
    message="“{words}”: soil that has waited so long has dried, and cleaning no longer reaches it.",
    remedy="Ask the maker within which time cleaning begins, and how soil is kept moist until then.",
    source=book("aki-maintenance"),
)
def soil_may_wait(case: Case) -> Iterator[Trip]:
    """Words that let the used device lie over night or longer."""
    yield from practised(
        case,
        Practice(("over-night", "no-problem"), ("stays-moist", "storing"), ON_THE_WAY | {Stage.cleaning}),
    )


@rule(
    Theme.parts,
    Level.concern,
    title="A part for one patient is used for the next.",
    message="The {part} is for one patient only, and “{words}” uses it for another.",
    remedy="Discard the part after each patient; ask the maker which of the two was meant.",
    source=book("iso-17664-1"),
)
def one_patient_part_for_the_next(case: Case) -> Iterator[Trip]:
    """Parts that the text gives to one patient, against words that use them again."""
    for part, place in _of_one_patient(case):
        for passage in case.sentences:
            if passage.place == place.place:
                continue
            for sentence in sentences(passage.text):
                named = re.search(
                    rf"(?<!\w){re.escape(part.removesuffix('s'))}s?(?!\w)", sentence, re.IGNORECASE
                )
                replaced = any(says(sentence, sense) for sense in ("new-part", "single-use", "forbidden"))
                if named and says(sentence, "next-patient") and not replaced:
                    said = min(found(sentence, "next-patient"))
                    if not negated(sentence, "next-patient"):
                        yield Trip(passage.place, {"part": part, "words": said}, (place.place,))


def _of_one_patient(case: Case) -> Iterator[tuple[str, Passage]]:
    """The parts of one patient by name, with the words that say so."""
    once = {
        part.name.casefold()
        for part in case.instruction.device.parts
        if part.use is not PartUse.reusable and part.name
    }
    for passage in case.sentences:
        for sentence in sentences(passage.text):
            if not (says(sentence, "single-use-strict") or says(sentence, "one-patient")):
                continue
            named = _PART.search(sentence)
            names = {name for name in once if name in sentence.casefold()}
            if named and named[1].split()[0] not in _EVERYTHING:
                names.add(named[1])
            yield from ((name, passage) for name in sorted(names))


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="A seal is oiled with what swells its rubber.",
    message="“{words}” swells the rubber that the seal is made of ({rubber}).",
    remedy="Ask the maker for a lubricant that suits the seal.",
    source=book("aki-maintenance"),
)
def oil_swells_the_seal(case: Case) -> Iterator[Trip]:
    """Mineral oils on seals, where the text names a rubber that they swell."""
    rubbers = [
        (p, min(found(p.text, "swelling-rubber"))) for p in case.sentences if says(p.text, "swelling-rubber")
    ]
    if not rubbers:
        return
    for passage in case.sentences:
        oiled = [s for s in sentences(passage.text) if says(s, "mineral-oil") and says(s, "seals")]
        for sentence in oiled:
            if not negated(sentence, "mineral-oil") and not says(sentence, "forbidden"):
                evidence = {"words": min(found(sentence, "mineral-oil")), "rubber": rubbers[0][1]}
                yield Trip(passage.place, evidence, (rubbers[0][0].place,))


RULES = (
    wetted_against_own_words,
    insulation_tested_wet,
    life_without_a_sign,
    passes_by_a_look,
    sent_back_uncleaned,
    steam_openings_closed,
    soil_may_wait,
    one_patient_part_for_the_next,
    oil_swells_the_seal,
)
