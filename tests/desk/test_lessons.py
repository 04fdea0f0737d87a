"""Lessons in the house: of the approved revision, learnt in parts, again only what changed; notes kept."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from sinkside.desk import departments, lesson_notes, lessons, record_book, today, translations
from sinkside.desk.lesson_notes import NoteAt
from sinkside.desk.lessons import LessonChoice
from sinkside.desk.uploads import Upload
from sinkside.errors import BadInput, Conflict, NotAllowed, NotForTheFloor, NotThere
from sinkside.plain import LANGUAGES
from sinkside.records import Wanted
from support.desk_house import House, drafted, new_house
from support.paper_house import SITE
from support.set_house import a_device, approved

HOOK = "Quarl 3 hook"


@pytest.fixture
def taught() -> tuple[House, str]:
    """A house with an approved text of a hook that dries 15 minutes."""
    house = new_house()
    for name, role in (("eve", "educator"), ("uma", "educator"), ("lena", "lead"), ("tom", "technician")):
        house.add(name, role)
    house.add("olga", "auditor")
    departments.keep_department(house.archive, house.visitor("lena"), SITE, now=house.now)
    return house, approved(house, a_device(HOOK, drying=15))


def _take(house: House, who: str, key: str, revision: int, *, since: int = 0) -> None:
    shown = lessons.show(house.archive, house.visitor(who), key, LessonChoice(since=since))
    for part in shown.lesson.parts:
        with house.archive.unit() as unit:
            lessons.take(
                unit, house.visitor(who), key, revision, part.id, now=house.later(minutes=4), since=since
            )


def _learnt(house: House, key: str, revision: int) -> set[str]:
    with house.archive.unit(writes=False) as unit:
        known = lessons.learnt_by(unit, "north", key, revision)
    return {name for name, person in house.people.items() if person in known}


def _revised(house: House, key: str, drying: float = 30, revision: str = "2") -> int:
    approved(house, a_device(HOOK, drying=drying, revision=revision), follows=key)
    return lessons.show(house.archive, house.visitor("tom"), key).revision


def test_what_nobody_approved_is_not_taught() -> None:
    """A draft has no lesson: it is refused with what to do."""
    house = new_house()
    house.add("eve", "educator")
    key = drafted(house, "eve", a_device(HOOK))
    with pytest.raises(NotForTheFloor, match="nobody has approved"):
        lessons.show(house.archive, house.visitor("eve"), key)


def test_all_parts_make_a_lesson_learnt(taught: tuple[House, str]) -> None:
    """Whoever went through every part is on the roll, nobody after one of two; the record book tells it."""
    house, key = taught
    shown = lessons.show(house.archive, house.visitor("tom"), key)
    first, *others = shown.lesson.parts
    assert others
    with house.archive.unit() as unit:
        lessons.take(unit, house.visitor("tom"), key, shown.revision, first.id, now=house.now)
        lessons.take(unit, house.visitor("tom"), key, shown.revision, first.id, now=house.later(minutes=1))
    assert _learnt(house, key, shown.revision) == set()
    assert lessons.devices(house.archive, house.visitor("tom"))[0][0].state == "begun"
    _take(house, "tom", key, shown.revision)
    assert _learnt(house, key, shown.revision) == {"tom"}
    assert lessons.devices(house.archive, house.visitor("tom"))[0][0].state == "learnt"
    assert lessons.devices(house.archive, house.visitor("eve"))[0][0].state == "new"
    with house.archive.unit(writes=False) as unit:
        events = unit.journal.events("north", Wanted(kinds=["lesson-part-learnt"]))
    assert len(events) == len(shown.lesson.parts)
    told = record_book.read_record(house.archive, house.visitor("lena"), Wanted(kinds=["lesson-part-learnt"]))
    assert "went through the part" in str(told)


def test_a_changed_figure_asks_for_two_minutes_and_not_for_all(taught: tuple[House, str]) -> None:
    """After a change of the drying time, who knew the text learns that step alone; who did not, all of it."""
    house, key = taught
    before = lessons.show(house.archive, house.visitor("tom"), key).revision
    _take(house, "tom", key, before)
    after = _revised(house, key)
    assert _learnt(house, key, after) == set()
    listed = lessons.devices(house.archive, house.visitor("tom"))[0][0]
    assert (listed.state, listed.known) == ("changed", before)
    told = [
        one for one in today.today(house.archive, house.visitor("tom"), now=house.now) if one.noun == "lesson"
    ]
    assert [(one.id, "changed since you learnt it" in one.sentence) for one in told] == [(key, True)]
    shown = lessons.show(house.archive, house.visitor("tom"), key, LessonChoice(since=before))
    assert shown.known == before
    assert [len(part.steps) for part in shown.lesson.parts] == [1]
    assert "30" in shown.lesson.parts[0].steps[0].plain.figures[-1].text
    assert shown.lesson.parts[0].steps[0].changed == ("sterilization drying 15 → 30 min",)
    assert shown.lesson.minutes <= 2.0
    for who in ("tom", "eve"):
        _take(house, who, key, after, since=before)
    assert _learnt(house, key, after) == {"tom"}
    assert _learnt(house, key, before) == {"tom"}
    assert lessons.devices(house.archive, house.visitor("tom"))[0][0].state == "learnt"
    _take(house, "eve", key, after)
    assert _learnt(house, key, after) == {"tom", "eve"}


def test_an_old_page_learns_nothing(taught: tuple[House, str]) -> None:
    """A part of an earlier revision, one that there is not, and an auditor's hand are refused."""
    house, key = taught
    number = lessons.show(house.archive, house.visitor("tom"), key).revision
    _revised(house, key)
    with house.archive.unit() as unit, pytest.raises(Conflict, match="in force now"):
        lessons.take(unit, house.visitor("tom"), key, number, "bench", now=house.now)
    with house.archive.unit() as unit, pytest.raises(NotThere, match="no part 'roof'"):
        lessons.take(unit, house.visitor("tom"), key, number * 2, "roof", now=house.now)
    with house.archive.unit() as unit, pytest.raises(NotAllowed):
        lessons.take(unit, house.visitor("olga"), key, number, "bench", now=house.now)


