"""Wet packs and soil at assembly: the set goes back; the others of the load are found, held, looked at."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from sinkside.bench.doing import moved_to
from sinkside.bench.investigation import Investigation, Trouble
from sinkside.bench.run import Place
from sinkside.desk.bench import copies, load_trouble
from sinkside.desk.bench.load_trouble import KnownTrouble
from sinkside.desk.bench.runs import copy_of_code, keep_run, run_of
from sinkside.desk.today import today
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere
from support.bench_house import CODES, BenchHouse, bench_house
from support.load_house import (
    STERILIZER,
    at_the_sink,
    copy_now,
    decided,
    load_now,
    packed,
    recorded,
    sterilized,
    to_the_pack,
    washed,
)

MORE = ("SET-4", "SET-5", "SET-6")
FIRST, SECOND, THIRD = CODES


@pytest.fixture(scope="module")
def fresh() -> BenchHouse:
    """A bench with six copies of the set, set up once."""
    made = bench_house()
    for code in MORE:
        copies.add_copy(made.house.archive, made.house.visitor("lena"), made.set, code=code, now=made.now)
    return made


@pytest.fixture
def bench(fresh: BenchHouse) -> BenchHouse:
    """The same, one for each test."""
    return deepcopy(fresh)


def _refused(bench: BenchHouse, name: str, act: str, **fields: Any) -> str:
    answer = bench.tap(name, act, **fields)
    assert answer.outcome == "refused", answer.said
    return answer.said


def _stored(bench: BenchHouse, *codes: str, place: Place = Place.in_store) -> None:
    """As the store leaves packs; the store has tests of its own."""
    bench.later(60)
    with bench.house.archive.unit() as unit:
        for code in codes:
            opened = run_of(unit, copy_of_code(unit, "north", code))
            came_from = (Place.sterilized, Place.in_store)
            run = moved_to(opened.plan, opened.run, place, now=bench.now, came_from=came_from)
            keep_run(unit, opened, run, now=bench.now)


def _open(bench: BenchHouse) -> tuple[KnownTrouble, ...]:
    with bench.house.archive.unit(writes=False) as unit:
        return load_trouble.investigations(unit, bench.house.visitor("lena"))


def _only(bench: BenchHouse) -> Investigation:
    (one,) = _open(bench)
    return one.found


def test_scene_8_soil_at_assembly_finds_the_whole_washer_load(bench: BenchHouse) -> None:
    """Six sets in one washer load; soil in one: it goes back whole, five are found, two of them in store.

    Scene 8 of the mission: the two already stored are held. A seventh, washed before, is not asked after.
    """
    at_the_sink(bench, *CODES, *MORE)
    washed(bench, *CODES, *MORE)
    packed(bench, SECOND, THIRD)
    decided(bench, recorded(bench, sterilized(bench, SECOND, THIRD)))
    _stored(bench, SECOND, THIRD)
    for code in (FIRST, "SET-4"):
        bench.done("tom", "to-clean-side", code=code)
    answer = bench.done("tom", "soil-found", code=FIRST, where="lumen of the second tube")
    assert answer.state == "soiled"
    found = _only(bench)
    assert (found.kind, found.name, found.where) == (
        Trouble.soil,
        "Suction set",
        "lumen of the second tube",
    )
    assert {one.code: one.place for one in found.beside} == {
        SECOND: "in-store",
        THIRD: "in-store",
        "SET-4": "clean-side",
        "SET-5": "in-washer",
        "SET-6": "in-washer",
    }
    assert {copy_now(bench, one.code).state for one in found.beside} == {"held"}
    assert "it is held: soil was found on Suction set (SET-1)" in _refused(
        bench, "tom", "to-clean-side", code="SET-5"
    )


def test_a_set_is_looked_at_again_and_goes_on_or_back(bench: BenchHouse) -> None:
    """Open on the bench it goes on when clean; soiled it goes back; a closed pack nobody can look into."""
    at_the_sink(bench, *CODES)
    washed(bench, *CODES)
    packed(bench, THIRD)
    for code in (FIRST, SECOND):
        bench.done("tom", "to-clean-side", code=code)
    bench.done("tom", "soil-found", code=FIRST, where="lumen")
    assert bench.done("tom", "looked-again", code=SECOND, clean=True).state == "clean-side"
    assert "nobody asked" in _refused(bench, "tom", "looked-again", code=SECOND, clean=True)
    assert "nobody sees whether it is clean" in _refused(bench, "tom", "looked-again", code=THIRD, clean=True)
    assert bench.done("tom", "looked-again", code=THIRD, clean=False).state == "soiled"
    bench.done("tom", "take-up", code=THIRD)


def test_a_set_that_left_the_load_behind_is_not_asked_after(bench: BenchHouse) -> None:
    """What went back to the sink since is washed anew anyway; soil is found only where one can see it."""
    at_the_sink(bench, FIRST, SECOND)
    washed(bench, FIRST, SECOND)
    assert "is not being inspected" in _refused(bench, "tom", "soil-found", code=FIRST, where="lumen")
    bench.done("tom", "to-clean-side", code=FIRST)
    bench.done("tom", "send-back", code=SECOND, reason="dropped on the floor")
    answer = bench.done("tom", "soil-found", code=FIRST, where="lumen")
    assert "Nothing else lay in it that is still under way" in answer.said
    assert copy_now(bench, SECOND).state == "soiled"


def test_a_wet_pack_holds_the_load_whoever_released_it(bench: BenchHouse) -> None:
    """One wet of three, one of them issued: the load is held, one held and one told, both by name and place.

    Any visible moisture counts: ANSI/AAMI ST79, wet packs, second-hand (table `wet-pack-visible-moisture`).
    """
    to_the_pack(bench, *CODES)
    load = sterilized(bench, *CODES)
    decided(bench, recorded(bench, load))
    _stored(bench, *CODES)
    _stored(bench, THIRD, place=Place.issued)
    answer = bench.done("nora", "wet-pack", code=FIRST, where="inside", note="drops under the tray")
    assert load_now(bench, load).state == "held"
    found = _only(bench)
    assert {one.code: one.then for one in found.beside} == {SECOND: "held", THIRD: "told"}
    assert "Wet pack: Suction set (SET-1), inside" in answer.said
    with bench.house.archive.unit(writes=False) as unit:
        ends = [run_of(unit, copy_of_code(unit, "north", code)).run.loads[-1].end for code in CODES]
    assert ends == ["held", "held", "held"]


def test_the_dry_packs_of_a_wet_load_go_on_by_a_persons_word_only(bench: BenchHouse) -> None:
    """The lead lets the dry one go with a reason; the wet one stays and goes back to the sink."""
    to_the_pack(bench, FIRST, SECOND)
    load = sterilized(bench, FIRST, SECOND)
    decided(bench, recorded(bench, load))
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    with pytest.raises(Conflict, match="not held for a wet pack"):
        load_trouble.let_go(archive, lena, load, reason="looked at every pack", now=bench.now)
    bench.done("tom", "wet-pack", code=FIRST, where="outside")
    tom = bench.house.visitor("tom")
    with pytest.raises(NotAllowed):
        load_trouble.let_go(archive, tom, load, reason="looked at every pack", now=bench.now)
    with pytest.raises(BadInput, match="8 to 2000"):
        load_trouble.let_go(archive, lena, load, reason="dry", now=bench.now)
    load_trouble.let_go(archive, lena, load, reason="the others are dry, looked at each", now=bench.now)
    _stored(bench, SECOND)
    with archive.unit(writes=False) as unit:
        assert run_of(unit, copy_of_code(unit, "north", FIRST)).run.loads[-1].end == "held"
    assert bench.done("tom", "send-back", code=FIRST, reason="wet pack").state == "soiled"


def test_a_wet_pack_in_the_store_holds_its_load_too(bench: BenchHouse) -> None:
    """Found wet on the shelf, it goes back, and its load is asked after; Today says so as a stop."""
    to_the_pack(bench, FIRST, SECOND)
    load = sterilized(bench, FIRST, SECOND)
    decided(bench, recorded(bench, load))
    bench.later(60)
    for code in (FIRST, SECOND):
        bench.done("tom", "put-in-store", code=code, place="shelf 1")
    assert bench.done("tom", "pack-mishap", code=FIRST, what="wet").state == "soiled"
    assert load_now(bench, load).state == "held"
    assert "no sterilizer load that somebody released" in _refused(
        bench, "tom", "issue", code=SECOND, case="26-0417", whole=True
    )
    told = today(bench.house.archive, bench.house.visitor("lena"), now=bench.now)
    assert [one.id for one in told if one.noun == "load" and one.level == "stop"] == [load]


def test_a_wet_load_is_released_by_no_later_decision_on_its_record(bench: BenchHouse) -> None:
    """Found wet before anybody decided, a release of the record lets nothing go; the lead lets one go."""
    to_the_pack(bench, FIRST, SECOND)
    load = sterilized(bench, FIRST, SECOND)
    bench.done("tom", "wet-pack", code=FIRST, where="outside")
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    with pytest.raises(Conflict, match="nobody released it on its record"):
        load_trouble.let_go(archive, lena, load, reason="the other one is dry", now=bench.now)
    decided(bench, recorded(bench, load))
    assert load_now(bench, load).state == "held"
    load_trouble.let_go(archive, lena, load, reason="the other one is dry", now=bench.now)
    with archive.unit(writes=False) as unit:
        ends = [run_of(unit, copy_of_code(unit, "north", code)).run.loads[-1].end for code in CODES[:2]]
    assert ends == ["held", "released"]


def test_only_what_was_sterilized_is_a_wet_pack(bench: BenchHouse) -> None:
    """Before a sterilizer's load nothing is asked after; a code that nobody has is refused."""
    at_the_sink(bench, FIRST)
    assert "comes out of no sterilizer" in _refused(bench, "tom", "wet-pack", code=FIRST, where="inside")
    assert "no set here has the code" in _refused(bench, "tom", "wet-pack", code="SET-9", where="inside")
    assert _open(bench) == ()


