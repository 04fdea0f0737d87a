"""Word-processor files: numbers, tables, notes and boxes come out, and what is made to swell is refused."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import docx
import pytest
from docx.oxml.parser import parse_xml

from sinkside.draft import draft
from sinkside.draft.lines import Line
from sinkside.draft.pages import read_pages
from sinkside.draft.word_numbers import ListNumbers
from sinkside.errors import UnreadableFile
from sinkside.instruction import StatementKind

Fill = Callable[[Any], None]

_NAMES = (
    'xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"'
    ' xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006"'
    ' xmlns:wps="http://schemas.microsoft.com/office/word/2010/wordprocessingShape"'
    ' xmlns:v="urn:schemas-microsoft-com:vml"'
)


@pytest.fixture
def written(tmp_path: Path) -> Callable[[Fill], Path]:
    """A word-processor file that somebody fills."""

    def make(fill: Fill) -> Path:
        document = docx.Document()
        fill(document)
        path = tmp_path / "leaflet.docx"
        document.save(str(path))
        return path

    return make


def _texts(path: Path) -> list[str]:
    return [line.text for line in read_pages(path).lines]


def _refused(path: Path) -> str:
    with pytest.raises(UnreadableFile) as refused:
        read_pages(path)
    assert "\n" not in refused.value.message
    return refused.value.message


def test_a_leaflet_drafts_as_its_text_does(written: Callable[[Fill], Path]) -> None:
    """Headings give the stages, lists their numbers, and every step knows its line."""

    def fill(document: Any) -> None:
        document.add_heading("Cleaning", 1)
        for text in ("Soak the hook for 10 min at 35 °C.", "Flush the port with 35 mL of tap water."):
            document.add_paragraph(text, style="List Number")
        document.add_heading("Drying", 1)
        document.add_paragraph("Blow medical air through the port for 2 min.")

    steps = draft(written(fill)).steps
    assert [(step.stage.value, step.action.value, step.number) for step in steps] == [
        ("cleaning", "soak", "1"),
        ("cleaning", "flush", "2"),
        ("drying", "blow", None),
    ]
    assert [step.origin.line for step in steps] == [2, 3, 5]


def test_what_a_table_forbids_stays_forbidden(written: Callable[[Fill], Path]) -> None:
    """Every paragraph of a cell under 'Do not' is a prohibition by itself."""

    def fill(document: Any) -> None:
        document.add_heading("Cleaning", 1)
        table = document.add_table(2, 2)
        table.cell(0, 0).text, table.cell(0, 1).text = "Do", "Do not"
        table.cell(1, 0).text, table.cell(1, 1).text = "Rinse for 2 min.", "Soak over night."
        table.cell(1, 1).add_paragraph("Use steel wool.")

    drafted = draft(written(fill))
    assert [step.origin.text for step in drafted.steps] == ["Rinse for 2 min."]
    forbidden = [one.origin.text for one in drafted.statements if one.kind is StatementKind.prohibition]
    assert forbidden == ["Do not: Soak over night.", "Do not: Use steel wool."]


def test_merged_cells_say_the_same_in_every_row(written: Callable[[Fill], Path]) -> None:
    """A cell over two rows holds for both, a head over two columns names both."""

    def fill(document: Any) -> None:
        rows = (
            ("Stage", "Values", ""),
            ("", "Temp. (°C)", "Time (min)"),
            ("Cleaning", "35", "10"),
            ("", "25", "2"),
        )
        table = document.add_table(4, 3)
        for place, row in enumerate(rows):
            for column, text in enumerate(row):
                table.cell(place, column).text = text
        table.cell(0, 1).merge(table.cell(0, 2))
        table.cell(0, 0).merge(table.cell(1, 0))
        table.cell(2, 0).merge(table.cell(3, 0))

    assert _texts(written(fill)) == [
        "| Stage | Values Temp. (°C) | Values Time (min) |",
        "| Cleaning | 35 | 10 |",
        "| Cleaning | 25 | 2 |",
    ]


def test_columns_set_with_tabs_are_columns(written: Callable[[Fill], Path]) -> None:
    """Neighbouring paragraphs with tabs stand under each other."""

    def fill(document: Any) -> None:
        for text in ("Do\tDo not", "Rinse for 2 min\tsoak over night", "Dry at 60 °C\tuse steel wool"):
            document.add_paragraph(text)

    lines = read_pages(written(fill)).lines
    assert [(line.column.head, line.text) for line in lines if line.column] == [
        ("Do", "Rinse for 2 min"),
        ("Do", "Dry at 60 °C"),
        ("Do not", "soak over night"),
        ("Do not", "use steel wool"),
    ]


def test_raised_signs_are_read_for_what_they_mean(written: Callable[[Fill], Path]) -> None:
    """A raised 'o' before C is a degree, a figure behind a figure a power, another the mark of a note."""

    def fill(document: Any) -> None:
        paragraph = document.add_paragraph()
        for text in ("Rinse at 134 ", "^o", "C", "^1", " with 10", "^2", " CFU/mL"):
            run = paragraph.add_run(text.lstrip("^"))
            run.font.superscript = text.startswith("^")

    assert _texts(written(fill)) == ["Rinse at 134 °C with 10² CFU/mL"]


def test_deleted_and_hidden_words_are_not_read(written: Callable[[Fill], Path]) -> None:
    """What a reader of the file does not see was not asked; what was put in was."""

    def fill(document: Any) -> None:
        paragraph = document.add_paragraph("Rinse for ")
        paragraph._p.append(parse_xml(f"<w:del {_NAMES}><w:r><w:delText>20 s</w:delText></w:r></w:del>"))
        paragraph._p.append(parse_xml(f"<w:ins {_NAMES}><w:r><w:t>2 min</w:t></w:r></w:ins>"))
        paragraph.add_run(" in saline").font.hidden = True

    assert _texts(written(fill)) == ["Rinse for 2 min"]


def test_a_text_box_is_read_once(written: Callable[[Fill], Path]) -> None:
    """A box is stored in two renderings; its text follows the paragraph that it hangs on."""
    inner = "<w:txbxContent><w:p><w:r><w:t>No steel wool.</w:t></w:r></w:p></w:txbxContent>"

    def fill(document: Any) -> None:
        run = document.add_paragraph("Rinse for 2 min.").add_run()
        run._r.append(
            parse_xml(
                f"<mc:AlternateContent {_NAMES}><mc:Choice Requires='wps'><wps:txbx>{inner}</wps:txbx>"
                f"</mc:Choice><mc:Fallback><w:pict><v:textbox>{inner}</v:textbox></w:pict></mc:Fallback>"
                "</mc:AlternateContent>"
            )
        )
        document.add_paragraph("Dry it.")

    assert _texts(written(fill)) == ["Rinse for 2 min.", "No steel wool.", "Dry it."]


def _with_part(path: Path, name: str, content: str, *, relation: str, target: str) -> None:
    """Put a further part into a word-processor file, and say so in its relations."""
    with zipfile.ZipFile(path) as archive:
        parts = {member: archive.read(member) for member in archive.namelist()}
    relations = "word/_rels/document.xml.rels"
    kind = f"http://schemas.openxmlformats.org/officeDocument/2006/relationships/{relation}"
    line = f'<Relationship Id="rExtra" Type="{kind}" Target="{target}"/></Relationships>'
    parts[relations] = parts[relations].replace(b"</Relationships>", line.encode())
    parts[name] = content.encode()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for member, data in parts.items():
            archive.writestr(member, data)


def test_a_footnote_follows_its_paragraph(written: Callable[[Fill], Path]) -> None:
    """The note is a paragraph of its own, not lost and not in the midst of a sentence."""

    def fill(document: Any) -> None:
        paragraph = document.add_paragraph("Rinse with critical water")
        reference = f'<w:r {_NAMES}><w:footnoteReference w:id="2"/></w:r>'
        paragraph._p.append(parse_xml(reference))
        paragraph.add_run(" for 2 min.")

    path = written(fill)
    note = "<w:p><w:r><w:t>At most 15 µS/cm.</w:t></w:r></w:p>"
    notes = f'<w:footnotes {_NAMES}><w:footnote w:id="2">{note}</w:footnote></w:footnotes>'
    _with_part(path, "word/footnotes.xml", notes, relation="footnotes", target="footnotes.xml")
    assert _texts(path) == ["Rinse with critical water for 2 min.", "At most 15 µS/cm."]


def test_numbers_of_many_levels_go_on_and_begin_again() -> None:
    """Deeper levels begin again below each item; a list with a start of its own counts for itself."""

    def level(place: int, form: str, pattern: str) -> str:
        return (
            f'<w:lvl w:ilvl="{place}"><w:start w:val="1"/><w:numFmt w:val="{form}"/>'
            f'<w:lvlText w:val="{pattern}"/></w:lvl>'
        )

    levels = level(0, "decimal", "%1.") + level(1, "lowerLetter", "%1.%2)") + level(2, "lowerRoman", "(%3)")
    numbers = ListNumbers.of(
        parse_xml(
            f'<w:numbering {_NAMES}><w:abstractNum w:abstractNumId="7">{levels}</w:abstractNum>'
            '<w:num w:numId="1"><w:abstractNumId w:val="7"/></w:num>'
            '<w:num w:numId="2"><w:abstractNumId w:val="7"/>'
            '<w:lvlOverride w:ilvl="0"><w:startOverride w:val="5"/></w:lvlOverride></w:num></w:numbering>'
        )
    )
    asked = [("1", 0), ("1", 1), ("1", 1), ("1", 2), ("1", 0), ("1", 1), ("2", 0), ("1", 0), ("9", 0)]
    assert [numbers.label(name, place) for name, place in asked] == [
        "1.", "1.a)", "1.b)", "(i)", "2.", "2.a)", "5.", "3.", "",
    ]  # fmt: skip


def _archive(path: Path, members: dict[str, bytes]) -> Path:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    path.write_bytes(data.getvalue())
    return path


@pytest.mark.parametrize(
    ("members", "told"),
    [
        ({"word/document.xml": b"<w/>", "word/media/a.bin": b"a" * 20_000_000}, "150 times"),
        ({f"word/{number}.bin": b"" for number in range(4_001)} | {"word/document.xml": b"<w/>"}, "4,002"),
        (
            {"word/document.xml": b'<!DOCTYPE a [<!ENTITY b "ha">]><w>&b;</w>'},
            "declares markup of its own",
        ),
        (
            {"word/document.xml": '<!DOCTYPE a SYSTEM "file:///etc/hostname"><w/>'.encode("utf-16")},
            "declares",
        ),
        ({"word/document.xml": b"<w/>"}, "broken"),
        ({"word/document.xml": b"<w><w>"}, "broken"),
    ],
)
def test_what_is_made_to_swell_is_refused(tmp_path: Path, members: dict[str, bytes], told: str) -> None:
    """One sentence, before anything is unfolded."""
    assert told in _refused(_archive(tmp_path / "leaflet.docx", members))


@pytest.mark.parametrize(
    ("data", "told"), [(bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 600, ".docx"), (b"Rinse it.", "broken")]
)
def test_what_only_calls_itself_so_is_refused(tmp_path: Path, data: bytes, told: str) -> None:
    """An old or locked file, and a text under a name that promises more."""
    path = tmp_path / "leaflet.docx"
    path.write_bytes(data)
    assert told in _refused(path)


def test_a_list_of_contents_is_no_text(written: Callable[[Fill], Path]) -> None:
    """The lines of the contents say nothing that the headings do not say."""

    def fill(document: Any) -> None:
        document.styles.add_style("TOC 1", 1)
        document.add_paragraph("Cleaning\t2", style="TOC 1")
        document.add_paragraph("Rinse for 2 min.")

    lines: tuple[Line, ...] = read_pages(written(fill)).lines
    assert [line.text for line in lines] == ["Rinse for 2 min."]
