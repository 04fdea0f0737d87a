"""Sets in the house: kept as revisions, routed, split, and looked at again when a text changed."""

from __future__ import annotations

import pytest

from sinkside.desk import departments, record_book, sets, today
from sinkside.desk.set_answers import answer_of, parts_of
from sinkside.desk.set_texts import substitutes_of, texts_of
from sinkside.desk.set_touched import sets_with
from sinkside.desk.shelf import instruction_row
from sinkside.errors import BadDocument, BadInput, Conflict, NotAllowed, NotThere
from sinkside.records import Wanted
from sinkside.sets import SetDocument, read_set
from support.desk_house import House, drafted
from support.routing import a_department, a_program, a_sterilizer
from support.set_house import a_device, approved

SITE = a_department(
    a_sterilizer(a_program("134 °C", "5 min", "25 min"), a_program("132 °C", "4 min", "30 min")),
    packaging=[{"id": "box", "name": "box", "kind": "container", "mass": "10 kg"}],
)
HOOK = a_device("Quarl 3 hook", mass="40 g")
PUNCH = a_device("Quarl 5 punch", mass="200 g")
OTHER = a_device("Quarl 7 rasp", mass="90 g", celsius=132, minutes=4, drying=30)


@pytest.fixture
def house(house: House) -> House:
    """A house whose lead said what the department has."""
    house.add("lena", "lead")
    departments.keep_department(house.archive, house.visitor("lena"), SITE, now=house.now)
    return house


def _set(*devices: str, name: str = "Hand set") -> SetDocument:
    members = [{"instruction": device} for device in devices]
    return read_set({"name": name, "members": members, "packaging": "box", "packaging_mass": "2 kg"})


def _made(house: House, *devices: str, name: str = "Hand set") -> str:
    return sets.make_set(house.archive, house.visitor("eve"), _set(*devices, name=name), now=house.now)


def _seen(house: House, key: str) -> sets.SeenSet:
    return sets.see_set(house.archive, house.visitor("tom"), key, now=house.now)


def _rules(house: House, key: str) -> list[str]:
    return [finding.rule for finding in _seen(house, key).findings]


def test_a_set_is_kept_revision_by_revision_with_a_name_on_each(house: House) -> None:
    """Who made it, who changed it and why; earlier revisions stay, and two are compared."""
    key = _made(house, "Quarl 3 hook")
    more = _set("Quarl 3 hook", "Quarl 5 punch")
    lena = house.visitor("lena")
    number = sets.change_set(house.archive, lena, key, more, base=1, now=house.later(hours=1), note="New")
    assert number == 2
    found = sets.compare_revisions(house.archive, house.visitor("tom"), key)
    assert [one.sentence for one in found.changes] == [
        "added: Quarl 5 punch (instruction Quarl 5 punch, count 1)"
    ]
    assert (found.after.by, found.after.note) == (house.people["lena"], "New")
    first = sets.open_set(house.archive, lena, key, number=1)
    assert [one.called for one in first.document.members] == ["Quarl 3 hook"]
    assert not first.latest
    told = [one.sentence for one in record_book.read_record(house.archive, lena, Wanted(limit=2)).entries]
    assert told == ["Lena changed the set Hand set in 1 place, revision 2.", "Eve made the set Hand set."]


def test_who_may_not_and_who_was_too_late_change_nothing(house: House) -> None:
    """A technician is refused, and so is an older revision, the same again, and a set of elsewhere."""
    key = _made(house, "Quarl 3 hook")
    more = _set("Quarl 3 hook", "Quarl 5 punch")
    with pytest.raises(NotAllowed, match="make, change and split sets"):
        sets.change_set(house.archive, house.visitor("tom"), key, more, base=1, now=house.now)
    with pytest.raises(BadInput, match="nothing was changed"):
        sets.change_set(house.archive, house.visitor("eve"), key, _set("Quarl 3 hook"), base=1, now=house.now)
    sets.change_set(house.archive, house.visitor("eve"), key, more, base=1, now=house.now)
    with pytest.raises(Conflict, match="revision 2 meanwhile"):
        sets.change_set(house.archive, house.visitor("lena"), key, more, base=1, now=house.now)
    with pytest.raises(NotThere):
        sets.open_set(house.archive, house.visitor("eve"), "s-unknown")
    with pytest.raises(BadDocument):
        sets.make_set(
            house.archive,
            house.visitor("eve"),
            SetDocument.model_validate(
                {"name": "Twice", "members": [{"instruction": "hook"}, {"instruction": "hook"}]}
            ),
            now=house.now,
        )


