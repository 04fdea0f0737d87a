"""Proof and roll-outs: who is ready, what shows it, and that it stays when a person is erased."""

from __future__ import annotations

import csv
import io
from collections import Counter
from datetime import timedelta

import pytest

from sinkside.desk import accounts, observing_kept, proof, proof_papers, roll_out_standing, roll_outs
from sinkside.desk.proof_papers import certificate, person_paper
from sinkside.desk.roll_outs import Planned
from sinkside.errors import BadInput, Conflict, NotAllowed, NotForTheFloor, NotThere
from sinkside.journal import check
from sinkside.records import Post
from sinkside.route import Station
from sinkside.teach.sign_offs import Level
from support.desk_house import BADGE_KEY, SITE, House
from support.observed_house import begun, both_signed, learnt, marked, own_observed_house
from support.pdf_words import text_of, without_gaps


@pytest.fixture
def made() -> tuple[House, str]:
    """A house of its own, and the text that is worked by."""
    return own_observed_house()


def _independent(house: House, instruction: str, name: str = "tom") -> str:
    learnt(house, instruction, name)
    observation = begun(house, instruction, of=name)
    marked(house, observation)
    both_signed(house, observation, Level.independent, of=name)
    return observation


def _planned(house: House, instruction: str, **more: object) -> str:
    planned = Planned(
        stations=(Station.sterilizer,),
        shifts=("day", "night"),
        first_use=(house.now + timedelta(days=5)).date(),
        **more,  # type: ignore[arg-type]
    )
    return roll_outs.plan(house.archive, house.visitor("eve"), instruction, planned, now=house.now)


def test_a_roll_out_says_who_is_ready_and_what_the_others_lack(made: tuple[House, str]) -> None:
    """Tom has it all; Nia has not answered; Kit has nothing: one of three before first use, by shift."""
    house, instruction = made
    roll_out = _planned(house, instruction)
    _independent(house, instruction)
    learnt(house, instruction, "nia", answered=0)
    known = roll_out_standing.how_it_stands(house.archive, house.visitor("olga"), roll_out, now=house.now)
    assert known.sentence == "1 of 3 before first use"
    assert [(one.shift, one.ready, one.people) for one in known.shifts] == [("day", 1, 1), ("night", 0, 2)]
    assert {one.name: one.lacks for one in known.people} == {
        "Kit": ("the lesson", "questions", "observed: sterilizer"),
        "Nia": ("questions", "observed: sterilizer"),
        "Tom": (),
    }
    assert [one.name for one in known.people] == ["Kit", "Nia", "Tom"]


@pytest.mark.parametrize(("right", "ready"), [(8, 1), (7, 0)])
def test_answers_right_count_by_their_share(made: tuple[House, str], right: int, ready: int) -> None:
    """Eight of ten are enough where 80 of a hundred are asked for, seven are not."""
    house, instruction = made
    roll_out = _planned(house, instruction)
    learnt(house, instruction, "tom", right=right)
    observation = begun(house, instruction)
    marked(house, observation)
    both_signed(house, observation, Level.supervised)
    known = roll_out_standing.how_it_stands(house.archive, house.visitor("eve"), roll_out, now=house.now)
    assert known.ready == ready


def test_a_sign_off_that_ended_or_a_post_that_ended_does_not_count(made: tuple[House, str]) -> None:
    """A year on Tom's sign-off has ended, and Kit, whose post ended, need not be ready any more."""
    house, instruction = made
    roll_out = _planned(house, instruction)
    _independent(house, instruction)
    later = house.now + timedelta(days=366)
    known = roll_out_standing.how_it_stands(house.archive, house.visitor("eve"), roll_out, now=later)
    assert (known.ready, known.must_be) == (0, 2)