def test_there_is_no_lesson_of_changes_where_nothing_changed(taught: tuple[House, str]) -> None:
    """A revision without a changed step asks nobody to learn again, and one unknown is not there."""
    house, key = taught
    number = lessons.show(house.archive, house.visitor("tom"), key).revision
    _revised(house, key, drying=15)
    with pytest.raises(BadInput, match="no step changed"):
        lessons.show(house.archive, house.visitor("tom"), key, LessonChoice(since=number))
    with pytest.raises(NotThere, match="no such earlier revision"):
        lessons.show(house.archive, house.visitor("tom"), key, LessonChoice(since=99))


def test_words_that_nobody_reviewed_are_not_taught(taught: tuple[House, str]) -> None:
    """A lesson in another language is refused like a paper; a proof shows it, and a review opens it."""
    house, key = taught
    tom = house.visitor("tom")
    assert "pl" in LANGUAGES
    shown = lessons.show(house.archive, tom, key, LessonChoice(language="pl"))
    assert "not reviewed in Polish" in shown.refused
    assert not lessons.show(house.archive, tom, key, LessonChoice(language="pl", proof=True)).refused
    digests = [template.digest for template in shown.lesson.templates]
    translations.review_templates(house.archive, house.visitor("eve"), "pl", digests, now=house.now)
    assert not lessons.show(house.archive, tom, key, LessonChoice(language="pl")).refused


def _photo() -> Upload:
    out = io.BytesIO()
    Image.new("RGB", (260, 240), (90, 20, 20)).save(out, format="PNG")
    return Upload("sink 2, Monday.png", "image/png", out.getvalue())


def test_notes_stay_beside_a_step_that_stays(taught: tuple[House, str]) -> None:
    """Words and a photo beside two steps: after a change of one, that one asks to be looked at again."""
    house, key = taught
    eve = house.visitor("eve")
    lesson_notes.put_words(
        house.archive, eve, NoteAt(key, "s1", 0), "Our  air gun hangs left.", now=house.now
    )
    lesson_notes.put_words(house.archive, eve, NoteAt(key, "s2", 1), "Rack 3 only.", now=house.now)
    lesson_notes.put_photo(house.archive, eve, NoteAt(key, "s1", 2), _photo(), now=house.now)
    seen = lesson_notes.seen_notes(house.archive, house.visitor("tom"), key)
    assert {step: one.note.text for step, one in seen.by_step.items()} == {
        "s1": "Our air gun hangs left.",
        "s2": "Rack 3 only.",
    }
    assert not any(one.to_look_at for one in seen.by_step.values())
    digest = seen.by_step["s1"].note.photo
    assert lesson_notes.note_photo(house.archive, house.visitor("tom"), key, digest)[:2] == b"\xff\xd8"
    _revised(house, key)
    seen = lesson_notes.seen_notes(house.archive, house.visitor("tom"), key)
    assert {step: one.to_look_at for step, one in seen.by_step.items()} == {"s1": False, "s2": True}
    lesson_notes.put_words(house.archive, eve, NoteAt(key, "s2", seen.number), "Rack 3 only.", now=house.now)
    seen = lesson_notes.seen_notes(house.archive, house.visitor("tom"), key)
    assert not seen.by_step["s2"].to_look_at
    lesson_notes.take_away(house.archive, eve, NoteAt(key, "s2", seen.number), now=house.now)
    assert set(lesson_notes.seen_notes(house.archive, eve, key).by_step) == {"s1"}


def test_notes_refuse_what_they_cannot_keep(taught: tuple[House, str]) -> None:
    """Nothing, too much, a step that there is not, a stale page and a technician's hand keep no note."""
    house, key = taught
    eve = house.visitor("eve")
    for at, text, error in (
        (NoteAt(key, "s1", 0), "  ", BadInput),
        (NoteAt(key, "s1", 0), "x" * 501, BadInput),
        (NoteAt(key, "s9", 0), "There.", NotThere),
        (NoteAt(key, "s1", 4), "There.", Conflict),
    ):
        with pytest.raises(error):
            lesson_notes.put_words(house.archive, eve, at, text, now=house.now)
    with pytest.raises(NotAllowed):
        lesson_notes.put_words(house.archive, house.visitor("tom"), NoteAt(key, "s1", 0), "X.", now=house.now)
    with pytest.raises(NotThere):
        lesson_notes.take_away(house.archive, eve, NoteAt(key, "s1", 0), now=house.now)
    with pytest.raises(NotThere):
        lesson_notes.note_photo(house.archive, eve, key, "")