def test_texts_are_found_by_name_once_they_are_here(house: House) -> None:
    """Without a text the device is a stop; read, it is found by name; approved, nothing is wrong."""
    key = _made(house, "QUARL 3  hook")
    assert _rules(house, key)[0] == "set-text-missing"
    drafted(house, "eve", HOOK)
    assert _rules(house, key)[0] == "set-text-not-approved"
    assert _seen(house, key).answer.loads[0].members == ("QUARL 3  hook",)
    drafted(house, "eve", HOOK)
    assert _rules(house, key)[0] == "set-text-ambiguous"


def test_a_set_of_approved_texts_shares_one_cycle(house: House) -> None:
    """By id or by name, two devices that name one cycle go together, and nothing is wrong."""
    hook = approved(house, HOOK)
    approved(house, PUNCH)
    key = _made(house, hook, "Quarl 5 punch")
    seen = _seen(house, key)
    assert seen.findings == ()
    assert [load.members for load in seen.answer.loads] == [(hook, "Quarl 5 punch")]
    assert seen.answer.mass.kg == pytest.approx(2.24)
    assert seen.names[hook] == "Quarl 3 hook"


def test_a_set_without_common_cycle_is_split_in_one_act(house: House) -> None:
    """134 °C and 132 °C: each part becomes a set of its own that shares a cycle, and the old one is kept."""
    for text in (HOOK, PUNCH, OTHER):
        approved(house, text)
    key = _made(house, "Quarl 3 hook", "Quarl 7 rasp", "Quarl 5 punch")
    assert _rules(house, key) == ["route-no-common-cycle"]
    eve = house.visitor("eve")
    first, second = sets.split_set(house.archive, eve, key, base=1, now=house.later(minutes=1))
    parts = [_seen(house, one) for one in (first, second)]
    assert [[one.called for one in seen.opened.document.members] for seen in parts] == [
        ["Quarl 3 hook", "Quarl 5 punch"],
        ["Quarl 7 rasp"],
    ]
    assert [len(seen.answer.loads) for seen in parts] == [1, 1]
    assert parts[0].opened.history[0].note == "Split from Hand set, revision 1"
    old = sets.open_set(house.archive, eve, key)
    assert (old.row.state, old.row.fields["parts"]) == ("split", f"{first} {second}")
    with pytest.raises(Conflict, match="not in use any longer"):
        sets.split_set(house.archive, eve, key, base=1, now=house.now)
    with pytest.raises(BadInput, match="nothing to split"):
        sets.split_set(house.archive, eve, first, base=1, now=house.now)
    told = record_book.read_record(house.archive, house.visitor("lena"), Wanted(limit=1)).entries
    assert told[0].sentence == "Eve split the set Hand set, revision 1, into 2 sets."


def test_what_no_sterilizer_sees_stays_with_the_first_part(house: House) -> None:
    """A device without a text is in one of the parts all the same."""
    for text in (HOOK, OTHER):
        approved(house, text)
    key = _made(house, "Quarl 3 hook", "Unknown clip", "Quarl 7 rasp")
    with house.archive.unit(writes=False) as unit:
        who = house.visitor("tom")
        opened = sets.set_in(unit, who, key)
        texts = texts_of(unit, who, opened.document)
        substitutes = substitutes_of(unit, who, opened.document)
        answer = answer_of(unit, "north", opened.revision, texts, substitutes)
    assert parts_of(opened.document, answer) == (("Quarl 3 hook", "Unknown clip"), ("Quarl 7 rasp",))


def test_a_substitute_must_leave_the_set_its_cycle(house: House) -> None:
    """What may stand in is told where it has no approved text, and where it would break the common cycle."""
    for text in (HOOK, PUNCH):
        approved(house, text)
    drafted(house, "eve", OTHER)
    document = read_set(
        {
            "name": "Hand set",
            "mass": "3 kg",
            "packaging_mass": "2 kg",
            "members": [
                {
                    "instruction": "Quarl 3 hook",
                    "substitutes": [{"instruction": "Quarl 7 rasp", "allowed_by": "M. Lind"}],
                },
                {"instruction": "Quarl 5 punch"},
            ],
        }
    )
    key = sets.make_set(house.archive, house.visitor("eve"), document, now=house.now)
    assert _rules(house, key) == ["set-substitute-not-approved", "set-substitute-without-cycle"]


