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
_NEEDLE = re.compile(r"\b(needle(?! ?-?(holder|driver))|cannula)")
_SHAFT = re.compile(
    r"\b(shaft\w*|laparoscop\w+|endoscop\w+|arthroscop\w+|sinus|sheath|outer (tube|sleeve)|insert)\b"
)
_TUBE = re.compile(r"\b(tube|sheath|suction|aspirator|irrigat\w+|trocar|sleeve)\b")
_HANDHELD = re.compile(
    r"\b(forceps|scissors|shears|clamps?|needle ?-?(holder|driver)s?|graspers?|ring handles?)\b"
)
_MACHINE = re.compile(
    r"\b(motor|battery|drill|saw|handpiece|camera|cable|container|telescope|flexible|probe)\b"
)
_RINGS = re.compile(r"\b(finger ring|ring|rings|bow)\b")
_PISTOL = re.compile(r"\bpistol\b")

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

_BITING = {FeatureKind.jaw, FeatureKind.cutting_edge}
_HOLLOW = {FeatureKind.lumen, FeatureKind.port}
_ON_A_SHAFT = {*_HOLLOW, FeatureKind.sliding_sleeve, FeatureKind.insulation, FeatureKind.knob}
_TWO_HALVES = {Grip.rings, Grip.spring}

#: Which role a feature's part has, where the part's own name does not say.
_BY_FEATURE = (
    ("inner", {FeatureKind.jaw, FeatureKind.cutting_edge, FeatureKind.tip}),
    ("hand", {FeatureKind.ratchet, FeatureKind.knob, FeatureKind.connector}),
    ("tube", {FeatureKind.lumen, FeatureKind.port, FeatureKind.insulation, FeatureKind.sliding_sleeve}),
)

#: Which role stands in for one that no part has.
_INSTEAD = {
    "tube": ("base", "inner", "hand", "sleeve"),
    "inner": ("tube", "hand"),
    "hand": ("tube", "base", "inner"),
    "front": ("hand", "base"),
    "knob": ("hand", "tube"),
    "sleeve": ("tube", "hand"),
    "base": ("hand", "slide"),
    "slide": ("base", "hand"),
    "spring": ("hand", "base"),
    "screw": ("base", "hand"),
    "stylet": (),
    "upper": (),
    "lower": (),
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
        """The part that plays a role, or stands in for it; the only part plays all."""
        parts = self.device.parts
        if len(parts) <= 1 or self.form is Form.blocks:
            return parts[0].id if parts else ""
        for name in (role, *_INSTEAD[role]):
            if name in self.roles:
                return self.roles[name]
        return next(iter(self.roles.values()), "")

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
    names = (device.name, *(part.name for part in device.parts), *(one.name for one in device.features))
    return " · ".join(names).lower()


def cast_of(device: Device) -> Cast:
    """The form of a device, told by its features and names; `blocks` where they do not tell."""
    form = _form(device)
    roles = _roles(device, form)
    if form is not Form.blocks and len(device.parts) > 1 and not roles:
        # No part of it can be recognised, so that lines could not say which part they show.
        form = Form.blocks
    return Cast(device, form, _grip(device, form), roles)


def _form(device: Device) -> Form:
    names = spoken(device)
    kinds = {feature.kind for feature in device.features}
    if _MACHINE.search(names):
        return Form.blocks
    if _PUNCH.search(names) and not kinds & {*_HOLLOW, FeatureKind.knob}:
        slides = _SLIDES.search(names) or FeatureKind.sliding_sleeve in kinds
        return Form.punch if slides else Form.blocks
    if _NEEDLE.search(names) and FeatureKind.jaw not in kinds:
        return Form.needle
    return _biting_form(device, names, kinds) if kinds & _BITING else _hollow_form(names, kinds)


def _hollow_form(names: str, kinds: set[FeatureKind]) -> Form:
    return Form.tube if kinds & _HOLLOW and _TUBE.search(names) else Form.blocks


def _biting_form(device: Device, names: str, kinds: set[FeatureKind]) -> Form:
    """On a shaft where a feature or a name says so; two halves where it is plain how they are held."""
    if kinds & _ON_A_SHAFT or _SHAFT.search(names):
        return Form.shaft
    in_hand = FeatureKind.spring in kinds or _HANDHELD.search(names)
    return Form.forceps if in_hand and _grip(device, Form.forceps) in _TWO_HALVES else Form.blocks


def _grip(device: Device, form: Form) -> Grip:
    names = spoken(device)
    kinds = {feature.kind for feature in device.features}
    if form is Form.forceps and FeatureKind.spring in kinds:
        return Grip.spring
    if _PISTOL.search(names):
        return Grip.pistol
    if _RINGS.search(names) or (form is Form.forceps and FeatureKind.ratchet in kinds):
        return Grip.rings
    return Grip.plain


def _roles(device: Device, form: Form) -> dict[str, str]:
    """Part ids by role: first by the parts' own names, then by the features they bear; one part a role."""
    if len(device.parts) == 1:
        return {"whole": device.parts[0].id}
    roles: dict[str, str] = {}
    for part in device.parts:
        for role, words in _ROLES[form]:
            if words.search(part.name.lower()):
                if role not in roles:
                    roles[role] = part.id
                break
    if form is Form.shaft:
        for role, kinds in _BY_FEATURE:
            owners = [one.part for one in device.features if one.kind in kinds and one.part]
            free = [part for part in owners if part not in roles.values()]
            if role not in roles and free:
                roles[role] = free[0]
    return roles
