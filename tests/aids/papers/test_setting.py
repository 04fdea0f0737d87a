"""How a poster is set: words are never markup, and heights that were added up are those of what is set."""

from __future__ import annotations

import json
from dataclasses import replace

import pypdfium2
import pytest

from sinkside.aids.fonts import families, script_of
from sinkside.aids.papers import PaperRequest, paper, paper_pdf, setting
from sinkside.instruction import Instruction
from sinkside.plain.operations import shown_operations
from sinkside.route import Route, RoutedDevice

#: What the typesetter would read as the end of a text, as code, as mathematics, as an escape.
_MARKUP = 'Jaw \\ "#panic()" $x$ *b* `c` \\u{41} //'

#: Every operation in two sizes and on one or two columns, as the typesetter itself measures the whole of it.
_MEASURED = """
#import "/poster.typ": look-of
#import "/operation.typ": operation
#import "/lib.typ": unbroken
#let paper(data) = {
  set document(title: data.title)
  set text(font: data.faces, lang: data.language, size: 14pt, number-type: "lining", hyphenate: false)
  set par(leading: look-of(1, 1, data).leading, spacing: 0.5em)
  show: unbroken.with(data)
  context for (k, columns) in ((1, 1), (1, 2), (1.24, 2)) {
    set block(spacing: 0pt)
    let look = look-of(k, columns, data)
    for row in data.groups.map(group => group.rows).flatten() {
      let (height, body) = operation(row, look)
      let over = (measure(body(false), width: look.width).height - height).pt()
      assert(over < 0.01 and over > -0.5 * 14 * (2 + row.phases.len()), message: repr((over, row.headline)))
    }
  }
  "Measured."
}
"""


@pytest.fixture
def asked(punch: Instruction) -> PaperRequest:
    """A proof of the punch, whose route is its text as it stands."""
    device = RoutedDevice(name=punch.device.name, title="MB-3", revision="2", digest="5f1c0de7a4b2")
    route = Route(
        device=device, department="Sable Bay", resolved=True, operations=shown_operations(None, punch)
    )
    return PaperRequest(instruction=punch, printed="2026-11-30", route=route, proof=True)


def text_of(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    text = " ".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return " ".join(text.split())


def test_words_are_never_markup(asked: PaperRequest) -> None:
    """Quotation marks, backslashes and code in a device's name stand on its poster as they were written."""
    device = asked.instruction.device.model_copy(update={"name": _MARKUP})
    named = asked.instruction.model_copy(update={"device": device})
    assert _MARKUP in text_of(paper_pdf(replace(asked, instruction=named)))


@pytest.mark.parametrize("language", ["en", "de", "ar"])
def test_heights_added_up_are_those_of_what_is_set(asked: PaperRequest, language: str) -> None:
    """No operation stands higher than was reckoned, else a full column would run into the foot.

    Nor is it reckoned at more than a few points above: the typesetter's own measure of the whole decides.
    """
    content = paper._content(replace(asked, languages=(language,)))
    script = script_of(language)
    data = json.dumps({**setting.broken(content), "faces": families(language)}, ensure_ascii=False)
    main = setting._main(data, "poster").decode().split("\n", 1)[1]
    pdf, _ = setting._compiler(script).compile_with_warnings((_MEASURED + main).encode(), format="pdf")
    assert isinstance(pdf, bytes)
    assert "Measured." in text_of(pdf)
