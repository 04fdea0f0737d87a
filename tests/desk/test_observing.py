"""Watching somebody at work: who may, what is kept, who signs, and what follows."""

from __future__ import annotations

from datetime import timedelta

import pytest

from sinkside.desk import observing, observing_kept, observing_list, observing_signing, sign_offs
from sinkside.desk.signing_in import Shown
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere
from sinkside.journal import check
from sinkside.route import Station
from sinkside.teach.borescope import Shows, pictures
from sinkside.teach.observing import Mark
from sinkside.teach.sign_offs import Level, SignOff
from support.desk_house import BADGE_KEY, SITE, House
from support.observed_house import begun, both_signed, learnt, marked, own_observed_house
from support.standing_house import signed_off


@pytest.fixture
def made() -> tuple[House, str]:
    """A house of its own, and the text that is worked by."""
    return own_observed_house()


def _stands(house: House, name: str) -> list[SignOff]:
    with house.archive.unit(writes=False) as unit:
        return list(sign_offs.standings_of(unit, SITE.id, house.people[name]))


def test_what_both_signed_becomes_a_sign_off(made: tuple[House, str]) -> None:
    """Seen done, lesson taken, nine of ten answers right: Tom works alone at the sterilizer for a year."""
    house, instruction = made
    learnt(house, instruction, "tom")
    observation = begun(house, instruction)
    marked(house, observation)
    known, waits = both_signed(house, observation, Level.independent)
    assert (known.state, waits) == ("signed", "")
    (given,) = _stands(house, "tom")
    assert (given.family, given.station, given.level) == ("graspers", Station.sterilizer, Level.independent)
    assert given.until == house.now + timedelta(days=365)
    assert [one.partition(":")[0] for one in given.evidence] == ["lesson", "questions", "observation"]
    assert observation in given.evidence[2]


def test_work_alone_waits_for_what_policy_asks_for(made: tuple[House, str]) -> None:
    """Without lesson and answers the same observation leads to supervised work, and says what is missing."""
    house, instruction = made
    observation = begun(house, instruction)
    marked(house, observation)
    _, waits = both_signed(house, observation, Level.independent)
    assert waits == "Work alone waits for the lesson and 80 % of the questions right."
    assert [one.level for one in _stands(house, "tom")] == [Level.supervised]


def test_a_missed_critical_point_is_supervised_whatever_the_observer_wants(made: tuple[House, str]) -> None:
    """The named cycle was missed: independent is refused, supervised is signed off."""
    house, instruction = made
    learnt(house, instruction, "tom")
    observation = begun(house, instruction)
    marked(house, observation, missed="Steam")
    with pytest.raises(BadInput, match="supervised at most"):
        observing_signing.judge(
            house.archive, house.visitor("eve"), observation, Level.independent, now=house.now
        )
    both_signed(house, observation, Level.supervised)
    assert [one.level for one in _stands(house, "tom")] == [Level.supervised]


def test_who_may_observe_is_policy(made: tuple[House, str]) -> None:
    """Nobody observes themselves; a technician observes only where they work alone; an auditor never."""
    house, instruction = made
    with pytest.raises(NotAllowed, match="themselves"):
        begun(house, instruction, by="ada", of="ada")
    with pytest.raises(NotAllowed, match="works alone"):
        begun(house, instruction, by="nia")
    with pytest.raises(NotAllowed, match="watch people"):
        begun(house, instruction, by="olga")
    signed_off(house, "nia", Station.sterilizer)
    observation = begun(house, instruction, by="nia")
    with pytest.raises(NotAllowed, match="works alone"):
        begun(house, instruction, by="nia", at=Station.bench)
    marked(house, observation, by="nia")
    _, waits = both_signed(house, observation, Level.independent, by="nia")
    assert "Who signs people off" in waits
    assert _stands(house, "tom") == []


def test_nobody_signs_for_the_trainee(made: tuple[House, str]) -> None:
    """Somebody else's badge, a wrong PIN and a second signature are refused; nothing is kept of them."""
    house, instruction = made
    observation = begun(house, instruction)
    marked(house, observation)
    who = house.visitor("eve")
    observing_signing.judge(house.archive, who, observation, Level.supervised, now=house.now)
    for shown, words in (
        (Shown(badge="badge of nia"), "somebody else"),
        (Shown(pin="135792"), "fit together"),
    ):
        with pytest.raises(NotAllowed, match=words):
            observing_signing.countersign(
                house.archive,
                who,
                observation,
                shown,
                badge_key=BADGE_KEY,
                address="10.0.0.1",
                now=house.later(minutes=2),
            )
    assert observing_kept.open_observation(house.archive, who, observation).state == "judged"
    with pytest.raises(Conflict):
        observing_signing.judge(house.archive, who, observation, Level.not_yet, now=house.now)