def test_how_a_roll_out_stands_takes_no_more_questions_for_more_people(made: tuple[House, str]) -> None:
    """With two hundred more people on the shift the tables are asked as often as with three."""
    house, instruction = made
    roll_out = _planned(house, instruction)

    def asked() -> Counter[str]:
        counts: Counter[str] = Counter()
        with house.archive.unit(writes=False) as unit:
            who = house.visitor("eve")
            known = roll_outs.roll_out_in(unit, who, roll_out)

            class Counting:
                def __getattr__(self, name: str) -> object:
                    counts[name] += 1
                    return getattr(unit, name)

            roll_out_standing.stands_in(Counting(), who, known, now=house.now)  # type: ignore[arg-type]
        return counts

    before = asked()
    with house.archive.unit() as unit:
        for number in range(200):
            unit.roster.put(Post(SITE.id, f"p-{number}", "day"))
    assert asked() == before


def test_a_scanned_badge_takes_the_lesson(made: tuple[House, str]) -> None:
    """Tom's badge: lesson taken; an unknown one is refused; after closing nobody scans."""
    house, instruction = made
    roll_out, who = _planned(house, instruction), house.visitor("eve")

    def scan(badge: str) -> str:
        return roll_outs.attend(
            house.archive, who, roll_out, badge=badge, badge_key=BADGE_KEY, address="10.0.0.1", now=house.now
        )

    assert scan("badge of tom") == house.people["tom"]
    known = roll_out_standing.how_it_stands(house.archive, who, roll_out, now=house.now)
    assert {one.name: one.lesson for one in known.people}["Tom"] == house.now
    with pytest.raises(NotAllowed):
        scan("no badge")
    with pytest.raises(BadInput, match="scan a badge"):
        scan(" ")
    roll_outs.close(house.archive, who, roll_out, why="In use.", now=house.now)
    with pytest.raises(Conflict, match="closed"):
        scan("badge of tom")


def test_a_plan_that_cannot_be_met_is_refused(made: tuple[House, str]) -> None:
    """No station with work, no shift, a day that has passed, no level: each refused with its field."""
    house, instruction = made
    day = (house.now + timedelta(days=5)).date()
    good = Planned((Station.bench,), ("day",), day)
    faults = {
        "stations": Planned((Station.sink,), ("day",), day),
        "shifts": Planned(good.stations, ("dawn",), day),
        "first_use": Planned(good.stations, good.shifts, (house.now - timedelta(days=1)).date()),
        "level": Planned(good.stations, good.shifts, day, level=Level.not_yet),
    }
    for field, planned in faults.items():
        with pytest.raises(BadInput) as told:
            roll_outs.plan(house.archive, house.visitor("eve"), instruction, planned, now=house.now)
        assert told.value.resource == field


def test_a_certificate_says_what_was_seen_and_until_when(made: tuple[House, str]) -> None:
    """It names person, devices, station, observer, the day and the last day, and what was observed."""
    house, instruction = made
    observation = _independent(house, instruction)
    args = (house.people["tom"], "graspers", Station.sterilizer)
    _, data = certificate(house.archive, house.visitor("olga"), *args, now=house.now)
    text = " ".join(text_of(data).split())
    for words in ("Tom may process graspers", "alone, until 2027-03-02", "2026-03-02 by Eve", observation):
        assert words in text, (words, text)
    assert "2 of 2 seen done." in text
    with pytest.raises(NotForTheFloor, match="ended"):
        certificate(house.archive, house.visitor("eve"), *args, now=house.now + timedelta(days=366))
    with pytest.raises(NotThere):
        certificate(house.archive, house.visitor("eve"), args[0], "graspers", Station.bench, now=house.now)


def test_supervised_work_is_certified_as_that_and_no_more(made: tuple[House, str]) -> None:
    """A missed critical point stands on the paper, and the paper does not say that Tom works alone."""
    house, instruction = made
    observation = begun(house, instruction)
    marked(house, observation, missed="Steam")
    both_signed(house, observation, Level.supervised)
    _, data = certificate(
        house.archive,
        house.visitor("eve"),
        house.people["tom"],
        "graspers",
        Station.sterilizer,
        now=house.now,
    )
    text = " ".join(text_of(data).split())
    assert "with somebody beside who works there alone" in text
    assert "1 critical missed" in text


