"""Papers in the house: known by their code, hung by named people, and never out of date unseen."""

from __future__ import annotations

import io
from datetime import UTC, datetime

import pdfplumber
import pytest
import zxingcpp

from sinkside import wiring
from sinkside.aids.papers import Kind
from sinkside.desk import (
    departments,
    paper_packs,
    paper_printing,
    paper_register,
    record_book,
    set_layout,
    sets,
    today,
    translations,
)
from sinkside.desk.jobs import work_once
from sinkside.desk.keeping import keep_next
from sinkside.desk.paper_codes import LENGTH
from sinkside.desk.paper_making import PaperChoice
from sinkside.desk.paper_packs import PackWanted
from sinkside.desk.paper_pictures import page_sizes
from sinkside.desk.paper_printing import Wanted
from sinkside.errors import BadInput, Conflict, NotAllowed, NotForTheFloor, NotThere
from sinkside.plain import Units
from sinkside.plain.reviewing import templates_of
from sinkside.records import Job
from sinkside.records import Wanted as WantedEvents
from sinkside.route import Station
from sinkside.sets import read_set
from sinkside.sets.layout import Layout, Tray
from support.desk_house import House, drafted
from support.paper_house import PLACES, SITE, URL, a_paper_house, drying_changes, four_posters_hang, printed
from support.pdf_words import text_of
from support.set_house import a_device, approved
from support.square_codes import pictures_of, worn


@pytest.fixture
def papers() -> tuple[House, str]:
    """A house with an approved text, and the text's id."""
    return a_paper_house()


def done(house: House, job: str) -> Job:
    """A job after the worker did it."""
    work_once(house.archive, wiring.job_handlers(), worker="w", clock=lambda: house.now)
    with house.archive.unit(writes=False) as unit:
        known = unit.jobs.get(job)
    assert known is not None
    return known


def test_four_posters_are_listed_when_the_drying_changes(papers: tuple[House, str]) -> None:
    """Scene 10: drying goes from 15 to 30 min, approved at 16:00; four posters listed, each a decision."""
    house, hook = papers
    hung = four_posters_hang(house, hook)
    tom = house.visitor("tom")
    assert paper_register.register(house.archive, tom).to_replace == ()
    drying_changes(house, hook)
    listed = paper_register.register(house.archive, tom).to_replace
    assert {one.place.place for one in listed} == set(PLACES)
    for one in listed:
        assert one.known.standing.since == datetime(2026, 3, 2, 15, 0, tzinfo=UTC)  # 16:00 in Vienna
        assert any("drying" in said and "15" in said and "30" in said for said in one.known.standing.changes)
    matters = [one for one in today.today(house.archive, tom, now=house.now) if one.noun == "paper"]
    assert len(matters) == 4
    for number, (key, how) in enumerate(zip(hung, ("replaced", "removed") * 2, strict=True), start=1):
        code = listed[0].known.code
        paper_register.end(house.archive, tom, code, key, how=how, now=house.later(minutes=1))  # type: ignore[arg-type]
        left = [one for one in today.today(house.archive, tom, now=house.now) if one.noun == "paper"]
        assert len(left) == 4 - number
    told = record_book.read_record(house.archive, house.visitor("lena"), WantedEvents(limit=4)).entries
    assert [one.sentence.split(":")[0] for one in told] == [
        "Tom took away 1 copy of a paper of Quarl 3 hook",
        "Tom replaced 1 copy of a paper of Quarl 3 hook by the current one",
    ] * 2