def test_only_the_observer_writes_and_only_while_it_is_open(made: tuple[House, str]) -> None:
    """Another educator marks nothing; after the observer judged, nobody does."""
    house, instruction = made
    observation = begun(house, instruction)
    point = marked(house, observation).seen[0]

    def mark(by: str) -> None:
        who = house.visitor(by)
        observing.mark(house.archive, who, observation, point.id, seen=Mark.missed, note="", now=house.now)

    with pytest.raises(NotAllowed, match="only who watches"):
        mark("uma")
    observing_signing.judge(house.archive, house.visitor("eve"), observation, Level.supervised, now=house.now)
    with pytest.raises(Conflict, match="closed"):
        mark("eve")


def test_every_mark_is_kept_at_once_and_the_chain_binds_what_was_signed(made: tuple[House, str]) -> None:
    """Each tap is a revision; begun, judged and signed are events that carry the document's digest."""
    house, instruction = made
    observation = begun(house, instruction)
    marked(house, observation)
    with house.archive.unit(writes=False) as unit:
        revisions = unit.documents.revisions(observing_kept.OBSERVATION, observation)
        assert len(revisions) == 1 + len(
            observing_kept.observation_in(unit, house.visitor("eve"), observation).seen
        )
    both_signed(house, observation, Level.supervised)
    with house.archive.unit(writes=False) as unit:
        stored = list(unit.journal.stored(SITE.id))
        last = unit.documents.get(observing_kept.OBSERVATION, observation)
        assert check(iter(stored), head=unit.journal.head(SITE.id)) is None
    assert last is not None
    told = [line for line in stored if f'"subject":"observation:{observation}"'.encode() in line]
    kinds = (b"observation-begun", b"observation-judged", b"observation-signed")
    assert all(kind in line for kind, line in zip(kinds, told, strict=True))
    assert last.digest.encode() in told[-1]
    assert not [line for line in stored if b"Tom" in line]


def test_pictures_are_read_once_and_tell_by_themselves(made: tuple[House, str]) -> None:
    """No mark by hand, no second reading; soil taken for clean makes the point missed, and it is critical."""
    house, instruction = made
    observation, who = begun(house, instruction, at=Station.bench), house.visitor("eve")
    known = observing_kept.open_observation(house.archive, who, observation)
    point = next(one for one in known.seen if one.kind == "pictures")
    with pytest.raises(BadInput, match="by themselves"):
        observing.mark(house.archive, who, observation, point.id, seen=Mark.done, note="", now=house.now)
    drawn = observing.show_pictures(house.archive, who, observation, now=house.now)
    assert observing.show_pictures(house.archive, who, observation, now=house.now) == drawn
    said = {one.id: Shows.clean if one.shows is Shows.soil else one.shows for one in pictures(drawn.seed)}
    with pytest.raises(BadInput, match="every picture"):
        observing.read_pictures(house.archive, who, observation, {"p1": Shows.clean}, now=house.now)
    read = observing.read_pictures(house.archive, who, observation, said, now=house.now)
    seen = read.criterion(point.id)
    assert seen is not None
    assert (seen.mark, bool(seen.critical)) == (Mark.missed, True)
    with pytest.raises(Conflict, match="read already"):
        observing.read_pictures(house.archive, who, observation, said, now=house.now)


def test_a_struck_observation_stays_readable_and_leads_to_nothing(made: tuple[House, str]) -> None:
    """Without a reason nothing is struck; with one it leaves the list and can still be read."""
    house, instruction = made
    observation, who = begun(house, instruction), house.visitor("eve")
    assert [one.id for one in observing_list.find_observations(house.archive, who).to_do] == [observation]
    with pytest.raises(BadInput, match="why"):
        observing_signing.strike(house.archive, who, observation, why=" ", now=house.now)
    observing_signing.strike(house.archive, who, observation, why="Called away.", now=house.now)
    assert observing_list.find_observations(house.archive, who).to_do == ()
    assert observing_kept.open_observation(house.archive, who, observation).struck == "Called away."
    with pytest.raises(Conflict):
        observing_signing.judge(house.archive, who, observation, Level.not_yet, now=house.now)


def test_only_who_watched_who_was_watched_and_who_reads_proof_open_it(made: tuple[House, str]) -> None:
    """Tom reads his own, the auditor reads all; another technician is refused."""
    house, instruction = made
    observation = begun(house, instruction)
    for name in ("eve", "tom", "olga"):
        opened = observing_kept.open_observation(house.archive, house.visitor(name), observation)
        assert opened.trainee == house.people["tom"]
    with pytest.raises(NotAllowed):
        observing_kept.open_observation(house.archive, house.visitor("nia"), observation)
    with pytest.raises(NotThere):
        observing_kept.open_observation(house.archive, house.visitor("olga"), "o-none")
