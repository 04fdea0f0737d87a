"""Reviews of templates: bound to both texts, by a named person with the right, and taken back."""

from __future__ import annotations

import pytest

from sinkside.desk import record_book, translations
from sinkside.errors import BadInput, NotAllowed, NotForTheFloor, NotThere
from sinkside.instruction import Device, Instruction, Step
from sinkside.language import Catalogue, Message, catalogue
from sinkside.plain import Habits, Template, plain_steps
from sinkside.plain.reviewing import refuse_unreviewed, templates_of
from sinkside.records import Wanted
from support.desk_house import House


@pytest.fixture
def house(house: House) -> House:
    """A house with an educator beside the technician."""
    house.add("edda", "educator")
    return house


@pytest.fixture
def other_words(monkeypatch: pytest.MonkeyPatch) -> None:
    """A release in which one Polish template says something else."""

    def changed(language: str, collection: str = "") -> Catalogue:
        whole = catalogue(language, collection)
        return Catalogue(language, {**whole.messages, "Dry it": Message("Wysusz", reviewed=False)})

    monkeypatch.setattr("sinkside.plain.reviewing.catalogue", changed)


def _reviewed(house: House, language: str = "pl") -> frozenset[str]:
    with house.archive.unit(writes=False) as unit:
        return translations.reviewed_templates(unit, language)


def _digest(english: str, language: str = "pl") -> str:
    return next(one.digest for one in templates_of(language) if one.english == english)


def _review(house: House, *english: str, by: str = "edda") -> int:
    who = house.visitor(by)
    digests = [_digest(one) for one in english]
    return translations.review_templates(house.archive, who, "pl", digests, now=house.now)


def test_nothing_is_reviewed_before_a_person_reviews_it(house: House) -> None:
    """Every other language starts with no template reviewed; English has none that asks for it."""
    known = translations.languages(house.archive, house.visitor("tom"))
    assert {one.code: one.reviewed for one in known} == dict.fromkeys(
        ("en", "de", "fr", "es", "pl", "vi", "ar", "zh"), 0
    )
    assert [one.code for one in known if one.templates == 0] == ["en"]


def test_reviewed_template_names_its_reviewer(house: House) -> None:
    """One or many are reviewed at once, counted once, shown with name and day, and in the record book."""
    assert _review(house, "Dry it", "Rinse it") == 2
    assert _review(house, "Dry it") == 0
    opened = translations.open_language(house.archive, house.visitor("tom"), "pl")
    shown = {one.template.english: one for _, members in opened.sections for one in members}
    assert (shown["Dry it"].by, shown["Dry it"].at) == ("Edda", house.now)
    assert shown["Oil it"].by == ""
    assert opened.standing.reviewed == 2
    told = record_book.read_record(house.archive, house.visitor("edda"), Wanted(limit=1)).entries
    assert [one.sentence for one in told] == ["Edda reviewed 2 templates of plain words in Polish."]


def test_review_ends_with_the_text(house: House, request: pytest.FixtureRequest) -> None:
    """A template whose text changes with a release is unreviewed again, and is shown as changed."""
    _review(house, "Dry it", "Rinse it")
    request.getfixturevalue("other_words")
    assert len(_reviewed(house)) == 1
    opened = translations.open_language(house.archive, house.visitor("edda"), "pl")
    changed = [one.template.english for _, members in opened.sections for one in members if one.changed]
    assert changed == ["Dry it"]


def test_review_is_taken_back(house: House) -> None:
    """What is withdrawn no longer counts; what was never reviewed cannot be."""
    _review(house, "Dry it", "Rinse it")
    who = house.visitor("edda")
    gone = [_digest("Dry it")]
    assert translations.withdraw_reviews(house.archive, who, "pl", gone, now=house.now) == 1
    assert _reviewed(house) == {_digest("Rinse it")}
    with pytest.raises(BadInput, match="no longer what you read"):
        translations.withdraw_reviews(house.archive, who, "pl", gone, now=house.now)


def test_only_whoever_has_the_right_reviews(house: House) -> None:
    """A technician reads the languages and reviews nothing."""
    with pytest.raises(NotAllowed, match="review the templates of plain words"):
        _review(house, "Dry it", by="tom")


@pytest.mark.parametrize(
    ("digests", "refused"), [([], "choose at least one"), (["0" * 64], "no longer what")]
)
def test_only_what_was_read_is_reviewed(house: House, digests: list[str], refused: str) -> None:
    """Nothing chosen, or a text that is gone, is a sentence and keeps nothing."""
    with pytest.raises(BadInput, match=refused):
        translations.review_templates(house.archive, house.visitor("edda"), "pl", digests, now=house.now)
    assert _reviewed(house) == frozenset()


def test_unknown_language_is_not_there(house: House) -> None:
    """A language that nobody writes plain words in has no page."""
    with pytest.raises(NotThere, match="not written in this language"):
        translations.open_language(house.archive, house.visitor("edda"), "xx")


def test_paper_asks_for_exactly_the_templates_that_it_uses(house: House) -> None:
    """Refused with the missing ones named until each is reviewed; what it does not use is not asked for."""
    step = Step.model_validate({"id": "s1", "stage": "drying", "action": "dry"})
    steps = plain_steps(None, Instruction(device=Device(name="Punch"), steps=(step,)), Habits(language="pl"))
    used: list[Template] = [template for one in steps for template in one.templates]
    with pytest.raises(NotForTheFloor, match=r"3 templates are not reviewed in Polish: “Dry it”, “Drying”"):
        refuse_unreviewed(used, _reviewed(house), resource="Punch")
    _review(house, "Dry it", "Drying")
    with pytest.raises(
        NotForTheFloor, match="1 template is not reviewed in Polish: “Bench”; have them reviewed"
    ):
        refuse_unreviewed(used, _reviewed(house), resource="Punch")
    _review(house, "Bench")
    refuse_unreviewed(used, _reviewed(house), resource="Punch")
