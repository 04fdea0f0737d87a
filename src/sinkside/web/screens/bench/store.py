"""The store: packs that wait to go in, what lies there until when, what is given out; and one pack."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Final

from fastapi import Query
from pydantic import Field

from sinkside.bench.run import Place
from sinkside.bench.shelf_life import MISHAP_WORDS, Keeps
from sinkside.department import BARRIERS
from sinkside.desk.bench import store_list, store_policy
from sinkside.desk.bench.copies import READ
from sinkside.desk.bench.guiding import find_copy
from sinkside.desk.bench.photographed import code_on_photo
from sinkside.desk.bench.store_list import PackSeen
from sinkside.desk.people import names_of
from sinkside.errors import BadInput
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option, Upload
from sinkside.web.screens.bench.buttons import Acts
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.screens.bench.shown import ActShown, FrameShown, frame

STORE: Final = f"{PLACE}/store"
PACK: Final = f"{STORE}/{{copy_id}}"
_WORK: Final = "store-work"

_EXCEPT: Final = "exception-make"


@dataclass(frozen=True)
class PackLine:
    """One pack of a list: its page, what it is, its code and place, how it stands, what is in its way."""

    address: str
    name: str
    code: str
    place: str
    says: str
    level: str
    why: str


@dataclass(frozen=True)
class RoomLine:
    """A store as a room: its name, how its checks stand, where they are."""

    name: str
    words: str
    address: str


@dataclass(frozen=True)
class StorePage:
    """The store.

    Attributes:
        title: the heading.
        address: of the page.
        bench: where the benches are.
        frame: the scanner's field.
        text: what is looked for.
        waiting: packs that wait to go in.
        held: packs that are held.
        stored: packs in store.
        issued: packs that are given out.
        in_store: how many packs are in store altogether.
        rooms: the stores as rooms.
        keeps: how long packs are kept here, by kind of packaging.
        policy: where that is settled.
    """

    title: str
    address: str
    bench: str
    frame: FrameShown
    text: str
    waiting: tuple[PackLine, ...]
    held: tuple[PackLine, ...]
    stored: tuple[PackLine, ...]
    issued: tuple[PackLine, ...]
    in_store: int
    rooms: tuple[RoomLine, ...]
    keeps: tuple[str, ...]
    policy: str


@dataclass(frozen=True)
class PackPage:
    """One pack.

    Attributes:
        title: what it is.
        frame: the scanner's field.
        store: where the list is.
        line: as in the list.
        facts: what is known of it, as words and what they say.
        obstacles: what stands in its way or is to know, each with its level.
        put_in: puts it in store; each of these is none where it is of no use now.
        issue: gives it out.
        reserve: keeps it for a case.
        unreserve: keeps it for none any more.
        back_whole: takes it back whole.
        back_opened: takes it back opened.
        mishap: says that something happened to it.
        mishaps: what can happen.
        under_exception: gives it out although something is in its way.
        case: the case that it is kept for.
    """

    title: str
    frame: FrameShown
    store: str
    line: PackLine
    facts: tuple[Option, ...]
    obstacles: tuple[Option, ...]
    put_in: ActShown | None
    issue: ActShown | None
    reserve: ActShown | None
    unreserve: ActShown | None
    back_whole: ActShown | None
    back_opened: ActShown | None
    mishap: ActShown | None
    mishaps: tuple[Option, ...]
    under_exception: ActShown | None
    case: str


@dataclass(frozen=True)
class StorePolicyPage:
    """How long packs are kept here, by kind of packaging, by whose word and why."""

    title: str
    address: str
    store: str
    keeps: tuple[Option, ...]
    kinds: tuple[Option, ...]


class ScannedPack(Form):
    """What a scanner typed at the store."""

    code: str = Field("", max_length=200)
    key: str = Field("", max_length=70)
    station: str = Field("", max_length=40)
    copy_id: str = Field("", max_length=100)


class PhotoOfPack(Form):
    """Where a photo of a code was taken."""

    station: str = Field("", max_length=40)


class KeepFor(Form):
    """How many days packs of one kind are kept; none where only what happens ends them; and why."""

    packaging: str = Field("", max_length=20)
    days: str = Field("", max_length=5)
    reason: str = Field("", max_length=2000)


@screen.page(STORE, right=READ, template="bench_store.html")
def store_page(asked: Asked, *, text: Annotated[str, Query(max_length=100)] = "") -> StorePage:
    """What the store sees."""
    found = store_list.find_store(asked.archive, asked.visitor, text=text, now=asked.now)
    names = _names(asked, (*found.waiting, *found.stored, *found.issued, *found.held))
    lines = {
        name: tuple(_line(asked, one, names) for one in getattr(found, name))
        for name in ("waiting", "held", "stored", "issued")
    }
    return StorePage(
        title="Store",
        address=asked.at("/bench/store"),
        bench=asked.at("/bench"),
        frame=_frame(asked, asked.at("/bench/store")),
        text=text,
        **lines,
        in_store=found.counts.get(Place.in_store.value, 0),
        rooms=tuple(
            RoomLine(one.thing.name, one.state.replace("-", " "), asked.at(f"/machines/{one.thing.id}"))
            for one in found.rooms
        ),
        keeps=tuple(_keeps_words(one) for one in found.policy.keeps),
        policy=asked.at("/bench/store-policy"),
    )


@screen.act(f"{STORE}/scan", right=READ, form=ScannedPack, page=store_page)
def scan_pack(asked: Asked, form: ScannedPack) -> Done:
    """Open the pack that was scanned."""
    return _opened(asked, form.code)


def _opened(asked: Asked, code: str) -> Done:
    copy = find_copy(asked.archive, asked.visitor, code.strip())
    store_list.see_pack(asked.archive, asked.visitor, copy.id, now=asked.now)
    return Done(go=asked.at(f"/bench/store/{copy.id}"))


@screen.act(f"{STORE}/photo", right=READ, form=PhotoOfPack, page=store_page, uploads="photo")
def photograph_pack(asked: Asked, form: PhotoOfPack, photos: tuple[Upload, ...]) -> Done:
    """Open the pack whose code the camera took."""
    del form
    return _opened(asked, code_on_photo(photos[0].handed_in()))


#: What can be done with a pack, by its form: the words of its button, how loud it is, and the act.
_FORMS: Final[Mapping[str, tuple[str, str, dict[str, object]]]] = {
    "put-in": ("Put in store", "main", {"act": "put-in-store"}),
    "issue": ("It is whole, dry, readable: issue it", "main", {"act": "issue", "whole": True}),
    "reserve": ("Keep it for this case", "second", {"act": "reserve"}),
    "unreserve": ("Keep it for no case", "second", {"act": "unreserve"}),
    "back-whole": ("It comes back unopened and whole", "main", {"act": "take-back", "whole": True}),
    "back-opened": ("It comes back opened or harmed", "second", {"act": "take-back", "whole": False}),
    "mishap": ("It goes along its whole route again", "grave", {"act": "pack-mishap"}),
    "except": ("Issue it under exception", "grave", {"act": "issue-under-exception"}),
}


@screen.page(PACK, right=READ, template="bench_pack.html")
def pack_page(asked: Asked, copy_id: str) -> PackPage:
    """One pack: who released it, whether it keeps, and what can be done with it."""
    seen = store_list.see_pack(asked.archive, asked.visitor, copy_id, now=asked.now)
    line = _line(asked, seen, _names(asked, [seen]))
    offered = _offered(asked, seen)
    return PackPage(
        title=f"{seen.copy.name}, {seen.copy.code}",
        frame=_frame(asked, line.address),
        store=asked.at("/bench/store"),
        line=line,
        facts=_facts(asked, seen),
        obstacles=_obstacles(seen),
        put_in=offered["put-in"],
        issue=offered["issue"],
        reserve=offered["reserve"],
        unreserve=offered["unreserve"],
        back_whole=offered["back-whole"],
        back_opened=offered["back-opened"],
        mishap=offered["mishap"],
        mishaps=tuple(Option(one.value, words.capitalize()) for one, words in MISHAP_WORDS.items()),
        under_exception=offered["except"],
        case=seen.said("reserved"),
    )


def _offered(asked: Asked, seen: store_list.PackSeen) -> dict[str, ActShown | None]:
    """What can be done with a pack by whoever asks, by its form; nothing for what cannot be done now."""
    may, place = asked.visitor.may(_WORK), seen.opened.run.place
    clear = not seen.obstacles and seen.kept.is_sound
    given, kept = place is Place.issued, may and place is Place.in_store
    reserved = bool(seen.said("reserved"))
    when = {
        "put-in": may and place is Place.sterilized and clear,
        "issue": kept and clear,
        "reserve": kept and clear and not reserved,
        "unreserve": kept and reserved,
        "back-whole": may and given,
        "back-opened": may and given,
        "mishap": may and not given,
        "except": asked.visitor.may(_EXCEPT) and not clear and not given,
    }
    acts = Acts(seen.copy.code, seen.copy.name)
    return {
        form: acts.make(form, words, act, style=style) if when[form] else None
        for form, (words, style, act) in _FORMS.items()
    }


@screen.page(f"{PLACE}/store-policy", right=READ, template="bench_store_policy.html")
def store_policy_page(asked: Asked) -> StorePolicyPage:
    """How long packs are kept here."""
    found = store_list.find_store(asked.archive, asked.visitor, now=asked.now).policy
    names = names_of(asked.archive, {one.by for one in found.keeps if one.by})
    return StorePolicyPage(
        title="How long packs are kept",
        address=asked.at("/bench/store-policy"),
        store=asked.at("/bench/store"),
        keeps=tuple(
            Option(_keeps_words(one), f"{one.reason} ({names.get(one.by, one.by)})") for one in found.keeps
        ),
        kinds=tuple(Option(one, one.capitalize()) for one in sorted(BARRIERS)),
    )


@screen.act(f"{PLACE}/store-policy", right="department-edit", form=KeepFor, page=store_policy_page)
def settle_store_policy(asked: Asked, form: KeepFor) -> Done:
    """Settle how long packs of one kind are kept here."""
    if form.days and not form.days.strip().isdecimal():
        raise BadInput("expected a whole number of days, or nothing", resource="days")
    days = int(form.days) if form.days else None
    store_policy.keep_for(
        asked.archive, asked.visitor, form.packaging, days, reason=form.reason, now=asked.now
    )
    return Done(go=asked.at("/bench/store-policy"), said="Kept.")


def _frame(asked: Asked, here: str) -> FrameShown:
    store = asked.at("/bench/store")
    return replace(frame(asked, here=here), scan=f"{store}/scan", photo=f"{store}/photo")


def _names(asked: Asked, packs: Iterable[PackSeen]) -> Mapping[str, str]:
    return names_of(asked.archive, {one.released.person for one in packs if one.released.person})


def _line(asked: Asked, seen: PackSeen, names: Mapping[str, str]) -> PackLine:
    found = _obstacles(seen)
    return PackLine(
        address=asked.at(f"/bench/store/{seen.copy.id}"),
        name=seen.copy.name,
        code=seen.copy.code,
        place=seen.copy.place,
        says=_says(asked, seen, names),
        level=found[0].id if found else "",
        why=" ".join(one.words for one in found),
    )


def _obstacles(seen: PackSeen) -> tuple[Option, ...]:
    """What stands in the way of a pack, then what is to know of it; nothing of one that is given out."""
    if seen.opened.run.place is Place.issued:
        return ()
    stops = [Option("stop", f"{one[:1].upper()}{one[1:].rstrip('.')}.") for one in seen.obstacles]
    kept = [Option(one.level.value, one.message) for one in seen.kept.findings]
    return tuple(sorted((*stops, *kept), key=lambda one: one.id != "stop"))


def _says(asked: Asked, seen: PackSeen, names: Mapping[str, str]) -> str:
    """How it stands in words: released by whom, in store, for which case, until when."""
    released, place = seen.released, seen.opened.run.place
    told = []
    if released.person and released.at is not None:
        name = names.get(released.person, released.person)
        told.append(f"released by {name}, {shown_moment(released.at, asked.visitor.zone)}")
    exception = seen.said("exception")
    where = {Place.sterilized: "not in store yet", Place.in_store: "in store"}
    given = f"issued {'under exception ' if exception else ''}to case {seen.said('case')}"
    told.append(where.get(place, given))
    if seen.said("reserved"):
        told.append(f"kept for case {seen.said('reserved')}")
    if seen.kept.until is not None and place is not Place.issued:
        told.append(f"use by {seen.kept.until.isoformat()}")
    return f"{', '.join(told)[:1].upper()}{', '.join(told)[1:]}."


def _facts(asked: Asked, seen: PackSeen) -> tuple[Option, ...]:
    run, zone = seen.opened.run, asked.visitor.zone
    loads = ", ".join(f"{one.machine}, {one.program}, {shown_moment(one.at, zone)}" for one in run.loads[-1:])
    told = {
        "Place": seen.copy.place,
        "Packed": shown_moment(run.packed.at, zone) if run.packed else "",
        "Label": run.packed.label if run.packed else "",
        "Load": loads,
        "Use by": seen.kept.until.isoformat() if seen.kept.until else "no day: until something happens to it",
    }
    return tuple(Option(words, said) for words, said in told.items() if said)


def _keeps_words(one: Keeps) -> str:
    kept = f"{one.days} days" if one.days else "until something happens to them"
    return f"In a {one.packaging}: {kept}"
