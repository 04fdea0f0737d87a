"""Which language of a document is read, from hand-in to revision."""

from __future__ import annotations

from sinkside.desk import shelf
from sinkside.desk.parsing_child import run_child
from sinkside.desk.uploads import Upload
from support.desk_house import House

BOTH = """Cleaning

Rinse the jaw with cold water for at least 2 minutes. Dry it with a cloth.

Reinigung

Das Maul mindestens 3 Minuten mit kaltem Wasser abspülen. Mit einem Tuch trocknen.
"""


def test_the_language_asked_for_at_hand_in_goes_with_the_job(house: House) -> None:
    """Whoever hands in a document may say in which of its languages it is to be read."""
    upload = Upload(name="both.txt", media_type="text/plain", data=BOTH.encode())
    handed = shelf.hand_in(house.archive, house.visitor("eve"), upload, now=house.now, language="de")
    with house.archive.unit(writes=False) as unit:
        job = unit.jobs.get(handed.job)
    assert job is not None
    assert job.arguments["language"] == "de"


def test_the_child_reads_the_language_asked_for() -> None:
    """English unless told; the other language's figures come along."""
    read = {
        asked: run_child(
            "draft", [("both.txt", BOTH.encode())], arguments={"language": asked} if asked else {}
        )
        for asked in ("", "de")
    }
    assert read[""]["device"]["document"]["language"] == "en"
    assert read["de"]["device"]["document"]["language"] == "de"
    assert [one["language"] for one in read["de"]["translations"]] == ["en"]