def test_a_set_needs_a_look_once_a_text_is_another_one(house: House) -> None:
    """A revision that somebody approves asks for a look, on the page and on Today; a look settles it."""
    hook = approved(house, HOOK)
    key = _made(house, hook)
    eve = house.visitor("eve")
    assert _seen(house, key).changed == ()
    house.later(days=1)
    approved(house, a_device("Quarl 3 hook", mass="40 g", revision="2"), follows=hook)
    (changed,) = _seen(house, key).changed
    assert (changed.row.id, changed.before < changed.after) == (hook, True)
    matters = [one for one in today.today(house.archive, eve, now=house.now) if one.noun == "set"]
    assert [(one.id, one.sentence) for one in matters] == [
        (key, "Hand set: the text changed of Quarl 3 hook; look at the set again.")
    ]
    assert not [
        one for one in today.today(house.archive, house.visitor("tom"), now=house.now) if one.noun == "set"
    ]
    sets.look_at(house.archive, eve, key, base=1, now=house.now)
    assert _seen(house, key).changed == ()
    assert not [one for one in today.today(house.archive, eve, now=house.now) if one.noun == "set"]
    assert sets.open_set(house.archive, eve, key).revision.number == 1


def test_a_text_that_came_after_the_set_asks_for_a_look(house: House) -> None:
    """A set that was made before its device had a text is looked at once that text is approved."""
    key = _made(house, "Quarl 3 hook")
    hook = approved(house, HOOK)
    assert [(one.row.id, one.before) for one in _seen(house, key).changed] == [(hook, 0)]


def test_a_revision_under_work_asks_nobody_to_look(house: House) -> None:
    """A draft that follows the approved text is a note, and the approved one stays in force."""
    hook = approved(house, HOOK)
    key = _made(house, hook)
    drafted(house, "eve", a_device("Quarl 3 hook", mass="40 g", celsius=132, revision="2"), follows=hook)
    assert _seen(house, key).changed == ()
    assert _rules(house, key) == ["set-text-in-work"]
    assert "134 °C" in _seen(house, key).answer.loads[0].program


def test_an_overdue_text_is_a_concern(house: House) -> None:
    """A text that was to be confirmed by a day that has passed is told with the day."""
    hook = approved(house, HOOK)
    key = _made(house, hook)
    house.later(days=400)
    assert _rules(house, key) == ["set-text-outdated"]


def test_the_sets_that_an_approval_touches_are_known(house: House) -> None:
    """By the instruction's id or by the device's name, and none that is out of use."""
    hook = approved(house, HOOK)
    eve = house.visitor("eve")
    keys = [
        _made(house, device, name=name)
        for device, name in ((hook, "First"), ("Quarl 3 hook", "Second"), ("Quarl 5 punch", "Third"))
    ]
    gone = _made(house, hook, name="Fourth")
    sets.take_out_of_use(house.archive, eve, gone, base=1, why="Sold.", now=house.now)
    row = instruction_row(house.archive, eve, hook)
    with house.archive.unit(writes=False) as unit:
        assert {one.id for one in sets_with(unit, eve, row)} == set(keys[:2])
    with pytest.raises(BadInput, match="expected a reason"):
        sets.take_out_of_use(house.archive, eve, keys[0], base=1, why=" ", now=house.now)


def test_without_a_department_or_a_text_there_is_no_route(house: House) -> None:
    """Contents, mass and findings are there all the same."""
    key = _made(house, "Unknown clip")
    seen = _seen(house, key)
    assert seen.answer.route is None
    assert [one.rule for one in seen.findings] == ["set-text-missing", "set-mass-unknown"]
    assert [line.member for line in seen.answer.contents] == ["Unknown clip"]


def test_a_name_belongs_to_one_set_in_use(house: House) -> None:
    """Sent twice it is one set; another of its name is refused, by renaming too, until the first is gone."""
    key = _made(house, "Quarl 3 hook")
    assert _made(house, "Quarl 3 hook") == key
    with pytest.raises(BadInput, match="another set in use here is called"):
        _made(house, "Quarl 5 punch", name="HAND  set")
    eve, other = house.visitor("eve"), _made(house, "Quarl 5 punch", name="Foot set")
    with pytest.raises(BadInput, match="another set in use here is called"):
        sets.change_set(house.archive, eve, other, _set("Quarl 5 punch"), base=1, now=house.now)
    sets.take_out_of_use(house.archive, eve, key, base=1, why="Sold.", now=house.now)
    assert sets.change_set(house.archive, eve, other, _set("Quarl 5 punch"), base=1, now=house.now) == 2
