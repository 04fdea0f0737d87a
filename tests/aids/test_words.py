"""Plain words: every action has a short sentence, verb first; figures come from figures alone."""

from __future__ import annotations

import re

import pytest

from sinkside.aids.words import plain_words, position_words
from sinkside.instruction import POSITIONS, Action, AirRemoval, Instruction, Origin, Part, Step
from sinkside.plain import templates
from sinkside.route import Binding, Operation, ResourceKind, Route, Station


def operation(action: Action, **given: object) -> Operation:
    return Operation.model_validate(
        {"letter": "A", "stage": "cleaning", "station": Station.sink, "steps": (), "action": action, **given}
    )


def syllables(word: str) -> int:
    """Vowel groups, a silent final e left out: a common approximation (from memory)."""
    groups = re.findall(r"[aeiouy]+", word.lower())
    silent = word.lower().endswith("e") and not word.lower().endswith("le") and len(groups) > 1
    return max(1, len(groups) - silent)


def reading_grade(sentences: list[str]) -> float:
    """Flesch-Kincaid grade: 0.39 words/sentence + 11.8 syllables/word - 15.59 (read in textstat's source)."""
    found = [re.findall(r"[A-Za-z]+", sentence) for sentence in sentences]
    count = sum(len(sentence) for sentence in found)
    spoken = sum(syllables(word) for sentence in found for word in sentence)
    return 0.39 * count / len(found) + 11.8 * spoken / count - 15.59


def test_reading_grade_of_a_published_sentence() -> None:
    """'Cool dogs wear da sunglasses.' has grade 2.88 (textstat's own test, read)."""
    assert reading_grade(["Cool dogs wear da sunglasses."]) == pytest.approx(2.88, abs=0.01)


@pytest.mark.parametrize("action", [action for action in Action if action is not Action.other])
def test_every_action_has_a_short_sentence(action: Action, forceps: Instruction) -> None:
    """Each action reads as one sentence of at most seven words that starts with a capital."""
    headline = plain_words(operation(action, on=("port",)), forceps).headline
    assert re.match(r"^[A-Z]", headline)
    assert 1 <= len(headline.split()) <= 7
    assert not re.search(r"\d|\{|\}", headline)


def test_sentences_are_easy_to_read(route: Route, forceps: Instruction) -> None:
    """The headlines of a whole route read at or below the sixth grade (the bar of plain-language advice)."""
    headlines = [plain_words(one, forceps).headline for one in route.operations]
    assert reading_grade(headlines) <= 6


def test_no_template_holds_a_figure() -> None:
    """No word of ours carries a digit, so that a figure can only come from the instruction."""
    ours = [*templates.STEAM.values(), *templates.SET.values(), *templates.HELD.values()]
    ours += [template for pair in templates.HEADLINES.values() for template in pair]
    assert not [template for template in ours if re.search(r"\d", template)]


def test_every_position_has_words() -> None:
    """Each position of the vocabulary can be asked for and held in words."""
    for feature, positions in POSITIONS.items():
        for position in positions:
            assert (feature, position) in templates.SET
            assert position_words({feature: position}) == (templates.HELD[feature, position],)


def test_things_are_called_by_their_names(forceps: Instruction) -> None:
    """A port called 'flush port' is flushed, not flush-ported; several things are listed."""
    assert plain_words(operation(Action.flush, on=("port",)), forceps).headline == "Flush the port"
    brush = plain_words(operation(Action.brush, on=("jaw", "hinge")), forceps)
    assert brush.headline == "Brush the jaw and hinge"
    many = plain_words(operation(Action.brush, on=("jaw", "hinge", "ratchet", "knob recess")), forceps)
    assert many.headline == "Brush it"
    assert many.details == ("jaw, hinge, ratchet, knob recess",)


def test_positions_become_the_sentence_where_they_are_the_job(forceps: Instruction) -> None:
    """Setting positions says so verb first; elsewhere positions are held and stand on the second line."""
    held = {"jaw": "open", "ratchet": "released"}
    assert plain_words(operation(Action.set_position, positions=held), forceps).headline == (
        "Open the jaw. Release the ratchet"
    )
    soak = plain_words(operation(Action.soak, positions=held), forceps)
    assert soak.headline == "Soak it, fully under"
    assert soak.details == ("jaw open", "ratchet released")


def test_department_names_what_it_uses(forceps: Instruction) -> None:
    """A bound chemical is named instead of the text's word; unbound, that word stands."""
    bound = Binding(kind=ResourceKind.chemical, id="c1", name="Mildwash N")
    soak = operation(Action.soak, steps=("s5",))
    assert plain_words(soak, forceps).details == ("neutral detergent",)
    assert plain_words(soak.model_copy(update={"bindings": (bound,)}), forceps).details == ("Mildwash N",)


