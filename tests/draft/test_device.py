"""What a document says about the device itself, in texts of our own."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.instruction import FeatureKind, PartUse

TITLES = """Marrowgate Surgical Systems

LAPWING 5 mm BIPOLAR FORCEPS - PROCESSING CHART LW-12 / Issue 4, replaces Issue 3

"""


def test_titles_name_device_maker_and_document() -> None:
    """The front matter gives name, maker, title, revision and what it replaces."""
    device = draft_text(f"{TITLES}Cleaning\n\n1. Rinse it for 2 min.\n").device
    assert device.name == "LAPWING 5 mm BIPOLAR FORCEPS"
    assert device.maker == "Marrowgate Surgical Systems"
    assert (device.document.revision, device.document.replaces) == ("4", "3")
    assert device.document.title.startswith("PROCESSING CHART")


def test_a_name_can_stand_behind_the_title() -> None:
    """'Instructions for …' names the device too, and REF numbers are catalogue numbers."""
    device = draft_text(
        "Instructions for the Teal suction tube, REF 88-120, 88-121\n\nCleaning\n\n1. Rinse it.\n"
    ).device
    assert device.name == "Teal suction tube"
    assert device.catalogue_numbers == ("88-120", "88-121")


def test_lettered_parts_with_materials_and_features() -> None:
    """A list of letters gives parts; a second one their materials; features know their part."""
    device = draft_text(
        TITLES
        + "Parts:  A = handle with ratchet;  B = outer tube, bore 3.1 mm, length 250 mm, with flush port.\n"
        + "Materials: A = PEEK / stainless steel;  B = stainless steel.\n\nCleaning\n\n1. Rinse it.\n"
    ).device
    assert [(part.id, part.materials) for part in device.parts] == [
        ("A", ("PEEK", "stainless steel")),
        ("B", ("stainless steel",)),
    ]
    features = {feature.kind: feature for feature in device.features}
    assert features[FeatureKind.ratchet].part == "A"
    assert features[FeatureKind.port].part == "B"
    lumen = features[FeatureKind.lumen]
    assert (str(lumen.bore), str(lumen.length)) == ("3.1 mm", "250 mm")


@pytest.mark.parametrize(
    ("sentence", "use"),
    [
        ("It has a disposable seal insert.", PartUse.discard_after_use),
        ("Fit a new sealing cap at each assembly.", PartUse.new_at_assembly),
        ("The needle is supplied sterile and opened at the field.", PartUse.sterile_at_field),
    ],
)
def test_single_use_is_three_things(sentence: str, use: PartUse) -> None:
    """Discarded after use, new at assembly, sterile at the field."""
    (part,) = draft_text(f"{TITLES}Description\n\n{sentence}\n").device.parts
    assert part.use is use


@pytest.mark.parametrize(
    ("sentence", "bore", "length"),
    [
        ("The channel is 2.2 mm wide and 300 mm long.", "2.2 mm", "300 mm"),
        ("It is cannulated (Ø 2.2 mm, length 30 cm).", "2.2 mm", "30 cm"),
        ("The lumen is 0.09 in. (2.2 mm) in diameter. Working length 300 mm.", "2.2 mm", "300 mm"),
    ],
)
def test_sizes_of_a_lumen(sentence: str, bore: str, length: str) -> None:
    """Bore and length in prose, in brackets, and behind inches."""
    features = draft_text(f"{TITLES}Description\n\nThe lumen is straight.\n\n{sentence}\n").device.features
    lumen = next(feature for feature in features if feature.kind is FeatureKind.lumen)
    assert (str(lumen.bore), str(lumen.length)) == (bore, length)


def test_a_lumen_that_cannot_be_brushed() -> None:
    """The text says that the lumen is cleaned by flushing only."""
    features = draft_text(f"{TITLES}Description\n\nThe lumen cannot be brushed.\n").device.features
    assert [feature.brushable for feature in features] == [False]