def test_everybody_reads_their_own_record_and_nobody_elses_without_the_right(made: tuple[House, str]) -> None:
    """Tom reads his record and takes it along; Nia is refused; the auditor reads it."""
    house, instruction = made
    _independent(house, instruction)
    tom = house.people["tom"]
    own = proof.proof_of(house.archive, house.visitor("tom"), tom, now=house.now)
    assert proof.proof_of(house.archive, house.visitor("olga"), tom, now=house.now) == own
    assert [(one.right, one.answered) for one in own.learnt] == [(9, 10)]
    with pytest.raises(NotAllowed):
        person_paper(house.archive, house.visitor("nia"), tom, now=house.now)


def test_a_station_without_anybody_is_said_first(made: tuple[House, str]) -> None:
    """Tom covers the sterilizer with graspers until next March; a year on nobody does."""
    house, instruction = made
    _independent(house, instruction)
    who = house.visitor("olga")
    (covered,) = proof.cover_of(house.archive, who, Station.sterilizer, now=house.now)
    assert [(name, shifts) for _, name, shifts, _ in covered.people] == [("Tom", "Day shift")]
    later = house.now + timedelta(days=366)
    (covered,) = proof.cover_of(house.archive, who, Station.sterilizer, now=later)
    assert covered.people == ()


def test_who_is_erased_leaves_evidence_and_no_name(made: tuple[House, str]) -> None:
    """After Tom is erased the chain is whole, his observation opens, and nothing names him any more."""
    house, instruction = made
    roll_out = _planned(house, instruction)
    observation = _independent(house, instruction)
    tom, olga = house.people["tom"], house.visitor("olga")
    accounts.erase_person(house.archive, house.visitor("ilka"), tom, now=house.now)
    known = observing_kept.open_observation(house.archive, olga, observation)
    assert (known.trainee, known.state) == (tom, "signed")
    record = proof.proof_of(house.archive, olga, tom, now=house.now)
    assert (record.name, len(record.sign_offs), len(record.observations)) == (tom, 1, 1)
    _, paper = person_paper(house.archive, olga, tom, now=house.now)
    table = proof.export_proof(house.archive, olga, now=house.now).decode()
    stands = roll_out_standing.how_it_stands(house.archive, olga, roll_out, now=house.now)
    told = [repr(known), repr(record), text_of(paper), table, repr(stands)]
    assert not [text for text in told if "Tom" in text]
    assert tom in table
    assert tom in without_gaps(text_of(paper)).replace("\u200b", "")
    with house.archive.unit(writes=False) as unit:
        assert check(unit.journal.stored(SITE.id), head=unit.journal.head(SITE.id)) is None


def test_the_table_is_plain_and_no_cell_is_a_formula(made: tuple[House, str]) -> None:
    """One line a sign-off under named columns; a name that begins like a formula is quoted (RFC 4180)."""
    house, instruction = made
    _independent(house, instruction)
    with house.archive.unit() as unit:
        person = unit.people.get(house.people["tom"])
        assert person is not None
        unit.people.change(type(person)(**{**vars(person), "name": "=HYPERLINK(1)"}))
    table = proof.export_proof(house.archive, house.visitor("olga"), now=house.now).decode()
    (line,) = csv.DictReader(io.StringIO(table))
    assert (line["name"], line["level"], line["station"]) == ("'=HYPERLINK(1)", "independent", "Sterilizer")
    with pytest.raises(NotAllowed):
        proof.export_proof(house.archive, house.visitor("tom"), now=house.now)
    assert proof_papers.day_of(house.now, "Europe/Vienna") == "2026-03-02"