def test_steam_names_its_way_of_removing_air(forceps: Instruction) -> None:
    """The way of air removal is part of the sentence, because no cycle stands in for another."""
    for way, headline in (
        (AirRemoval.prevacuum, "Steam with vacuum"),
        (AirRemoval.gravity, "Steam, gravity"),
        (AirRemoval.pulse, "Steam with pulses"),
    ):
        step = Step(id="x", stage="sterilization", action="sterilize", air_removal=way)
        text = forceps.model_copy(update={"steps": (step,)})
        assert plain_words(operation(Action.sterilize, steps=("x",)), text).headline == headline


def test_thin_structure_falls_back_on_the_maker(forceps: Instruction) -> None:
    """An action outside the vocabulary keeps the maker's words: short ones alone, long ones in full below."""
    short = operation(Action.other, origin=Origin(text="Tilt the tray toward the drain."))
    assert plain_words(short, forceps).headline == "Tilt the tray toward the drain"
    sentence = "Tilt the tray toward the drain and let it stand until no more water runs from the shaft."
    long = plain_words(operation(Action.other, origin=Origin(text=sentence)), forceps)
    assert long.headline == "Tilt the tray toward the drain"
    assert long.details == (f"“{sentence}”",)


def test_until_and_condition_read_as_clauses(forceps: Instruction) -> None:
    """'until' is said once whether the text has it or not, and a bare condition gets its 'if'."""
    for until in ("until clear", "clear.", "and until clear"):
        assert plain_words(operation(Action.flush, until=until), forceps).details == ("until clear",)
    assert plain_words(operation(Action.flush, condition="soil is seen"), forceps).details == (
        "if soil is seen",
    )


def test_cautions_are_whole_sentences(forceps: Instruction) -> None:
    """A caution starts with a capital, ends with a stop, and is said once."""
    said = plain_words(operation(Action.soak, cautions=("never in saline", "Never in saline.")), forceps)
    assert said.cautions == ("Never in saline.",)


def test_all_parts_together_are_the_device(forceps: Instruction) -> None:
    """A device of two parts is taken apart, not both of its parts taken off; one part alone is named."""
    parts = (Part(id="shaft", name="the shaft"), Part(id="grip", name="grip"))
    device = forceps.device.model_copy(update={"parts": parts})
    text = forceps.model_copy(update={"device": device})
    both = operation(Action.take_apart, on=("grip", "shaft"))
    assert plain_words(both, text).headline == "Take it apart"
    assert plain_words(operation(Action.take_apart, on=("shaft",)), text).headline == "Take off the shaft"


def test_machine_rinses_by_itself(forceps: Instruction) -> None:
    """At the washer a rinse is a phase; at the sink it is something to do."""
    assert plain_words(operation(Action.rinse), forceps).headline == "Rinse it"
    assert plain_words(operation(Action.rinse, station=Station.washer), forceps).headline == "Rinse"


def test_makers_words_stand_where_they_say_more(forceps: Instruction) -> None:
    """What to look for, what to repeat and what is turned are said as the maker says them."""
    for action, sentence in (
        (Action.inspect, "The ratchet has to hold on every tooth."),
        (Action.repeat, "If soil is seen, repeat from step (g) with the whole punch."),
        (Action.set_position, "Press the ejector pin to free the cup of bone."),
        (Action.actuate, "Turn the locking screw LK to the left and take it out."),
    ):
        step = Step(id="x", stage="cleaning", action=action, origin=Origin(text=sentence))
        text = forceps.model_copy(update={"steps": (step,)})
        said = plain_words(operation(action, steps=("x",), on=("ratchet",)), text)
        assert said.headline == sentence.removesuffix(".")
        assert said.details == ()


def test_no_thing_is_named_twice(forceps: Instruction) -> None:
    """A screw is not named beside the locking screw, and a jaw that is only held open is not flushed."""
    screws = operation(Action.brush, on=("locking screw", "screw", "jaw"))
    assert plain_words(screws, forceps).headline == "Brush the locking screw and jaw"
    flush = operation(Action.flush, on=("jaw", "port"), positions={"jaw": "open"})
    assert plain_words(flush, forceps).headline == "Flush the port"


def test_condition_that_was_cut_off_is_quoted_whole(forceps: Instruction) -> None:
    """A clause with an open bracket gives way to the maker's sentence."""
    sentence = (
        "Retire the punch after 500 cycles, or earlier if it fails at (s), (t) or (w), whichever is first."
    )
    retire = operation(
        Action.retire, condition="if it fails at (s", origin=Origin(text=sentence), cautions=("x",)
    )
    assert plain_words(retire, forceps).details == (f"“{sentence}”",)
