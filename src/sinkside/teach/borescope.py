"""Drawn pictures of a channel's inside, with what they show; a trainee's reading is held against it."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

#: How many pictures one reading has.
PICTURES: Final = 8

#: How many pictures may be called something else that also stops the device (common practice, no source).
_MAY_BE_MISTAKEN: Final = 1

_SIZE: Final = 240
_MIDDLE: Final = _SIZE / 2
_WALL: Final = (46.0, 104.0)
_RINGS: Final = 7


class Shows(StrEnum):
    """What a picture of a channel's inside shows."""

    clean = "clean"
    soil = "soil"
    water = "water"
    fibre = "fibre"
    scratch = "scratch"
    pitting = "pitting"
    peeling = "peeling"


#: What each is called, and what is done about it.
NAMES: Final[Mapping[Shows, str]] = {
    Shows.clean: "Clean, dry and whole",
    Shows.soil: "Soil is left",
    Shows.water: "Drops of water",
    Shows.fibre: "A fibre or bristle",
    Shows.scratch: "A deep scratch",
    Shows.pitting: "Pits of corrosion",
    Shows.peeling: "The lining peels",
}
NEXT: Final[Mapping[Shows, str]] = {
    Shows.clean: "It goes on.",
    Shows.soil: "Clean it again from the start, and look again.",
    Shows.water: "Dry it again: it does not go on wet.",
    Shows.fibre: "Flush it out, clean it again, and look again.",
    Shows.scratch: "Take it out of use, and tell who looks after repairs.",
    Shows.pitting: "Take it out of use, and look at the others of its set.",
    Shows.peeling: "Take it out of use: pieces may come off in a patient.",
}


@dataclass(frozen=True)
class Picture:
    """One picture: what it shows, drawn; `described` says what is to be seen without saying what it is."""

    id: str
    shows: Shows
    drawing: str
    described: str


@dataclass(frozen=True)
class Reading:
    """What a trainee said of pictures, held against what they show.

    `taken_for_clean` are those that were passed and must not have been; `mistaken` were called something
    else; both as pairs of what is shown and what was said.
    """

    pictures: int
    right: int
    taken_for_clean: tuple[tuple[Picture, Shows], ...]
    mistaken: tuple[tuple[Picture, Shows], ...]
    not_read: int

    @property
    def is_enough(self) -> bool:
        """Whether nothing was passed that must not be, all were read, and one at most was mistaken."""
        return not self.taken_for_clean and not self.not_read and len(self.mistaken) <= _MAY_BE_MISTAKEN

    @property
    def sentence(self) -> str:
        """What came of it."""
        said = [f"{self.right} of {self.pictures} pictures read as they are"]
        if self.taken_for_clean:
            said.append(f"{len(self.taken_for_clean)} passed that must not be")
        if self.not_read:
            said.append(f"{self.not_read} not read")
        return "; ".join(said) + "."


def pictures(seed: int, count: int = PICTURES) -> tuple[Picture, ...]:
    """Pictures to be read, every kind once before any comes twice, in an order of chance.

    >>> [len({one.shows for one in pictures(seed, 7)}) for seed in range(3)]
    [7, 7, 7]
    """
    chance = random.Random(f"borescope {seed}")  # noqa: S311 # repeatable, nothing secret
    kinds = [kind for turn in range(math.ceil(count / len(Shows))) for kind in _turn(turn, chance)][:count]
    chance.shuffle(kinds)
    return tuple(
        Picture(f"p{place}", kind, _drawn(kind, chance), _DESCRIBED[kind])
        for place, kind in enumerate(kinds, 1)
    )


def read(shown: Iterable[Picture], said: Mapping[str, Shows]) -> Reading:
    """What a trainee said, held against what the pictures show; one without an answer was not read."""
    given = tuple(shown)
    answered = [(one, said[one.id]) for one in given if one.id in said]
    wrong = [(one, answer) for one, answer in answered if answer is not one.shows]
    return Reading(
        pictures=len(given),
        right=len(answered) - len(wrong),
        taken_for_clean=tuple(pair for pair in wrong if pair[1] is Shows.clean),
        mistaken=tuple(pair for pair in wrong if pair[1] is not Shows.clean),
        not_read=len(given) - len(answered),
    )


def _turn(turn: int, chance: random.Random) -> list[Shows]:
    kinds = list(Shows)
    if turn:
        chance.shuffle(kinds)
    return kinds


_DESCRIBED: Final[Mapping[Shows, str]] = {
    Shows.clean: "The wall is even all round, down to the far end.",
    Shows.soil: "Uneven dark patches with soft edges lie on the wall.",
    Shows.water: "Round bright beads, each with a small reflection, lie on the wall.",
    Shows.fibre: "A thin curved thread crosses the channel.",
    Shows.scratch: "Two straight bright lines run along the wall.",
    Shows.pitting: "Many small dark holes with sharp edges stand close together.",
    Shows.peeling: "A flap of the wall hangs into the channel.",
}


