"""A house in which people are watched at work: an approved text with a channel, badges, and shortcuts."""

from __future__ import annotations

import functools

from sinkside.desk import credentials, lessons, observing, observing_kept, observing_signing
from sinkside.desk.observing_documents import Observation
from sinkside.desk.signing_in import Shown
from sinkside.instruction import Feature, FeatureKind, Origin, Step
from sinkside.records import Answer
from sinkside.route import Station
from sinkside.teach.borescope import pictures
from sinkside.teach.lesson import lesson_of
from sinkside.teach.observing import Mark
from sinkside.teach.sign_offs import Level
from support.desk_house import BADGE_KEY, House
from support.memory_archive import MemoryArchive
from support.standing_house import approved, grasper_text, standing_house


def observed_house() -> tuple[House, str]:
    """The house of sign-offs with badges, and an approved text of a grasper that is looked into."""
    house = standing_house()
    look = Step(
        id="s0",
        stage="inspection",
        action="inspect",
        origin=Origin(page=1, line=8, text="Look into the lumen with a borescope."),
    )
    text = grasper_text(15)
    device = text.device.model_copy(
        update={"features": (Feature(id="bore", kind=FeatureKind.lumen, name="bore"),)}
    )
    first, *others = text.steps
    instruction = approved(house, text.model_copy(update={"device": device, "steps": (first, look, *others)}))
    house.add("ilka", "administrator")
    for name in ("tom", "nia"):
        credentials.set_badge(
            house.archive,
            house.visitor("ilka"),
            house.people[name],
            badge=f"badge of {name}",
            badge_key=BADGE_KEY,
            now=house.now,
        )
    return house, instruction


@functools.cache
def _first() -> tuple[House, str]:
    return observed_house()


def own_observed_house() -> tuple[House, str]:
    """The same made once and copied, for tests that change it."""
    house, instruction = _first()
    archive = house.archive
    assert isinstance(archive, MemoryArchive)
    return House(MemoryArchive(archive.tables), house.now, dict(house.people)), instruction


def begun(
    house: House, instruction: str, *, by: str = "eve", of: str = "tom", at: Station = Station.sterilizer
) -> str:
    """An observation that somebody began."""
    return observing.begin(house.archive, house.visitor(by), instruction, at, house.people[of], now=house.now)


def marked(house: House, observation: str, *, by: str = "eve", missed: str = "") -> Observation:
    """Every point done but the one that begins with some words; pictures are read as they are."""
    who = house.visitor(by)
    for point in observing_kept.open_observation(house.archive, who, observation).seen:
        if point.kind == "pictures":
            drawn = observing.show_pictures(house.archive, who, observation, now=house.now)
            said = {one.id: one.shows for one in pictures(drawn.seed)}
            observing.read_pictures(house.archive, who, observation, said, now=house.now)
            continue
        is_missed = bool(missed) and point.words.startswith(missed)
        seen = Mark.missed if is_missed else Mark.done
        observing.mark(house.archive, who, observation, point.id, seen=seen, note="", now=house.now)
    return observing_kept.open_observation(house.archive, who, observation)


def both_signed(
    house: House, observation: str, level: Level, *, by: str = "eve", of: str = "tom"
) -> tuple[Observation, str]:
    """Judged and signed by both, the trainee by badge."""
    who = house.visitor(by)
    observing_signing.judge(house.archive, who, observation, level, now=house.now)
    return observing_signing.countersign(
        house.archive,
        who,
        observation,
        Shown(badge=f"badge of {of}"),
        badge_key=BADGE_KEY,
        address="10.0.0.1",
        now=house.now,
    )


def learnt(house: House, instruction: str, name: str, *, right: int = 9, answered: int = 10) -> None:
    """The lesson gone through by somebody, and questions answered."""
    learner = house.visitor(name)
    with house.archive.unit() as unit:
        ground = lessons.approved_ground(unit, learner, instruction)
        number = ground.shown.revision.number
        for part in lesson_of(ground.shown.instruction, ground.route, revision=number).parts:
            lessons.take(unit, learner, instruction, number, part.id, now=house.now)
        for turn in range(answered):
            unit.answers.keep(
                Answer(
                    id=f"{name}-{turn}",
                    department=learner.department,
                    person=learner.person,
                    instruction=instruction,
                    revision=number,
                    question=f"{turn:016x}",
                    sitting="2026-03-02",
                    choice=0,
                    is_right=turn < right,
                    at=house.now,
                )
            )
