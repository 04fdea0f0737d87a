"""Sign-offs: who may give which to whom, how they end and open again, and what is to be done next."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from sinkside.department import WORKED_AT
from sinkside.desk import accounts, cover, roster, sets, sign_off_lists, sign_off_policy, sign_offs
from sinkside.desk.shelf import open_instruction
from sinkside.desk.sign_off_touched import people_touched
from sinkside.desk.sign_offs import Signing
from sinkside.desk.today import today
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.records import Wanted
from sinkside.route import Station
from sinkside.sets import Member, SetDocument
from sinkside.teach.sign_offs import Level, Occasion, SignOff, State
from support.desk_house import SITE, House, drafted, settle
from support.memory_archive import MemoryArchive
from support.standing_house import ALONE, SHOWN, approved, grasper_text, signed_off, standing_house

BENCH, SINK, STERILIZER = Station.bench, Station.sink, Station.sterilizer


@pytest.fixture(scope="module")
def filled() -> House:
    """People on two shifts, and one device family; made once."""
    return standing_house()


@pytest.fixture
def house(filled: House) -> House:
    """The same, for one test to change."""
    assert isinstance(filled.archive, MemoryArchive)
    return House(MemoryArchive(filled.archive.tables), filled.now, dict(filled.people))


def _of(house: House, name: str) -> dict[Station, SignOff]:
    with house.archive.unit(writes=False) as unit:
        known = sign_offs.standings_of(unit, SITE.id, house.people[name])
    return {one.station: one for one in known}


def _give(house: House, by: str, to: str, signing: Signing = ALONE, family: str = "graspers") -> None:
    sign_offs.give(
        house.archive, house.visitor(by), house.people[to], family, [BENCH], signing, now=house.now
    )


def test_a_sign_off_needs_what_its_occasion_asks_for(house: House) -> None:
    """The first one says on hire, asks for lesson, questions and observation, and holds for a year."""
    for kind in SHOWN:
        missing = Signing(Level.independent, {**SHOWN, kind: " "})
        with pytest.raises(BadInput, match=f"on hire: say what shows the {kind}"):
            _give(house, "eve", "tom", missing)
    _give(house, "eve", "tom")
    given = _of(house, "tom")[BENCH]
    assert (given.occasion, given.by) == (Occasion.on_hire, house.people["eve"])
    assert given.until == house.now + timedelta(days=365)
    _give(house, "eve", "tom", Signing(Level.independent, {**SHOWN, "lesson": ""}))
    assert _of(house, "tom")[BENCH].occasion is Occasion.yearly, "each year no lesson is asked for"


def test_nobody_signs_for_their_own_work_and_not_everybody_for_others(house: House) -> None:
    """Neither a lead for herself nor a technician for anybody; unknown people and families are not there."""
    with pytest.raises(NotAllowed, match="their own work"):
        _give(house, "ada", "ada")
    with pytest.raises(NotAllowed):
        _give(house, "tom", "nia")
    with pytest.raises(NotThere):
        _give(house, "eve", "tom", family="hooks")
    house.people["nobody"] = "p-unknown"
    with pytest.raises(NotThere):
        _give(house, "eve", "nobody")


def test_who_leaves_is_signed_off_until_then(house: House) -> None:
    """Agency staff are signed off until their last day here, and never for longer than the policy says."""
    _give(house, "eve", "kit")
    assert _of(house, "kit")[BENCH].until == datetime(2026, 3, 31, 22, tzinfo=UTC), "midnight in Vienna"
    _give(house, "eve", "nia")
    roster.post(
        house.archive,
        house.visitor("ada"),
        house.people["nia"],
        "night",
        last_day=date(2026, 4, 10),
        now=house.now,
    )
    assert _of(house, "nia")[BENCH].until == datetime(2026, 4, 10, 22, tzinfo=UTC), "told later, too"


def test_an_error_opens_a_sign_off_again_and_asks_for_more(house: House) -> None:
    """It carries no work alone until it is given anew, by what is asked for after an error."""
    _give(house, "eve", "tom")
    with pytest.raises(BadInput, match="reason"):
        sign_offs.after_an_error(
            house.archive,
            house.visitor("eve"),
            house.people["tom"],
            "graspers",
            BENCH,
            reason="",
            now=house.now,
        )
    sign_offs.after_an_error(
        house.archive,
        house.visitor("eve"),
        house.people["tom"],
        "graspers",
        BENCH,
        reason="jaw closed in the washer",
        now=house.now,
    )
    assert _of(house, "tom")[BENCH].state(house.now) is State.open_again
    with house.archive.unit(writes=False) as unit:
        assert not sign_offs.may_work_alone(unit, SITE.id, house.people["tom"], "graspers", BENCH, house.now)
    _give(house, "eve", "tom")
    again = _of(house, "tom")[BENCH]
    assert again.occasion is Occasion.after_an_error
    assert again.until == house.now + timedelta(days=180)


def test_what_is_taken_back_says_why(house: House) -> None:
    """Taking a sign-off back needs a reason; who never had one needs none."""
    _give(house, "eve", "tom")
    with pytest.raises(BadInput, match="reason"):
        _give(house, "eve", "tom", Signing(Level.not_yet, {}))
    _give(house, "eve", "tom", Signing(Level.not_yet, {}, why="moved to another building"))
    _give(house, "eve", "nia", Signing(Level.not_yet, {}))
    assert _of(house, "tom")[BENCH].level is _of(house, "nia")[BENCH].level is Level.not_yet


def test_who_works_alone_may_watch_others_by_the_policy(house: House) -> None:
    """An educator may watch, and whoever works alone there; nobody watches themselves."""
    _give(house, "eve", "tom")
    with house.archive.unit(writes=False) as unit:
        seen = {
            (by, of): sign_offs.may_observe(
                unit, house.visitor(by), house.people[of], "graspers", BENCH, house.now
            )
            for by, of in (("eve", "nia"), ("tom", "nia"), ("nia", "kit"), ("tom", "tom"))
        }
    assert list(seen.values()) == [True, True, False, False]


def test_scene_10_the_people_whose_sign_offs_a_longer_drying_touches(house: House) -> None:
    """Drying 15 → 30 min, approved at 16:00: who dries opens again, who sterilizes does not; each decides."""
    instruction = approved(house, grasper_text(15))
    for name in ("tom", "nia"):
        signed_off(house, name, BENCH, STERILIZER)
    signed_off(house, "kit", STERILIZER)
    house.now = datetime(2026, 3, 20, 15, tzinfo=UTC)
    approved(house, grasper_text(30), follows=instruction)
    change = "Grasper: drying time 15 → 30 min"
    for name in ("tom", "nia"):
        known = _of(house, name)
        assert known[BENCH].state(house.now) is State.open_again
        assert (known[BENCH].reopened, known[BENCH].changes) == (house.now, (change,))
        assert known[STERILIZER].state(house.now) is State.holds
    assert _of(house, "kit")[STERILIZER].state(house.now) is State.holds
    told = [one.sentence for one in today(house.archive, house.visitor("eve"), now=house.now)]
    assert [one for one in told if "open again" in one] == [
        f"{name}, sign-off for graspers, bench: open again. {change}." for name in ("Nia", "Tom")
    ]
    own = [one.sentence for one in today(house.archive, house.visitor("tom"), now=house.now)]
    assert [one for one in own if "open again" in one] == [
        f"Your sign-off for graspers, bench: open again. {change}."
    ]
    shown = open_instruction(house.archive, house.visitor("ada"), instruction)
    with house.archive.unit(writes=False) as unit:
        listed = people_touched(unit, house.visitor("ada"), shown)
        events = unit.journal.events(SITE.id, Wanted(kinds=["sign-offs-reopened"]))
    assert [(one.name, one.stations, one.changes) for one in listed.lines] == [
        (name, (BENCH,), (change,)) for name in ("Nia", "Tom")
    ]
    assert events[0].data["people"] == 2
    _give(house, "eve", "tom", Signing(Level.independent, {"lesson": "the difference"}))
    assert _of(house, "tom")[BENCH].occasion is Occasion.changed_step
    with house.archive.unit(writes=False) as unit:
        assert people_touched(unit, house.visitor("ada"), shown).people == 1


def test_before_an_approval_the_people_are_told(house: House) -> None:
    """Whoever is to approve sees whom it would touch; nothing opens before they do."""
    instruction = approved(house, grasper_text(15))
    signed_off(house, "tom", BENCH)
    drafted(house, "uma", grasper_text(30), follows=instruction)
    settle(house, "uma", instruction)
    shown = open_instruction(house.archive, house.visitor("ada"), instruction)
    with house.archive.unit(writes=False) as unit:
        assert [one.name for one in people_touched(unit, house.visitor("ada"), shown).lines] == ["Tom"]
        assert people_touched(unit, house.visitor("tom"), shown).people == 0, "without the right"
    assert _of(house, "tom")[BENCH].state(house.now) is State.holds


def test_what_is_to_be_done_next_comes_in_its_order(house: House) -> None:
    """By kind, neighbours of one person merged; by shift; what ends soon apart from what has ended."""
    signed_off(house, "tom", BENCH, SINK)
    signed_off(house, "kit", BENCH)
    _give(house, "eve", "nia", Signing(Level.supervised, {}))
    house.later(days=20)
    ada = house.visitor("ada")

    def lists(shift: str = "") -> dict[str, list[tuple[str, int]]]:
        seen = sign_off_lists.what_is_to_do(house.archive, ada, now=house.now, shift=shift)
        return {
            one.state.value: [(seen.names[line.person], len(line.stations)) for line in one.lines]
            for one in seen.lists
            if one.lines
        }

    assert lists() == {"supervised": [("Nia", 1)], "ending": [("Kit", 1)]}
    assert lists(shift="day") == {}
    house.later(days=345)
    assert lists() == {"ended": [("Kit", 1), ("Tom", 2)], "supervised": [("Nia", 1)]}
    assert lists(shift="day") == {"ended": [("Tom", 2)]}


def test_pages_of_a_list_join_without_a_gap(house: House) -> None:
    """Page after page gives every line once, and never cuts a person's stations in two."""
    for name in ("tom", "nia", "kit"):
        sign_offs.give(
            house.archive,
            house.visitor("eve"),
            house.people[name],
            "graspers",
            WORKED_AT,
            Signing(Level.supervised, {}),
            now=house.now,
        )
    seen, offset = [], 0
    while True:
        page = sign_off_lists.what_is_to_do(
            house.archive,
            house.visitor("ada"),
            now=house.now,
            state=State.supervised,
            offset=offset,
            limit=1,
        ).lists[0]
        seen += [(line.person, len(line.stations)) for line in page.lines]
        offset = page.next_offset
        if not offset:
            break
    assert sorted(seen) == sorted((house.people[name], len(WORKED_AT)) for name in ("tom", "nia", "kit"))


