"""Taps: queues of tablets send them, forms without script press one by one; codes are scanned."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pydantic import ConfigDict, Field

from sinkside.bench.run import Place
from sinkside.bench.tap import Tap, Tapped
from sinkside.department import Station
from sinkside.desk.bench.copies import READ
from sinkside.desk.bench.guiding import find_copy
from sinkside.desk.bench.photographed import code_on_photo
from sinkside.desk.bench.tapping import tap
from sinkside.documents import validate
from sinkside.errors import BadInput
from sinkside.records import KeptCopy
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Upload
from sinkside.web.screens.bench.guide import guide_page, station_of
from sinkside.web.screens.bench.index import bench_page
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.screens.bench.place_codes import gone_to, is_place
from sinkside.web.screens.bench.shown import COMMAND, ActShown, new_key
from sinkside.web.screens.bench.stations import WORKED_AT
from sinkside.web.screens.signing_in import within_the_house

_MOST: Final = 200

#: What a scan does by itself, by where it is scanned and how the set stands there.
_BY_SCANNING: Final[Mapping[tuple[str, str], str]] = {
    (Station.sink, Place.soiled): "take-up",
    (Station.sink, Place.at_sink): "take-up",
    (Station.bench, Place.at_sink): "to-clean-side",
    (Station.bench, Place.in_washer): "to-clean-side",
    (Station.bench, Place.clean_side): "to-clean-side",
    (Station.packing, Place.clean_side): "to-packing",
}


@dataclass(frozen=True)
class TappedPage:
    """What came of some taps, in their order."""

    title: str
    tapped: tuple[Tapped, ...]


class Taps(Form):
    """What a tablet's queue sends, in order."""

    taps: tuple[Tap, ...] = Field(min_length=1, max_length=_MOST)


class OneTap(Form):
    """One press of a form: its key, what is sent as JSON, where to go next, and the act's own fields.

    A field `found.3` is the one called 3 of `found`; `without[]` is one of several.
    """

    model_config = ConfigDict(extra="allow", frozen=True)

    key: str = Field(min_length=8, max_length=70, pattern=r"^[A-Za-z0-9._:-]+$")
    act: str = Field(max_length=100_000)
    go: str = Field("", max_length=500)


class Scanned(Form):
    """What a scanner typed, where, and which set was open there."""

    code: str = Field(max_length=200)
    key: str = Field(min_length=8, max_length=70, pattern=r"^[A-Za-z0-9._:-]+$")
    station: str = Field("", max_length=40)
    copy_id: str = Field("", max_length=100)


class Photographed(Form):
    """Where a photo of a code was taken."""

    station: str = Field("", max_length=40)


@screen.act(f"{PLACE}/taps", right=READ, form=Taps, template="bench_tapped.html")
def take_taps(asked: Asked, form: Taps) -> TappedPage:
    """Do what a queue of a tablet sends, in order, and say what came of each."""
    return TappedPage("Taps", tap(asked.archive, asked.visitor, form.taps, now=asked.now))


@screen.act(f"{PLACE}/tap", right=READ, form=OneTap, page=bench_page)
def press(asked: Asked, form: OneTap) -> Done:
    """Do what one button says, without a queue."""
    return Done(
        go=within_the_house(form.go or asked.at("/bench")), said=pressed(asked, form.key, _acts(form))
    )


@screen.act(f"{PLACE}/scan", right=READ, form=Scanned, page=bench_page)
def scan(asked: Asked, form: Scanned) -> Done:
    """Open what was scanned, and do what scanning it there means."""
    code = form.code.strip()
    if code.upper().startswith(COMMAND):
        return _commanded(asked, form, code.upper().removeprefix(COMMAND).strip())
    if is_place(code):
        return gone_to(asked, code)
    copy = find_copy(asked.archive, asked.visitor, code)
    if copy.kind == "instrument" and form.copy_id and form.station in WORKED_AT:
        return _put_in(asked, form, copy)
    return _opened(asked, copy, form.station, form.key)


@screen.act(f"{PLACE}/photo", right=READ, form=Photographed, page=bench_page, uploads="photo")
def photograph(asked: Asked, form: Photographed, photos: tuple[Upload, ...]) -> Done:
    """Open what the camera took."""
    code = code_on_photo(photos[0].handed_in())
    copy = find_copy(asked.archive, asked.visitor, code)
    return _opened(asked, copy, form.station, new_key())


def _put_in(asked: Asked, form: Scanned, piece: KeptCopy) -> Done:
    """A marked instrument that is scanned while a set is open goes into that set."""
    page = guide_page(asked, form.station, form.copy_id)
    said = pressed(asked, form.key, [{"act": "put-in", "code": page.code, "piece": piece.code}])
    return Done(go=page.frame.here, said=said)


def _opened(asked: Asked, copy: KeptCopy, station: str, key: str) -> Done:
    at = station if station in WORKED_AT else station_of(copy)
    address = asked.at(f"/bench/at/{at}/{copy.id}")
    act = _BY_SCANNING.get((station, copy.state))
    if act is None or not asked.visitor.may("bench-work"):
        return Done(go=address)
    return Done(go=address, said=pressed(asked, key, [{"act": act, "code": copy.code}]))


def _commanded(asked: Asked, form: Scanned, command: str) -> Done:
    """Press the button of the open set that a code of the sheet of codes stands for."""
    if not form.copy_id or form.station not in WORKED_AT:
        raise BadInput("scan a set first; this code presses a button of it", resource="code")
    page = guide_page(asked, form.station, form.copy_id)
    act = next((one for one in page.acts() if one.command == command and not one.is_hidden), None)
    if act is None:
        raise BadInput(f"nothing here takes the code {command}", resource="code")
    return _of(asked, form, act)


def _of(asked: Asked, form: Scanned, act: ActShown) -> Done:
    said = pressed(asked, form.key, _listed(act.act))
    return Done(go=act.leads or asked.at(f"/bench/at/{form.station}/{form.copy_id}"), said=said)


def _acts(form: OneTap) -> list[dict[str, Any]]:
    """The acts of a press; what the form's own fields say goes into the last."""
    acts = _listed(form.act)
    for name, text in (form.model_extra or {}).items():
        whole, _, part = name.removesuffix("[]").partition(".")
        if part:
            acts[-1].setdefault(whole, {})[part] = text
        else:
            acts[-1][whole] = text
    return acts


def _listed(text: str) -> list[dict[str, Any]]:
    try:
        acts = json.loads(text)
    except ValueError as error:
        raise BadInput("this is no act; expected what the page sends", resource="act") from error
    listed = acts if isinstance(acts, list) else [acts]
    if not all(isinstance(one, dict) for one in listed) or not listed:
        raise BadInput("this is no act; expected what the page sends", resource="act")
    return listed


def pressed(asked: Asked, key: str, acts: Sequence[Mapping[str, Any]]) -> str:
    """Do the acts of one press, each under a key of its own, and say what came of them."""
    taps = [
        validate(Tap, {"key": f"{key}-{turn}", "at": asked.now.isoformat(), "act": act}, resource="")
        for turn, act in enumerate(acts, start=1)
    ]
    tapped = tap(asked.archive, asked.visitor, taps, now=asked.now)
    refused = [f"Not done: {one.said}" for one in tapped if one.outcome == "refused"]
    return " ".join(refused or [one.said for one in tapped])