def test_an_investigation_is_closed_once_and_says_what_it_came_to(bench: BenchHouse) -> None:
    """By whoever decides, in words; then it stands in the list of open ones no longer."""
    to_the_pack(bench, FIRST)
    decided(bench, recorded(bench, sterilized(bench, FIRST)))
    bench.done("tom", "wet-pack", code=FIRST, where="inside")
    (one,) = _open(bench)
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    with pytest.raises(NotThere):
        load_trouble.close_investigation(
            archive, lena, "v-none", words="steam trap was blocked", now=bench.now
        )
    load_trouble.close_investigation(archive, lena, one.id, words="steam trap was blocked", now=bench.now)
    assert _open(bench) == ()
    with pytest.raises(Conflict, match="closed already"):
        load_trouble.close_investigation(archive, lena, one.id, words="steam trap was blocked", now=bench.now)
    with archive.unit(writes=False) as unit:
        assert load_trouble.investigation_in(unit, lena, one.id).found.found == "steam trap was blocked"


def test_a_wet_load_is_not_loaded_again_by_mistake(bench: BenchHouse) -> None:
    """A pack out of a held load is no packed set: the sterilizer refuses it until it went round again."""
    to_the_pack(bench, FIRST)
    decided(bench, recorded(bench, sterilized(bench, FIRST)))
    bench.done("tom", "wet-pack", code=FIRST, where="inside")
    bench.done("tom", "open-load", **STERILIZER, program="134 °C, 3 min")
    said = _refused(bench, "tom", "add-to-load", **STERILIZER, code=FIRST)
    assert "A sterilizer takes what was packed and nothing else." in said