def test_gaps_are_seen_ahead_shift_by_shift(house: House) -> None:
    """Nobody on a shift is a gap at once, the last one's end is one from then on; the roster changes both."""
    signed_off(house, "tom", BENCH)
    signed_off(house, "kit", BENCH)
    house.later(days=1)

    def gaps() -> list[tuple[str, datetime | None]]:
        seen = cover.families_covered(house.archive, house.visitor("olga"), now=house.now)
        return [(gap.shift, gap.since) for family in seen.families for gap in family.gaps]

    kits_end = datetime(2026, 3, 31, 22, tzinfo=UTC)
    assert gaps() == [("night", kits_end)]
    roster.take_off(house.archive, house.visitor("ada"), house.people["kit"], "night", now=house.now)
    assert gaps() == [("night", None)]
    roster.post(house.archive, house.visitor("ada"), house.people["tom"], "night", now=house.now)
    assert gaps() == []


def test_an_erased_person_leaves_roster_and_lists_and_stays_as_evidence(house: House) -> None:
    """Posts go; standings keep the pseudonym and are in no list; their shift gapes at once."""
    signed_off(house, "tom", BENCH)
    gone = house.people["tom"]
    accounts.erase_person(house.archive, house.visitor("ada"), gone, now=house.now)
    with house.archive.unit(writes=False) as unit:
        kept = unit.standings.of_person(SITE.id, gone)
        assert [(one.person, one.level) for one in kept] == [(gone, "independent")]
        assert unit.roster.of_person(SITE.id, gone) == []
    house.later(days=400)
    seen = sign_off_lists.what_is_to_do(house.archive, house.visitor("ada"), now=house.now)
    assert not [line for one in seen.lists for line in one.lines]