def _drawn(shows: Shows, chance: random.Random) -> str:
    """The view down a channel, with what is to be seen on its wall; shapes tell, not colours."""
    rings = []
    for turn in range(_RINGS):
        radius = 112 - turn * 13.0
        grey = 214 - turn * 26
        rings.append(_circle(_MIDDLE, _MIDDLE, radius, fill=f"rgb({grey},{grey - 6},{grey - 14})"))
    rings.append(_circle(_MIDDLE, _MIDDLE, 20, fill="#15110d"))
    seen = _SEEN[shows](chance)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_SIZE} {_SIZE}">'
        f'<rect width="{_SIZE}" height="{_SIZE}" fill="#000"/>{"".join(rings)}{seen}</svg>'
    )


def _at(chance: random.Random) -> tuple[float, float, float]:
    """A place on the wall, and its angle."""
    angle, away = chance.uniform(0, math.tau), chance.uniform(*_WALL)
    return _MIDDLE + away * math.cos(angle), _MIDDLE + away * math.sin(angle), angle


def _circle(x: float, y: float, radius: float, **more: str) -> str:
    said = "".join(f' {name.replace("_", "-")}="{value}"' for name, value in more.items())
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}"{said}/>'


def _nothing(_chance: random.Random) -> str:
    return ""


def _soil(chance: random.Random) -> str:
    patches = []
    for _ in range(chance.randint(4, 6)):
        x, y, _angle = _at(chance)
        edge = [(chance.uniform(7, 20), chance.uniform(6, 15), step * math.tau / 11) for step in range(11)]
        points = " ".join(
            f"{x + wide * math.cos(turn):.1f},{y + high * math.sin(turn):.1f}" for wide, high, turn in edge
        )
        patches.append(
            f'<polygon points="{points}" fill="#43230f" stroke="#43230f" stroke-width="6" '
            'stroke-linejoin="round" fill-opacity=".85" stroke-opacity=".45"/>'
        )
    return "".join(patches)


def _water(chance: random.Random) -> str:
    drops = []
    for _ in range(chance.randint(9, 13)):
        x, y, _angle = _at(chance)
        radius = chance.uniform(4, 9)
        drops.append(_circle(x, y, radius, fill="#eef4f7", fill_opacity=".6", stroke="#5a6a72"))
        drops.append(_circle(x - radius * 0.3, y - radius * 0.35, radius * 0.25, fill="#fff"))
    return "".join(drops)


def _fibre(chance: random.Random) -> str:
    (x, y, angle), bend = _at(chance), chance.uniform(40, 75)
    to_x, to_y = _MIDDLE - (x - _MIDDLE) * 0.6, _MIDDLE - (y - _MIDDLE) * 0.6
    by_x, by_y = _MIDDLE + bend * math.cos(angle + 1.4), _MIDDLE + bend * math.sin(angle + 1.4)
    path = f"M{x:.1f} {y:.1f} Q{by_x:.1f} {by_y:.1f} {to_x:.1f} {to_y:.1f}"
    return "".join(
        f'<path d="{path}" fill="none" stroke="{ink}" stroke-width="{wide}" stroke-linecap="round"/>'
        for ink, wide in (("#20364a", 5), ("#bcd3e6", 2.5))
    )


def _scratch(chance: random.Random) -> str:
    angle, lines = chance.uniform(0, math.tau), []
    for turn in (0.0, 0.12):
        along = math.cos(angle + turn), math.sin(angle + turn)
        ends = [(_MIDDLE + away * along[0], _MIDDLE + away * along[1]) for away in (36.0, 110.0)]
        lines += [
            f'<line x1="{ends[0][0]:.1f}" y1="{ends[0][1]:.1f}" x2="{ends[1][0]:.1f}" y2="{ends[1][1]:.1f}" '
            f'stroke="{ink}" stroke-width="{wide}"/>'
            for ink, wide in (("#2a2621", 5), ("#fffdf5", 1.8))
        ]
    return "".join(lines)


def _pitting(chance: random.Random) -> str:
    angle, away = chance.uniform(0, math.tau), 70.0
    x, y = _MIDDLE + away * math.cos(angle), _MIDDLE + away * math.sin(angle)
    return "".join(
        _circle(
            x + chance.gauss(0, 12),
            y + chance.gauss(0, 12),
            chance.uniform(1.5, 3.4),
            fill="#1d0f08",
            stroke="#a4521f",
            stroke_width="1.2",
        )
        for _ in range(34)
    )


def _peeling(chance: random.Random) -> str:
    angle = chance.uniform(0, math.tau)
    out = [
        (_MIDDLE + 108 * math.cos(angle + turn), _MIDDLE + 108 * math.sin(angle + turn))
        for turn in (-0.4, 0.4)
    ]
    tip = _MIDDLE + 34 * math.cos(angle + 0.25), _MIDDLE + 34 * math.sin(angle + 0.25)
    flap = f"M{out[0][0]:.1f} {out[0][1]:.1f} L{tip[0]:.1f} {tip[1]:.1f} L{out[1][0]:.1f} {out[1][1]:.1f} Z"
    return (
        f'<path d="{flap}" transform="translate(5 7)" fill="#000" fill-opacity=".5"/>'
        f'<path d="{flap}" fill="#f4efe3" stroke="#2a2621" stroke-width="2" stroke-linejoin="round"/>'
    )


_SEEN: Final[Mapping[Shows, Callable[[random.Random], str]]] = {
    Shows.clean: _nothing,
    Shows.soil: _soil,
    Shows.water: _water,
    Shows.fibre: _fibre,
    Shows.scratch: _scratch,
    Shows.pitting: _pitting,
    Shows.peeling: _peeling,
}
