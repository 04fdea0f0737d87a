"""The letter to the maker as a file from the web."""

from __future__ import annotations

import pytest

from sinkside import wiring
from sinkside.desk.jobs import work_once
from web.conftest import NOW, House
from web.test_instructions import NEW, Read, fresh, read

__all__ = ["fresh", "read"]


def test_the_letter_is_a_text_file(fresh: House, read: Read) -> None:
    """Numbered questions about what stands open, saved under the device's name."""
    answer = fresh.caller("educator").get(f"{read.spine}/letter")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/plain; charset=utf-8"
    assert "-questions-en.txt" in answer.headers["content-disposition"]
    assert "1. " in answer.text
    assert "143" in answer.text


@pytest.mark.parametrize(
    ("language", "words"), [("de", "Ihre Antwort:"), ("fr", "Votre réponse"), ("es", "Su respuesta:")]
)
def test_the_letter_comes_in_the_language_asked_for(
    fresh: House, read: Read, language: str, words: str
) -> None:
    """German, French and Spanish, each with the English beside it until somebody has reviewed it."""
    answer = fresh.caller("educator").get(f"{read.spine}/letter?language={language}")
    assert words in answer.text
    assert "[en]" in answer.text


def test_only_who_may_answer_findings_gets_the_letter(fresh: House, read: Read) -> None:
    """A technician and an auditor may read findings, and write to no maker."""
    for sign_in in ("technician", "auditor"):
        assert fresh.caller(sign_in).get(f"{read.spine}/letter").status_code == 403


def test_the_page_offers_the_letter_to_who_may_ask(fresh: House, read: Read) -> None:
    """One link a language beside the poster and the data; none for who may only read."""
    shown = fresh.caller("educator").get(read.spine).text
    assert "Letter to the maker" in shown
    assert all(f"/letter?language={language}" in shown for language in ("de", "fr", "es"))
    assert "Letter to the maker" not in fresh.caller("technician").get(read.spine).text


def test_no_other_language_is_taken(fresh: House, read: Read) -> None:
    """A language that no letter is written in is a fault of the address."""
    assert fresh.caller("educator").get(f"{read.spine}/letter?language=xx").status_code in {404, 422}


def test_the_language_of_a_document_in_several_may_be_chosen(fresh: House) -> None:
    """What is chosen at hand-in is what is read; the form offers it with a word why."""
    caller = fresh.caller("educator")
    assert "Which language is read" in caller.get(NEW).text
    both = (
        b"Cleaning\n\nRinse the jaw with cold water for at least 2 minutes. Dry it with a cloth.\n\n"
        b"Reinigung\n\nDas Maul mindestens 3 Minuten mit kaltem Wasser waschen. Mit einem Tuch trocknen.\n"
    )
    files = [("document", ("both.txt", both, "text/plain"))]
    answer = caller.post(NEW, {"language": "de"}, files=files)
    assert answer.status_code == 303, answer.text
    while work_once(fresh.archive, wiring.job_handlers(), worker="w", clock=lambda: NOW):
        pass
    address = answer.headers["location"].removesuffix("/reading")
    page = caller.get(f"/api{address}").json()
    words = [step["where"] for stage in page["stages"] for step in stage["steps"]]
    assert words == ["page 1, line 7", "page 1, line 7"]
