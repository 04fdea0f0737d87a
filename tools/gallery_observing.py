"""What the gallery shows of observations, roll-outs and proof: one observation half-way, and the scenes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from gallery_scenes import LARGE, Scene

from sinkside.desk import observing, observing_kept
from sinkside.desk.observing_kept import OBSERVATION
from sinkside.desk.roll_outs import ROLL_OUT
from sinkside.route import Station
from sinkside.teach.observing import Mark
from sinkside.teach.sign_offs import Level

if TYPE_CHECKING:
    from gallery_house import GalleryHouse

_HERE: Final = "/at/valley"


def watch(house: GalleryHouse) -> None:
    """Begin an observation that the gallery shows half-way, and say where the others are."""
    educator = house.visitor("educator")
    with house.archive.unit(writes=False) as unit:
        here = [educator.department]
        roll_out = unit.rows.all(ROLL_OUT, here, limit=1)[0]
        signed = unit.rows.all(OBSERVATION, here, states=["signed"], limit=20)
        supervised = next(row for row in signed if row.fields["level"] == Level.supervised.value)
        trainee = unit.people.by_sign_in("technician")
    assert trainee is not None
    instruction = str(roll_out.fields["instruction"])
    begun = observing.begin(house.archive, educator, instruction, Station.sink, trainee.id, now=house.now)
    points = observing_kept.open_observation(house.archive, educator, begun).seen
    for point, seen in zip(points, (Mark.done, Mark.done, Mark.missed), strict=False):
        note = "Lifted it out after six minutes." if seen is Mark.missed else ""
        observing.mark(house.archive, educator, begun, point.id, seen=seen, note=note, now=house.now)
    at_the_bench = observing.begin(
        house.archive, educator, instruction, Station.bench, trainee.id, now=house.now
    )
    observing.show_pictures(house.archive, educator, at_the_bench, now=house.now)
    house.where["roll-out"] = f"{_HERE}/roll-outs/{roll_out.id}"
    house.where["watching"] = f"{_HERE}/observing/{begun}"
    house.where["inside"] = f"{_HERE}/observing/{at_the_bench}/pictures"
    house.where["record"] = f"{_HERE}/proof/people/{supervised.fields['trainee']}"


OBSERVING_SCENES: Final[tuple[Scene, ...]] = (
    Scene(
        "observing",
        "An observation",
        "Point by point on a tablet; each tap is kept at once, critical points say why they are.",
        "{watching}",
        who="educator",
        sizes=("phone", "upright"),
        dark=True,
    ),
    Scene(
        "observing-pictures",
        "Pictures of a channel’s inside",
        "The person who is watched says what each shows; only then the house tells.",
        "{inside}",
        who="educator",
        sizes=("upright",),
    ),
    Scene(
        "roll-out",
        "A roll-out",
        "How many are ready before first use, and what each of the others lacks.",
        "{roll-out}",
        who="educator",
    ),
    Scene(
        "proof-person",
        "One person’s record",
        "Sign-offs, observations, lessons; as an auditor reads it.",
        "{record}",
        who="auditor",
        sizes=LARGE,
    ),
    Scene(
        "proof-paper",
        "One person’s record on paper",
        "What was seen and until when it holds, with a code that opens the living page.",
        "{record}/file",
        who="auditor",
        sizes=(),
        prints=True,
    ),
)
