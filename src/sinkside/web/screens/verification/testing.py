"""Testing one piece: a short form; and a result, with what follows from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from urllib.parse import urlencode

from pydantic import Field

from sinkside.bench.programmes.due import Piece
from sinkside.bench.programmes.programme import Reading, TestResult
from sinkside.desk.people import names_of
from sinkside.desk.programmes import seeing, testing
from sinkside.desk.programmes.policy import READ, RECORD
from sinkside.desk.recall.rights import OPEN as OPEN_RECALL
from sinkside.language import measure
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.verification.place import read_day, screen, when
from sinkside.web.screens.verification.programmes import ONE, mark_words
from sinkside.web.typed_codes import codes_at_fields
from sinkside.web.typed_moments import typed

_LONGEST: Final = 2000
_SEEN: Final = (Option("nothing", "Nothing"), Option("something", "Something"))


@dataclass(frozen=True)
class PlaceAsked:
    """One place of the device: its field, what it is called."""

    field: str
    words: str


@dataclass(frozen=True)
class TestPage:
    """The form of one test.

    Attributes:
        title: which device is tested.
        address: of the form.
        back: the programme.
        programme: its name.
        how: how the method is done.
        mark: what passes.
        due: when it is due.
        pieces: which pieces come next, the longest untested first.
        places: where samples are taken.
        unit: of the numbers; empty where the answer is whether anything is seen.
        seen: the two answers where there are no numbers.
        kit: whether a lot and a last day are asked for.
        lot: the kit used last, while it has not expired.
        expires: its last day.
    """

    __test__ = False

    title: str
    address: str
    back: str
    programme: str
    how: str
    mark: str
    due: str
    pieces: tuple[str, ...]
    places: tuple[PlaceAsked, ...]
    unit: str
    seen: tuple[Option, ...]
    kit: bool
    lot: str
    expires: str


@dataclass(frozen=True)
class ResultPage:
    """One result, and what follows where it did not pass.

    Attributes:
        title: the device.
        back: the programme.
        passed: whether it passed.
        facts: what is known of it, each with its name.
        readings: place by place: place, what was found, whether that passed.
        beside: what else lay in the same washer load, where it was then.
        load: the address of that load; empty where none is known.
        recall: the address of a recall with the cause filled in; empty where it passed, or for who may not.
    """

    title: str
    back: str
    passed: bool
    facts: tuple[tuple[str, str], ...]
    readings: tuple[tuple[str, str, bool], ...]
    beside: tuple[tuple[str, str, str], ...]
    load: str
    recall: str


class Tested(Form):
    """What was found, place by place; the code of the piece; the kit."""

    code: str = Field("", max_length=200)
    found_1: str = Field("", max_length=40)
    found_2: str = Field("", max_length=40)
    found_3: str = Field("", max_length=40)
    found_4: str = Field("", max_length=40)
    found_5: str = Field("", max_length=40)
    found_6: str = Field("", max_length=40)
    lot: str = Field("", max_length=_LONGEST)
    expires: str = Field("", max_length=40)
    note: str = Field("", max_length=_LONGEST)

    @property
    def found(self) -> tuple[str, ...]:
        """What was found, in the order of the places."""
        return (self.found_1, self.found_2, self.found_3, self.found_4, self.found_5, self.found_6)


@screen.page(f"{ONE}/test/{{tested}}", right=RECORD, template="verification_test.html")
def test_form(asked: Asked, programme: str, tested: str) -> TestPage:
    """The form of one test of one device."""
    known = seeing.see_test(asked.archive, asked.visitor, programme, tested, now=asked.now)
    seen, device = known.seen, known.due.device
    address = asked.at(f"/verification/programmes/{programme}")
    return TestPage(
        title=device.name,
        address=f"{address}/test/{tested}",
        back=address,
        programme=seen.programme.name,
        how=seen.method.how,
        mark=mark_words(seen),
        due=when(known.due.day, seen.day),
        pieces=tuple(_piece(asked, one) for one in known.pieces),
        places=tuple(
            PlaceAsked(f"found_{number}", words[0].upper() + words[1:])
            for number, words in enumerate(device.places, 1)
        ),
        unit=seen.method.unit if seen.programme.at_most is not None else "",
        seen=_SEEN if seen.programme.at_most is None else (),
        kit=seen.method.kit,
        lot=known.lot,
        expires=known.expires,
    )


@screen.act(f"{ONE}/test/{{tested}}", right=RECORD, form=Tested, page=test_form)
def record_test(asked: Asked, form: Tested, programme: str, tested: str) -> Done:
    """Keep what was found; a failed test holds what the policy says."""
    found = testing.Found(form.found, form.code, form.lot, read_day(form.expires, "expires"), form.note)
    with codes_at_fields():
        kept = testing.record_test(asked.archive, asked.visitor, programme, tested, found, now=asked.now)
    address = asked.at(f"/verification/programmes/{programme}")
    if kept.step is None:
        return Done(go=address, said=f"{kept.result.device_name}: passed.")
    return Done(go=f"{address}/results/{kept.id}", said=f"Not passed. {kept.step.what}")


@screen.page(f"{ONE}/results/{{result}}", right=READ, template="verification_result.html")
def result_page(asked: Asked, programme: str, result: str) -> ResultPage:
    """One result."""
    known = seeing.see_result(asked.archive, asked.visitor, programme, result)
    names = names_of(asked.archive, {known.by})
    kit = f"lot {known.kit_lot}, good until {known.kit_expires}" if known.kit_lot else ""
    facts = (
        ("Tested", f"{shown_moment(known.at, asked.visitor.zone)} by {names.get(known.by, known.by)}"),
        ("Code", known.code),
        ("Kit", kit),
        ("Washed in", known.machine_name),
        ("Passed before", shown_moment(known.since, asked.visitor.zone) if known.since else "never"),
        ("Note", known.note),
    )
    return ResultPage(
        title=f"Cleaning test: {known.device_name}",
        back=asked.at(f"/verification/programmes/{programme}"),
        passed=known.passed,
        facts=tuple((name, words) for name, words in facts if words),
        readings=tuple((one.place, _found(one), one.met) for one in known.readings),
        beside=tuple((one.code, one.name, one.place) for one in known.beside),
        load=asked.at(f"/bench/loads/{known.load}") if known.load else "",
        recall=_recall(asked, known),
    )


def _piece(asked: Asked, one: Piece) -> str:
    tested = f"tested {shown_moment(one.tested, asked.visitor.zone)[:10]}" if one.tested else "never tested"
    return f"{one.code}: {one.place}, {tested}"


def _found(one: Reading) -> str:
    if one.value is not None:
        return measure(one.value, one.unit)
    return "something seen" if one.seen else "nothing seen"


def _recall(asked: Asked, known: TestResult) -> str:
    """Where a recall is looked at with this cause: the washer since this device last passed, else the set."""
    if known.passed or not asked.visitor.may(OPEN_RECALL) or not (known.machine or known.code):
        return ""
    words = f"The cleaning test of {known.device_name} did not pass: {', '.join(known.failed_at)}."
    sent = (
        {"kind": "machine", "of": known.machine} if known.machine else {"kind": "product", "of": known.code}
    )
    if known.since:
        sent["since"] = typed(asked, known.since)
    return asked.at(f"/recalls/new?{urlencode({**sent, 'words': words[:500]})}")
