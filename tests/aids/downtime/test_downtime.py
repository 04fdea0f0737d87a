"""The paper pack: a form for every machine, with lines that no two sheets share."""

from __future__ import annotations

import re

import pytest

from sinkside.aids.count_sheet import SheetSize
from sinkside.aids.downtime import DowntimeRequest, downtime_pdf
from sinkside.aids.papers import sheets
from sinkside.aids.papers.bilingual import Readers
from sinkside.errors import BadInput, NotForTheFloor
from support.pdf_words import IN_OTHER_LANGUAGES, faults_of_place, text_of, without_gaps
from support.routing import a_department, a_program, a_sterilizer

SITE = a_department(
    a_sterilizer(a_program("134 °C", "5 min", "25 min"), a_program("132 °C", "4 min", "30 min"))
)


@pytest.mark.parametrize("size", SheetSize)
def test_every_machine_has_a_form_with_its_programs(size: SheetSize) -> None:
    """Each washer and sterilizer is named with all its programs, a form is one sheet, nothing overlaps."""
    pdf = downtime_pdf(DowntimeRequest(SITE, "2026-11-30", size))
    told = without_gaps(text_of(pdf))
    washers = [one for one in SITE.machines if one.kind.value == "washer-disinfector"]
    loads = [one for one in SITE.machines if "sterilizer" in one.kind.value]
    for machine, title in [
        *((one, "Wash load") for one in washers),
        *((one, "Sterilizer load") for one in loads),
    ]:
        assert without_gaps(f"{title}: {machine.name}") in told
        assert [one.name for one in machine.programs if without_gaps(one.name) not in told] == []
    assert sheets(pdf) == 1 + 3 + len(washers) + len(loads)
    assert faults_of_place(pdf, margin=20) == []


def test_no_two_lines_share_a_number() -> None:
    """On three sheets of each form every line has a number of its own, so that none is entered twice."""
    numbers = re.findall(
        r"^([A-Z]+\d+-\d+)",
        text_of(downtime_pdf(DowntimeRequest(SITE, "2026-11-30", sheets=3))),
        re.MULTILINE,
    )
    assert len(numbers) > 80
    assert len(set(numbers)) == len(numbers)


def test_the_pack_says_that_no_sheet_releases_a_load() -> None:
    """The first sheet says who releases, and that true times are written."""
    told = without_gaps(text_of(downtime_pdf(DowntimeRequest(SITE, "2026-11-30"))))
    assert without_gaps("No sheet releases a load. A qualified person does, by name.") in told
    assert without_gaps("Write the time at which a thing happened") in told


@pytest.mark.parametrize("sheets_of_each", [0, 41])
def test_a_number_of_sheets_beyond_reason_is_refused(sheets_of_each: int) -> None:
    """None, or more than anybody carries, is refused with what was expected."""
    with pytest.raises(BadInput, match="expected 1 to 40"):
        DowntimeRequest(SITE, "2026-11-30", sheets=sheets_of_each)


@pytest.mark.parametrize("language", IN_OTHER_LANGUAGES)
def test_the_pack_speaks_every_language_on_as_many_sheets(language: str) -> None:
    """Each form stays on one sheet with all its words apart, English beside and every program to tick."""
    pdf = downtime_pdf(DowntimeRequest(SITE, "2026-11-30", readers=Readers((language,), proof=True)))
    assert sheets(pdf) == sheets(downtime_pdf(DowntimeRequest(SITE, "2026-11-30")))
    assert faults_of_place(pdf, margin=20) == []
    told = without_gaps(text_of(pdf))
    programs = [program.name for machine in SITE.machines for program in machine.programs]
    wanted = ["No sheet releases a load.", "Sterilizer load", "Load number", *programs]
    assert [words for words in wanted if without_gaps(words) not in told] == []


def test_a_pack_in_words_that_nobody_reviewed_is_refused() -> None:
    """In another language the pack is refused until its templates were reviewed."""
    with pytest.raises(NotForTheFloor, match="not reviewed in French"):
        downtime_pdf(DowntimeRequest(SITE, "2026-11-30", readers=Readers(("fr",))))