def test_the_code_on_the_poster_opens_its_page(papers: tuple[House, str]) -> None:
    """A reader of another make than the writer finds the address; edition, day and department stand there."""
    house, hook = papers
    wanted = Wanted(hook, PaperChoice(Kind.poster), URL)
    made = paper_printing.print_paper(house.archive, house.visitor("eve"), wanted, now=house.now)
    (sheet,) = pictures_of(made.pdf)
    corner = sheet.crop((sheet.width // 2, 0, sheet.width, sheet.width // 2))
    for turn in (0.0, 7.0, 90.0):
        (code,) = zxingcpp.read_barcodes(worn(corner, turn=turn, blur=1.0))
        assert code.text == f"{URL}/{made.code}"
    assert len(made.code) == LENGTH
    with pdfplumber.open(io.BytesIO(made.pdf)) as document:
        text = document.pages[0].extract_text()
    assert all(words in text for words in ("edition 1", "Printed 2026-03-02", "Test department"))


def test_the_same_paper_has_the_same_code_and_another_revision_another(papers: tuple[House, str]) -> None:
    """Printed twice it is one paper; size, station, language and revision make it another."""
    house, hook = papers
    first = printed(house, hook)
    house.later(days=1)
    assert printed(house, hook, by="lena") == first
    card = printed(house, hook, PaperChoice(Kind.card, station=Station.sterilizer))
    inspection = printed(house, hook, PaperChoice(Kind.inspection))
    drying_changes(house, hook)
    assert len({first, card, inspection, printed(house, hook)}) == 4
    opened = paper_register.open_paper(house.archive, house.visitor("olga"), first.upper())
    assert opened.known.standing.state == "replaced"


def test_an_old_paper_is_neither_printed_nor_hung_again(papers: tuple[House, str]) -> None:
    """After the change the old code refuses both; its page leads to the paper in force."""
    house, hook = papers
    code = printed(house, hook)
    drying_changes(house, hook)
    eve = house.visitor("eve")
    with pytest.raises(Conflict, match="replaced"):
        paper_printing.printed_again(house.archive, eve, code, now=house.now, papers_url=URL)
    with pytest.raises(Conflict, match="print and hang the current one"):
        paper_register.hang(house.archive, eve, code, place="Sink 1", copies=1, now=house.now)
    known = paper_register.open_paper(house.archive, eve, code).known
    again = paper_printing.wanted_again(known.paper, URL)
    made = paper_printing.print_paper(house.archive, eve, again, now=house.now)
    assert paper_register.open_paper(house.archive, eve, made.code).known.standing.is_current


def test_a_department_that_changes_its_route_makes_its_papers_old(papers: tuple[House, str]) -> None:
    """Another machine name is on the poster, so the poster is old; what is on no poster leaves it current."""
    house, hook = papers
    code, lena = printed(house, hook), house.visitor("lena")
    departments.keep_department(
        house.archive, lena, SITE.model_copy(update={"hospital": "Elsewhere"}), now=house.later(hours=1)
    )
    assert paper_register.open_paper(house.archive, lena, code).known.standing.is_current
    machine = SITE.machines[0].model_copy(update={"name": "New sterilizer"})
    departments.keep_department(
        house.archive, lena, SITE.model_copy(update={"machines": (machine,)}), now=house.later(hours=1)
    )
    standing = paper_register.open_paper(house.archive, lena, code).known.standing
    assert (standing.state, standing.since) == ("replaced", house.now)
    assert "The department changed what it works with" in standing.changes[0]


@pytest.mark.parametrize(
    ("place", "copies", "error", "why"),
    [
        ("  ", 1, BadInput, "expected where it hangs"),
        ("Sink 1", 0, BadInput, "expected 1 to 99"),
        ("SINK  1", 1, Conflict, "hangs there already"),
    ],
)
def test_what_will_not_do_is_not_noted(
    papers: tuple[House, str], place: str, copies: int, error: type[Exception], why: str
) -> None:
    """Nowhere, no copy, and the same place twice are refused, and nothing is written."""
    house, hook = papers
    code, tom = printed(house, hook), house.visitor("tom")
    paper_register.hang(house.archive, tom, code, place="Sink 1", copies=1, now=house.now)
    with pytest.raises(error, match=why):
        paper_register.hang(house.archive, tom, code, place=place, copies=copies, now=house.now)
    assert len(paper_register.register(house.archive, tom).current) == 1


def test_a_current_paper_is_taken_away_only_with_a_reason(papers: tuple[House, str]) -> None:
    """Nothing takes the place of what is in force; taken away, somebody says why, and once."""
    house, hook = papers
    key, tom = four_posters_hang(house, hook)[0], house.visitor("tom")
    code = printed(house, hook)
    with pytest.raises(BadInput, match="none to take its place"):
        paper_register.end(house.archive, tom, code, key, how="replaced", now=house.now)
    with pytest.raises(BadInput, match="expected why"):
        paper_register.end(house.archive, tom, code, key, how="removed", why=" ", now=house.now)
    paper_register.end(house.archive, tom, code, key, how="removed", why="Sink 1 is moved", now=house.now)
    with pytest.raises(Conflict, match="already"):
        paper_register.end(house.archive, tom, code, key, how="removed", why="again", now=house.now)


def test_an_auditor_reads_and_hangs_nothing(papers: tuple[House, str]) -> None:
    """Who may read sees every paper; only who works here says what hangs where."""
    house, hook = papers
    code, olga = printed(house, hook), house.visitor("olga")
    assert paper_register.open_paper(house.archive, olga, code).known.standing.is_current
    with pytest.raises(NotAllowed, match="say where papers hang"):
        paper_register.hang(house.archive, olga, code, place="Sink 1", copies=1, now=house.now)
    with pytest.raises(NotThere, match="no paper with this code"):
        paper_register.open_paper(house.archive, olga, "0000000000")


def test_what_nobody_approved_prints_as_a_proof_alone(papers: tuple[House, str]) -> None:
    """A draft is refused with what to do; its proof leads to no live page and can be hung nowhere."""
    house, _ = papers
    draft = drafted(house, "eve", a_device("Quarl 9 rasp", drying=15))
    eve = house.visitor("eve")
    wanted = Wanted(draft, PaperChoice(Kind.poster), URL)
    with pytest.raises(NotForTheFloor, match="nobody has approved revision 1; have it approved"):
        paper_printing.look(house.archive, eve, wanted, now=house.now)
    proof = Wanted(draft, PaperChoice(Kind.poster), URL, proof=True)
    made = paper_printing.look(house.archive, eve, proof, now=house.now)
    assert [one.text for one in zxingcpp.read_barcodes(pictures_of(made.pdf)[0]) if URL in one.text] == []
    with pytest.raises(Conflict, match="hangs nowhere"):
        paper_printing.print_paper(house.archive, eve, proof, now=house.now)


def test_all_papers_of_a_set_are_one_file_with_what_was_left_out(papers: tuple[House, str]) -> None:
    """The pack has every paper that prints, each known by its code, and says of the others why not."""
    house, _ = papers
    approved(house, a_device("Quarl 5 punch", drying=30))
    drafted(house, "eve", a_device("Quarl 9 rasp", drying=15))
    members = [{"instruction": f"Quarl {name}"} for name in ("3 hook", "5 punch", "9 rasp", "11 saw")]
    key = sets.make_set(
        house.archive, house.visitor("eve"), read_set({"name": "Hand set", "members": members}), now=house.now
    )
    kinds = (Kind.poster, Kind.inspection)
    wanted = PackWanted("set", key, URL, kinds=kinds, languages=("en", "de"))
    job = done(house, paper_packs.ask_for_pack(house.archive, house.visitor("eve"), wanted, now=house.now))
    assert (job.state, job.done, job.total) == ("done", 8, 8)
    pack = paper_packs.open_pack(house.archive, house.visitor("tom"), job.id)
    assert len(pack.held) == 4
    assert len(page_sizes(pack.pdf)) >= 4
    assert len(paper_register.register(house.archive, house.visitor("tom")).nowhere) == 4
    assert any("rasp" in said and "nobody has approved" in said for said in pack.refused)
    assert any("punch" in said and "not reviewed in German" in said for said in pack.refused)
    assert any("saw" in said and "no one text" in said for said in pack.refused)


def test_words_that_nobody_reviewed_do_not_print_for_the_floor(papers: tuple[House, str]) -> None:
    """German is refused by name and shown as a proof; once a person reviewed it, it prints."""
    house, hook = papers
    eve, german = house.visitor("eve"), PaperChoice(Kind.poster, "de")
    with pytest.raises(NotForTheFloor, match=r"not reviewed in German: .* reviewed under Languages"):
        paper_printing.look(house.archive, eve, Wanted(hook, german, URL), now=house.now)
    assert paper_printing.look(house.archive, eve, Wanted(hook, german, URL, proof=True), now=house.now).pdf
    digests = [template.digest for template in templates_of("de")]
    translations.review_templates(house.archive, house.visitor("uma"), "de", digests, now=house.now)
    code = printed(house, hook, german)
    assert paper_register.open_paper(house.archive, eve, code).known.paper.languages == ("de",)


def test_units_of_the_department_make_another_paper(papers: tuple[House, str]) -> None:
    """134 °C is shown as 273.2 °F (exactly 134 × 9/5 + 32) where °F is read, under another code."""
    house, hook = papers
    choice = PaperChoice(Kind.poster, units=Units(temperature="°F"))
    made = paper_printing.print_paper(
        house.archive, house.visitor("eve"), Wanted(hook, choice, URL), now=house.now
    )
    assert "273" in text_of(made.pdf)
    assert made.code != printed(house, hook)


def test_the_papers_of_a_change_are_made_anew_each_once(papers: tuple[House, str]) -> None:
    """Four outdated copies of one poster and a card: two current papers come out as one file."""
    house, hook = papers
    four_posters_hang(house, hook)
    card = printed(house, hook, PaperChoice(Kind.card, station=Station.sterilizer))
    paper_register.hang(
        house.archive, house.visitor("tom"), card, place="Sterilizer 2", copies=1, now=house.now
    )
    drying_changes(house, hook)
    wanted = PackWanted("change", hook, URL)
    job = done(house, paper_packs.ask_for_pack(house.archive, house.visitor("eve"), wanted, now=house.now))
    assert len(paper_packs.open_pack(house.archive, house.visitor("eve"), job.id).held) == 2


def test_a_count_sheet_is_old_once_the_set_or_a_text_of_it_changes(papers: tuple[House, str]) -> None:
    """The sheet rests on the set and on the texts of its devices; a change of either shows on its page."""
    house, hook = papers
    eve = house.visitor("eve")
    document = read_set({"name": "Hand set", "members": [{"instruction": "Quarl 3 hook", "count": 2}]})
    key = sets.make_set(house.archive, eve, document, now=house.now)
    sheet = paper_printing.print_paper(house.archive, eve, Wanted(key, None, URL), now=house.now)
    assert paper_register.open_paper(house.archive, eve, sheet.code).known.standing.is_current
    more = read_set({"name": "Hand set", "members": [{"instruction": "Quarl 3 hook", "count": 3}]})
    sets.change_set(house.archive, eve, key, more, base=1, now=house.later(hours=1))
    standing = paper_register.open_paper(house.archive, eve, sheet.code).known.standing
    assert (standing.state, standing.revision, standing.since) == ("replaced", 2, house.now)
    assert any("2" in said and "3" in said for said in standing.changes)
    anew = paper_printing.print_paper(house.archive, eve, Wanted(key, None, URL), now=house.now)
    drying_changes(house, hook)
    assert not paper_register.open_paper(house.archive, eve, anew.code).known.standing.is_current


def test_a_count_sheet_shows_the_tray_and_is_old_once_it_is_laid_out_anew(papers: tuple[House, str]) -> None:
    """Laid out, the sheet of before is old; the new one has the map, and is old after the next layout."""
    house, _ = papers
    eve = house.visitor("eve")
    document = read_set({"name": "Hand set", "members": [{"instruction": "Quarl 3 hook"}]})
    key = sets.make_set(house.archive, eve, document, now=house.now)
    codes: list[str] = []
    for length in (0, 480, 500):
        if length:
            tray = Tray(name="mesh tray", length_mm=length, width_mm=250)
            with house.archive.unit() as unit:
                laid = Layout(set="Hand set", revision=1, tray=tray)
                keep_next(unit, set_layout.KIND, key, laid, by=eve.person, now=house.later(hours=1))
            standing = paper_register.open_paper(house.archive, eve, codes[-1]).known.standing
            assert (standing.state, standing.since) == ("replaced", house.now)
            assert "laid out anew" in standing.changes[0]
        made = paper_printing.print_paper(house.archive, eve, Wanted(key, None, URL), now=house.now)
        assert (f"{length} × 250" in text_of(made.pdf)) is bool(length)
        codes.append(made.code)
    assert paper_register.open_paper(house.archive, eve, codes[-1]).known.standing.is_current
