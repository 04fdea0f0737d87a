"""Files that ask for too much, or are not what they call themselves."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Final

#: What stands on a page of a book that has one instruction in it and other languages around it.
_FOREIGN: Final = ("Vor dem ersten Gebrauch lesen.", "Nicht in feuchten Räumen lagern.", "Seite für Notizen.")
_INSTRUCTION: Final = (
    "Example Works",
    "Linnet 5 mm grasping forceps",
    "Cleaning",
    "Rinse the forceps under running tap water of at most 35 °C for at least 1 minute.",
    "Drying",
    "Dry the forceps with medical air for 30 seconds.",
    "Sterilization",
    "Sterilize with steam, fractionated pre-vacuum, 134 °C for 3 minutes, drying time 20 minutes.",
)

#: What a compressed file of some megabytes unfolds into.
_UNFOLDED_BYTES: Final = 1_000_000_000
_PORTION: Final = b"a" * 1_000_000


def book(pages: int) -> bytes:
    """A PDF of many pages with text, one instruction in it (ISO 32000-1, 7.5: objects and their table)."""
    lines = [_INSTRUCTION, *([_FOREIGN * 10] * (pages - 1))]
    kids = " ".join(f"{4 + 2 * number} 0 R" for number in range(pages))
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        f"<< /Type /Pages /Kids [{kids}] /Count {pages} >>".encode(),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
    ]
    for number, page in enumerate(lines):
        objects.append(
            f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents {5 + 2 * number} 0 R "
            "/Resources << /Font << /F 3 0 R >> >> >>".encode()
        )
        objects.append(_text_stream(page))
    return _pdf(objects)


def one_page(drawing: bytes) -> bytes:
    """A PDF of one page with a drawing of its own, in which the font is /F."""
    return _pdf(
        [
            b"<< /Type /Catalog /Pages 2 0 R >>",
            b"<< /Type /Pages /Kids [4 0 R] /Count 1 >>",
            b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
            (
                b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 5 0 R "
                b"/Resources << /Font << /F 3 0 R >> >> >>"
            ),
            b"<< /Length %d >>\nstream\n%s\nendstream" % (len(drawing), drawing),
        ]
    )


def _text_stream(lines: Sequence[str]) -> bytes:
    shown = "".join(f"({line}) Tj T*\n" for line in lines)
    drawing = f"BT /F 10 Tf 14 TL 50 790 Td\n{shown}ET".encode("cp1252")
    return b"<< /Length %d >>\nstream\n%s\nendstream" % (len(drawing), drawing)


def _pdf(objects: Sequence[bytes]) -> bytes:
    made, places = io.BytesIO(b"%PDF-1.7\n"), []
    made.seek(0, io.SEEK_END)
    for number, content in enumerate(objects, start=1):
        places.append(made.tell())
        made.write(b"%d 0 obj\n%s\nendobj\n" % (number, content))
    table = made.tell()
    made.write(b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1))
    made.writelines(b"%010d 00000 n \n" % place for place in places)
    made.write(b"trailer << /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, table))
    return made.getvalue()


def zip_bomb() -> bytes:
    """A word-processor file (ECMA-376-2: a ZIP package) of some megabytes whose text unfolds into 1 GB."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as package:
        package.writestr(
            "[Content_Types].xml",
            '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
            '<Default Extension="rels" '
            'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
            '<Override PartName="/word/document.xml" ContentType="application/vnd.openxmlformats-'
            'officedocument.wordprocessingml.document.main+xml"/></Types>',
        )
        package.writestr(
            "_rels/.rels",
            '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/'
            'relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/'
            'relationships/officeDocument" Target="word/document.xml"/></Relationships>',
        )
        with package.open("word/document.xml", "w") as document:
            document.write(
                b'<?xml version="1.0"?><w:document xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/'
                b'2006/main"><w:body><w:p><w:r><w:t>'
            )
            for _ in range(_UNFOLDED_BYTES // len(_PORTION)):
                document.write(_PORTION)
            document.write(b"</w:t></w:r></w:p></w:body></w:document>")
    return made.getvalue()


def html_page() -> bytes:
    """A page of a browser that somebody saved under the name of a PDF, with a script in it."""
    return b"<!doctype html><title>IFU</title><script>alert(1)</script><p>Cleaning: rinse for 5 min.</p>"


def large_file(path: Path, size: int) -> Path:
    """A file of some size that begins like a PDF and takes no room on the disk."""
    with path.open("wb") as file:
        file.write(b"%PDF-1.7\n")
        file.truncate(size)
    return path
