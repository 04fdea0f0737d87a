"""Two revisions of a set side by side, and a set parted into several."""

from __future__ import annotations

from typing import Any

import pytest

from sinkside.errors import BadInput
from sinkside.sets import SetDocument, compare_sets, part_set, read_set

HOOK: dict[str, Any] = {"instruction": "i-1", "name": "hook", "mass": "40 g"}
PUNCH: dict[str, Any] = {"instruction": "punch", "parts": [{"part": "spring", "count": 2}]}
ROD: dict[str, Any] = {"instruction": "rod", "mates": ["punch"], "apart": [{"of": "hook", "why": "Edge"}]}


def _set(*members: dict[str, Any], **rest: Any) -> SetDocument:
    return read_set({"name": "Hand set", "members": list(members), **rest})


def _told(before: SetDocument | None, after: SetDocument) -> list[str]:
    return [one.sentence for one in compare_sets(before, after, names={"i-1": "Quarl 3 hook"})]


def test_changes_are_told_device_by_device() -> None:
    """What of a device, a part and the set changed, each in one line; new and gone ones with figures."""
    assert _told(_set(HOOK), _set({**HOOK, "count": 2, "lies": "left row"})) == [
        "hook: count 1 → 2",
        "hook: place not said → left row",
    ]
    more = {**PUNCH, "parts": [{"part": "spring", "count": 3}]}
    assert _told(_set(PUNCH), _set(more)) == ["punch: spring, count 2 → 3"]
    assert _told(_set(HOOK, PUNCH), _set(HOOK, ROD)) == [
        "removed: punch (instruction punch, count 1, spring, count 2)",
        "added: rod (instruction rod, count 1, belongs with punch, kept from hook Edge)",
    ]
    assert _told(_set(HOOK), _set(HOOK, mass="3.4 kg")) == ["mass of the packed set not said → 3.4 kg"]


def test_what_is_the_same_is_not_told() -> None:
    """A mass in another unit, and a device known by its id or by its name, are no change."""
    assert _told(_set(HOOK), _set({**HOOK, "mass": "0.04 kg", "instruction": "Quarl 3 hook"})) == []


def test_another_order_is_told() -> None:
    """The same devices in another order are one line."""
    assert _told(_set(HOOK, PUNCH), _set(PUNCH, HOOK)) == ["the order of the list changed"]


def test_parts_of_a_set_keep_what_is_said_of_their_devices() -> None:
    """A pair that was parted stays said; what must not lie together is said only where both are left."""
    first, second = part_set(_set(HOOK, PUNCH, ROD, mass="3 kg", pieces=9), [["hook", "punch"], ["rod"]])
    assert [one.called for one in first.members] == ["hook", "punch"]
    assert (second.members[0].mates, second.members[0].apart) == (("punch",), ())
    assert (first.mass, second.pieces) == (None, None)


@pytest.mark.parametrize(
    "groups", [[["hook"], []], [["hook"], ["hook", "punch"]], [["hook", "punch"]], [["hook", "punch"], []]]
)
def test_every_member_goes_into_one_part(groups: list[list[str]]) -> None:
    """A member left out or put into two parts, and a single part, are refused."""
    with pytest.raises(BadInput):
        part_set(_set(HOOK, PUNCH), groups)