def test_a_department_replaces_what_an_occasion_asks_for_with_a_reason(house: House) -> None:
    """Its own days and observations hold from then on; without a reason nothing does."""

    def replace(reason: str) -> None:
        sign_off_policy.replace_occasion(
            house.archive,
            house.visitor("ada"),
            "on-hire",
            questions=0,
            observations=0,
            days=30,
            reason=reason,
            now=house.now,
        )

    with pytest.raises(BadInput, match="reason"):
        replace("")
    replace("a trial month")
    _give(house, "eve", "tom", Signing(Level.independent, {"lesson": "gone through"}))
    assert _of(house, "tom")[BENCH].until == house.now + timedelta(days=30)


def test_who_on_now_can_do_a_tray(house: House) -> None:
    """By night Nia dries and nobody sterilizes; by day Tom does both; a device without a text is named."""
    instruction = approved(house, grasper_text(15))
    signed_off(house, "tom", BENCH, STERILIZER)
    signed_off(house, "nia", BENCH)
    members = (Member(instruction=instruction, name="grasper"), Member(instruction="unknown hook"))
    key = sets.make_set(
        house.archive, house.visitor("ada"), SetDocument(name="Tray", members=members), now=house.now
    )

    def at(hour: int) -> dict[Station, tuple[tuple[str, ...], tuple[str, ...]]]:
        now = datetime(2026, 3, 3, hour, tzinfo=UTC)
        seen = sign_off_lists.tray_tonight(house.archive, house.visitor("ada"), key, now=now)
        assert seen.unknown == ("unknown hook",)
        return {
            one.station: (tuple(seen.names[person] for person in one.able), one.nobody)
            for one in seen.stations
        }

    assert at(23) == {BENCH: (("Nia",), ()), STERILIZER: ((), ("graspers",))}
    assert at(9) == {BENCH: (("Tom",), ()), STERILIZER: (("Tom",), ())}
