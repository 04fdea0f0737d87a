"""What is wrong with a set: parts, pairs, counts, places, single use; small cases to be checked by hand."""

from __future__ import annotations

from typing import Any

import pytest

from sinkside.findings import Finding, Level
from sinkside.instruction import PartUse
from sinkside.limits import profile
from sinkside.sets import check_set, contents_of, read_set
from support.set_house import a_device, a_part

PUNCH = a_device(
    "punch",
    a_part("shaft"),
    a_part("spring"),
    a_part("seal", PartUse.discard_after_use),
    a_part("filter", PartUse.new_at_assembly),
    a_part("blade", PartUse.sterile_at_field),
)
HOOK = a_device("hook", mass="40 g")
TEXTS = {"punch": PUNCH, "hook": HOOK}
CONTAINER = {"packaging_mass": "2 kg", "mass": "3 kg"}


def _found(*members: dict[str, Any], **rest: Any) -> list[Finding]:
    document = read_set({"name": "Hand set", "members": list(members), **CONTAINER, **rest})
    return list(check_set(document, TEXTS, profile("eu")))


def _rules(*members: dict[str, Any], **rest: Any) -> list[str]:
    return [finding.rule for finding in _found(*members, **rest)]


def _punch(*parts: str, **more: Any) -> dict[str, Any]:
    return {"instruction": "punch", "parts": [{"part": part} for part in parts], **more}


def test_a_set_that_is_whole_has_nothing_wrong() -> None:
    """Every part that lies in the tray is listed, the new one too, and the count sheet agrees."""
    assert _rules(_punch("shaft", "spring", "filter"), {"instruction": "hook"}, pieces=4) == []


def test_a_part_that_no_text_knows_is_a_stop_with_the_names_that_it_has() -> None:
    """A part under another name is told with the parts that the text names; a text without parts is asked."""
    (found,) = [one for one in _found(_punch("shaft", "spring", "filter", "rod")) if one.level is Level.stop]
    named = "shaft, spring, seal, filter, blade"
    assert found.message == f"rod is no part of punch by its text, which names {named}."
    assert _rules({"instruction": "hook", "parts": [{"part": "rod", "mass": "1 g"}]}) == ["set-parts-untold"]


def test_parts_that_are_left_out_are_told_apart_from_new_ones() -> None:
    """Of a device counted part by part, a missing part and an uncounted new one are two different things."""
    found = _found(_punch("shaft"))
    assert [one.rule for one in found] == ["set-part-left-out", "set-new-part-uncounted"]
    assert found[0].message == "punch is counted part by part, and its spring is not in the set."
    assert _rules({"instruction": "punch", "mass": "90 g"}) == []


@pytest.mark.parametrize("part", ["seal", "blade"])
def test_what_is_never_in_the_tray_is_a_stop_where_it_is_listed(part: str) -> None:
    """Thrown away where it was used, or sterile and opened at the field: neither lies in the tray."""
    assert _rules(_punch("shaft", "spring", "filter", part)) == ["set-single-use-in-tray"]


def test_the_three_kinds_of_single_use_are_told_from_the_text() -> None:
    """A device listed as one piece still tells which single-use parts its text names; none is counted."""
    document = read_set({"name": "Hand set", "members": [{"instruction": "punch", "count": 2}]})
    told = {line.name: (line.use.value, line.count, line.listed) for line in contents_of(document, TEXTS)}
    assert told == {
        "": ("reusable", 2, True),
        "seal": ("discard-after-use", 2, False),
        "filter": ("new-at-assembly", 2, False),
        "blade": ("sterile-at-field", 2, False),
    }
    assert document.counted == 2


def test_what_belongs_together_is_there_one_for_one() -> None:
    """A missing mate stops, an uneven pair is a concern told once, an even one is silent."""
    sheath = {"instruction": "hook", "name": "sheath", "mates": ["rod"]}
    assert _rules(sheath) == ["set-mate-missing"]
    rod = {"instruction": "hook", "name": "rod", "mates": ["sheath"], "count": 2}
    assert _rules(sheath, rod) == ["set-mates-uneven"]
    assert _rules({**sheath, "count": 2}, rod) == []


def test_counts_are_added_up_part_by_part() -> None:
    """2 punches of 1 shaft, 2 springs and 1 filter and 3 hooks are 11 pieces, whatever the sheet says."""
    punch = {
        "instruction": "punch",
        "count": 2,
        "parts": [{"part": "shaft"}, {"part": "spring", "count": 2}, {"part": "filter"}],
    }
    hooks = {"instruction": "hook", "count": 3}
    assert _rules(punch, hooks, pieces=11) == []
    (found,) = _found(punch, hooks, pieces=12)
    assert found.message == "The list comes to 11 pieces; the count sheet says 12."


def test_what_must_not_lie_together_is_found_by_place() -> None:
    """The same place stops, another is fine, and an unsaid one is asked for; who says it does not matter."""

    def pair(here: str | None, there: str | None) -> list[str]:
        return _rules(
            {"instruction": "hook", "lies": here, "apart": [{"of": "second", "why": "Its edge."}]},
            {
                "instruction": "hook",
                "name": "second",
                "lies": there,
                "apart": [{"of": "hook", "why": "Same."}],
            },
        )

    assert pair("left row", "Left  Row") == ["set-lies-together"]
    assert pair("left row", "right row") == []
    assert pair("left row", None) == ["set-places-untold"]


def test_the_place_of_a_part_counts_too() -> None:
    """A part that lies beside what its device must not lie beside is found."""
    found = _found(
        {"instruction": "hook", "lies": "basket", "apart": [{"of": "punch", "why": "Its edge."}]},
        {
            "instruction": "punch",
            "lies": "left row",
            "parts": [{"part": "shaft"}, {"part": "spring", "lies": "basket"}, {"part": "filter"}],
        },
    )
    assert [one.message for one in found] == [
        "hook and punch must not lie together: Its edge. Both lie in: basket."
    ]
