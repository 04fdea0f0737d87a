"""Which of a few forms a device has, and which of its parts plays which role in it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from sinkside.instruction import Device, Feature, FeatureKind


class Form(StrEnum):
    """The forms that can be drawn; `blocks` is for whatever is none of the others."""

    forceps = "forceps"
    shaft = "shaft"
    tube = "tube"
    punch = "punch"
    needle = "needle"
    blocks = "blocks"


class Grip(StrEnum):
    """How a device is held; `plain` where the text does not say."""

    rings = "rings"
    pistol = "pistol"
    plain = "plain"
    spring = "spring"


_PUNCH = re.compile(r"\b(punch|rongeur|nibbler)")
_SLIDES = re.compile(r"\b(slid\w+|slide)\b")
_NEEDLE = re.compile(r"\b(needles?(?! ?-?(holder|driver))|cannula)\b")
_SHAFT = re.compile(
    r"\b(shaft\w*|laparoscop\w+|endoscop\w+|arthroscop\w+|sinus|sheath|outer (tube|sleeve)|insert)\b"
)
_TUBE = re.compile(r"\b(tube|sheath|suction|aspirator|irrigat\w+|trocar|sleeve)\b")
_HANDHELD = re.compile(r"\b(forceps|scissors|shears|clamps?|needle ?-?(holder|driver)s?|graspers?)\b")
_BITES = re.compile(r"\b(forceps|scissors|shears|clamps?|graspers?|dissectors?|nippers?|punch|rongeur)\b")

#: Devices whose shape none of the forms has.
_OTHERWISE = re.compile(
    r"\b(motor|batter(y|ies)|drill\w*|ream\w+|saws?|handpiece|dermatome|shaver|camera|cable|container|tray"
    r"|telescope|flexible|probe|resectoscope|working element)\b"
)
_RINGS = re.compile(r"\b(finger[- ]?rings?|ring[- ]?handled?s?|rings|bow handles?)\b")
_SCISSORS = re.compile(r"\b(scissors|shears)\b")
_SMALL = re.compile(r"\b(micro\w*|spring)\b")
_PISTOL = re.compile(r"\bpistol\b")

#: Small parts that go with a device and whose place on it nobody can tell from their name.
_ACCESSORY = re.compile(
    r"\b(seals?|sealing|caps?|valves?|gaskets?|o-rings?|protectors?|electrodes?|brush|adaptors?)\b"
)

_ROLES: dict[Form, tuple[tuple[str, re.Pattern[str]], ...]] = {
    Form.shaft: (
        ("knob", re.compile(r"\bknob|wheel\b")),
        ("hand", re.compile(r"\b(handle|grip|handpiece)")),
        ("inner", re.compile(r"\b(insert|inner|rod|jaws?|blade|core)\b")),
        ("sleeve", re.compile(r"\bsliding (sleeve|tube|sheath)\b")),
        ("tube", re.compile(r"\b(sleeve|sheath|tube|shaft|outer|barrel)")),
    ),
    Form.punch: (
        ("front", re.compile(r"\bfront (handle|grip|lever)")),
        ("hand", re.compile(r"\b(handle|grip)")),
        ("slide", re.compile(r"\b(slid\w+|upper)\b")),
        ("spring", re.compile(r"\bsprings?\b")),
        ("screw", re.compile(r"\bscrew\b")),
        ("base", re.compile(r"\b(base|lower|shaft|body)\b")),
    ),
    Form.needle: (
        ("stylet", re.compile(r"\b(stylet|obturator|mandrel|mandrin|rod|inner|trocar)\b")),
        ("tube", re.compile(r"\b(needle|cannula|outer|tube|sleeve)")),
    ),
    Form.tube: (
        ("hand", re.compile(r"\b(handle|grip|hub)\b")),
        ("stylet", re.compile(r"\b(stylet|obturator|mandrel|mandrin)\b")),
        ("tube", re.compile(r"\b(tube|sheath|sleeve|cannula|suction|aspirator|shaft)")),
    ),
    Form.forceps: (
        ("upper", re.compile(r"\b(upper|first|female|ring) (half|arm|branch|blade|shank)|half a\b")),
        ("lower", re.compile(r"\b(lower|second|male) (half|arm|branch|blade|shank)|half b\b")),
    ),
    Form.blocks: (),
}

_HOLLOW = {FeatureKind.lumen, FeatureKind.port}
_ON_A_SHAFT = {*_HOLLOW, FeatureKind.sliding_sleeve, FeatureKind.insulation, FeatureKind.knob}
_TWO_HALVES = {Grip.rings, Grip.spring}

#: Which role a feature's part has, where the part's own name does not say.
_BY_FEATURE = (
    ("inner", {FeatureKind.jaw, FeatureKind.cutting_edge, FeatureKind.tip}),
    ("hand", {FeatureKind.ratchet, FeatureKind.knob, FeatureKind.connector}),
    ("tube", {FeatureKind.lumen, FeatureKind.port, FeatureKind.insulation, FeatureKind.sliding_sleeve}),
)

#: Which role stands in for one that no part has; `whole` stands in for all.
_INSTEAD: dict[str, tuple[str, ...]] = {
    "tube": ("base", "inner", "sleeve"),
    "inner": ("tube",),
    "hand": ("tube", "base"),
    "front": ("hand", "base"),
    "knob": ("hand", "tube"),
    "sleeve": ("tube",),
    "slide": ("base",),
    "spring": ("hand", "base"),
    "screw": ("base", "hand"),
}


@dataclass(frozen=True)
class Cast:
    """A device as a drawing sees it: its form, how it is held, which part plays which role.

    Attributes:
        device: the device.
        form: the form that is drawn.
        grip: how it is held.
        roles: part ids by role; only roles that a part of the device plays.
    """

    device: Device
    form: Form
    grip: Grip
    roles: dict[str, str]

    def part(self, role: str) -> str:
        """The part that plays a role, or stands in for it; empty where no listed part does."""
        for name in (role, *_INSTEAD.get(role, ()), "whole"):
            if name in self.roles:
                return self.roles[name]
        return ""

    def has(self, role: str) -> bool:
        """Whether a part of its own plays this role."""
        return role in self.roles

    def features(self, *kinds: FeatureKind) -> tuple[Feature, ...]:
        """The features of some kinds."""
        return tuple(feature for feature in self.device.features if feature.kind in kinds)

    def ids(self, *kinds: FeatureKind) -> tuple[str, ...]:
        """The ids of the features of some kinds."""
        return tuple(feature.id for feature in self.features(*kinds))

    def says(self, words: str) -> bool:
        """Whether a name of device, part or feature matches a pattern."""
        return re.search(words, spoken(self.device)) is not None


def spoken(device: Device) -> str:
    """All names of a device in lower case."""
    return " · ".join((_named(device), *(one.name for one in device.features))).lower()


def cast_of(device: Device) -> Cast:
    """The form of a device, told by its features and names; `blocks` where they do not tell."""
    form = _form(device)
    roles = _roles(device, form)
    if form is not Form.blocks and len(device.parts) > 1 and not roles:
        # No part of it can be recognised, so that lines could not say which part they show.
        form = Form.blocks
    return Cast(device, form, _grip(device, form), roles)


def _named(device: Device) -> str:
    """What device and parts are called; names of features say less about what a device is."""
    return " · ".join((device.name, *(part.name for part in device.parts))).lower()


def _form(device: Device) -> Form:
    named = _named(device)
    kinds = {feature.kind for feature in device.features}
    if _OTHERWISE.search(device.name.lower()):
        return Form.blocks
    if _PUNCH.search(named) and not kinds & {*_HOLLOW, FeatureKind.knob}:
        slides = _SLIDES.search(named) or FeatureKind.sliding_sleeve in kinds
        return Form.punch if slides else Form.blocks
    if FeatureKind.jaw in kinds or (FeatureKind.cutting_edge in kinds and _BITES.search(named)):
        return _biting_form(device, named, kinds)
    return _hollow_form(named, kinds)


def _hollow_form(named: str, kinds: set[FeatureKind]) -> Form:
    if _NEEDLE.search(named):
        return Form.needle
    return Form.tube if kinds & _HOLLOW and _TUBE.search(named) else Form.blocks


def _biting_form(device: Device, named: str, kinds: set[FeatureKind]) -> Form:
    """On a shaft where a feature or a name says so; two halves where it is plain how they are held."""
    if kinds & _ON_A_SHAFT or _SHAFT.search(named):
        return Form.shaft
    in_hand = FeatureKind.spring in kinds or _HANDHELD.search(named)
    return Form.forceps if in_hand and _grip(device, Form.forceps) in _TWO_HALVES else Form.blocks


def _grip(device: Device, form: Form) -> Grip:
    names = spoken(device)
    kinds = {feature.kind for feature in device.features}
    if form is Form.forceps and FeatureKind.spring in kinds:
        return Grip.spring
    if _PISTOL.search(names):
        return Grip.pistol
    # Common practice, no source: what locks by a ratchet in the hand, and plain scissors, have rings.
    usual = FeatureKind.ratchet in kinds or (_SCISSORS.search(names) and not _SMALL.search(names))
    return Grip.rings if _RINGS.search(names) or (form is Form.forceps and usual) else Grip.plain


def _roles(device: Device, form: Form) -> dict[str, str]:
    """Part ids by role: by the parts' own names, then by the features they bear; one part a role."""
    known = [part for part in device.parts if form is Form.punch or not _ACCESSORY.search(part.name.lower())]
    roles: dict[str, str] = {}
    for part in known:
        role = next((role for role, words in _ROLES[form] if words.search(part.name.lower())), None)
        if role and role not in roles:
            roles[role] = part.id
    if form is Form.shaft:
        _add_by_feature(roles, device, {part.id for part in known})
    if form is not Form.blocks and not roles and len(known) == 1:
        roles["whole"] = known[0].id
    return roles


def _add_by_feature(roles: dict[str, str], device: Device, known: set[str]) -> None:
    """Roles that no name told, told by what a part bears; a device in one piece needs none."""
    if len(known) == 1:
        return
    for role, kinds in _BY_FEATURE:
        owners = [one.part for one in device.features if one.kind in kinds and one.part in known]
        free = [part for part in owners if part and part not in roles.values()]
        if role not in roles and free:
            roles[role] = free[0]
