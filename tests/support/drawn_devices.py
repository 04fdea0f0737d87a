"""Invented devices of every form that can be drawn, and random ones."""

from __future__ import annotations

from hypothesis import strategies as st

from sinkside.instruction import POSITIONS, Device, Feature, FeatureKind, Part
from sinkside.quantities import Quantity


def feature(feature_id: str, kind: str, part: str | None = None, name: str = "", **sizes: str) -> Feature:
    """One feature; sizes as written."""
    measures = {measure: Quantity.parse(written) for measure, written in sizes.items()}
    return Feature.model_validate(
        {"id": feature_id, "kind": FeatureKind(kind), "part": part, "name": name, **measures}
    )


def parts(*names: str) -> tuple[Part, ...]:
    """Parts with the ids a, b, c and so on."""
    return tuple(Part(id=chr(ord("a") + index), name=name) for index, name in enumerate(names))


DEVICES = {
    "forceps": Device(
        name="Tissue forceps",
        parts=parts("forceps"),
        features=(feature("jaw", "jaw"), feature("joint", "joint"), feature("ratchet", "ratchet")),
    ),
    "scissors": Device(
        name="Ring scissors",
        parts=parts("upper half", "lower half"),
        features=(feature("blades", "cutting-edge"), feature("screw", "joint"), feature("tip", "tip")),
    ),
    "spring": Device(
        name="Fine spring scissors",
        parts=parts("scissors"),
        features=(
            feature("tip", "tip"), feature("blades", "cutting-edge"), feature("joint", "joint"),
            feature("spring", "spring"),
        ),
    ),
    "shaft": Device(
        name="Dissector",
        parts=parts("pistol handle", "insulated sleeve", "jaw insert"),
        features=(
            feature("lumen", "lumen", "b", bore="3.5 mm", length="330 mm"),
            feature("port", "port", "b"),
            feature("coat", "insulation", "b"), feature("jaw", "jaw", "c"), feature("joint", "joint", "c"),
            feature("ratchet", "ratchet", "a"), feature("plug", "connector", "a"),
            feature("knob", "knob", "a"),
        ),
    ),
    "one piece": Device(
        name="Sinus forceps",
        features=(
            feature("lumen", "lumen", bore="1.5 mm", length="140 mm", rod="0.8 mm"), feature("jaw", "jaw"),
            feature("ratchet", "ratchet"), feature("port", "port", name="rear port"),
        ),
    ),
    "sleeve": Device(
        name="Ring handle grasper with a shaft",
        parts=parts("grasper"),
        features=(feature("sleeve", "sliding-sleeve"), feature("jaw", "jaw"), feature("port", "port")),
    ),
    "sliding tube": Device(
        name="Modular dissector",
        parts=parts("handle", "outer sleeve", "jaw insert"),
        features=(
            feature("s", "sliding-sleeve", "b"), feature("j", "jaw", "c"), feature("l", "lumen", "b"),
        ),
    ),
    "tube": Device(
        name="Suction tube with side holes",
        parts=parts("suction tube", "stylet"),
        features=(
            feature("lumen", "lumen", "a", bore="3 mm", length="180 mm"), feature("port", "port", "a"),
            feature("other", "port", "a", name="rear port"),
        ),
    ),
    "punch": Device(
        name="Bone punch",
        parts=parts(
            "base shaft", "sliding shaft", "rear handle", "front handle", "leaf springs", "locking screw",
            "ejector pin",
        ),
        features=(
            feature("edge", "cutting-edge", "b"), feature("spring", "spring", "e"),
            feature("screw", "thread", "f"),
        ),
    ),
    "needle": Device(
        name="Biopsy needle",
        parts=parts("needle", "stylet"),
        features=(
            feature("lumen", "lumen", "a", bore="1.2 mm", length="150 mm"), feature("tip", "tip", "a"),
        ),
    ),
    "unknown": Device(
        name="Bone drill", parts=parts("drill", "battery", "lid"), features=(feature("t", "thread"),)
    ),
}  # fmt: skip

#: Names by which drawings tell forms and parts, some that say nothing, and some that must be escaped.
_DEVICE_NAMES = (
    "forceps", "ring handle scissors", "sinus forceps", "laparoscopic grasper with pistol grip",
    "suction tube", "bone punch with sliding shaft", "needle", "retractor", "<b>&\"thing'", "needle holder",
    "spring scissors",
)  # fmt: skip
_PART_NAMES = (
    "handle", "outer sleeve", "jaw insert", "stylet", "sliding shaft", "base shaft", "front handle",
    "leaf spring", "screw", "knob", "tube", "lid", "upper half", "lower half", "<i>", "sliding sleeve",
)  # fmt: skip


@st.composite
def devices(draw: st.DrawFn) -> Device:
    """A device with any parts and features, sensible or not."""
    count = draw(st.integers(0, 5))
    names = draw(st.lists(st.sampled_from(_PART_NAMES), min_size=count, max_size=count))
    owners = st.sampled_from([None, *(part.id for part in parts(*names))])
    kinds = draw(st.lists(st.sampled_from(list(FeatureKind)), max_size=9))
    return Device(
        name=draw(st.sampled_from(_DEVICE_NAMES)),
        parts=parts(*names),
        features=tuple(
            Feature(
                id=f"f{index}",
                kind=kind,
                part=draw(owners),
                bore=draw(_measures(0.3, 12.0)) if kind is FeatureKind.lumen else None,
                length=draw(_measures(20.0, 600.0)) if kind is FeatureKind.lumen else None,
            )
            for index, kind in enumerate(kinds)
        ),
    )


def _measures(least: float, most: float) -> st.SearchStrategy[Quantity | None]:
    stated = st.floats(least, most).map(lambda value: Quantity.parse(f"{value:.2f} mm"))
    return st.one_of(st.none(), stated)


def positions() -> st.SearchStrategy[dict[str, str]]:
    """Any positions of the vocabulary, stated or left out."""
    chosen = {feature: st.sampled_from(taken) for feature, taken in POSITIONS.items()}
    return st.fixed_dictionaries({}, optional=chosen)
