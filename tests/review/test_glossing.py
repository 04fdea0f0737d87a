"""Texts in German, French and Spanish are judged by the same rules as English ones, through their gloss.

The texts are our own; what is wrong in them is what the English rules are tested on elsewhere.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from importlib import resources

import pytest

from sinkside.draft import draft_text
from sinkside.findings import Level
from sinkside.review import review
from sinkside.review.glossing import GLOSSED, PARTS, gloss

_GERMAN = """Aufbereitungsanleitung für die Zange

Warnhinweise
Das Handstück darf niemals in Flüssigkeiten eingetaucht werden.

Am Gebrauchsort
Das Instrument wird bis zum Transport in Kochsalzlösung gelegt.

Reinigung
Das Handstück wird vollständig in die Lösung eingelegt, und zwar für 10 Minuten.
"""
_FRENCH = """Notice de retraitement de la pince

Avertissements
La poignée ne doit jamais être immergée dans un liquide.

Lieu d'utilisation
Poser l'instrument dans du sérum physiologique jusqu'au transport.

Nettoyage
Immerger la poignée complètement dans la solution pendant 10 minutes.
"""
_SPANISH = """Instrucciones de reprocesamiento de la pinza

Advertencias
El mango no debe sumergirse nunca en líquidos.

Punto de uso
Coloque el instrumento en suero fisiológico hasta el transporte.

Limpieza
Sumerja el mango completamente en la solución durante 10 minutos.
"""
_PLANTED = {"prohibited-then-asked", "chloride-contact"}
_TEXTS = {"de": _GERMAN, "fr": _FRENCH, "es": _SPANISH}


@pytest.mark.parametrize("language", sorted(_TEXTS))
def test_what_is_wrong_is_found_in_the_language_of_the_text(language: str) -> None:
    """A ban of immersion against a bath, and saline at the table, are found; the quotes are as printed."""
    text = _TEXTS[language]
    found = {one.rule: one for one in review(draft_text(text, language=language)) if one.rule in _PLANTED}
    assert set(found) == _PLANTED
    printed = " ".join(text.split())
    for one in found.values():
        assert all(place.text in printed for place in (one.place, *one.more_places))


@pytest.mark.parametrize("language", sorted(_TEXTS))
def test_the_same_words_put_right_are_let_be(language: str) -> None:
    """Water instead of saline, and a wipe instead of a bath, trip neither of the two rules."""
    right = {
        "de": [
            ("Kochsalzlösung gelegt", "ein Tuch gelegt"),
            ("in die Lösung eingelegt", "abgewischt"),
        ],
        "fr": [("sérum physiologique", "un linge humide"), ("Immerger la poignée", "Essuyer la poignée")],
        "es": [("suero fisiológico", "un paño húmedo"), ("Sumerja el mango", "Pase un paño por el mango")],
    }
    text = _TEXTS[language]
    for wrong, put_right in right[language]:
        assert wrong in text
        text = text.replace(wrong, put_right)
    loud = {f.rule for f in review(draft_text(text, language=language)) if f.level is not Level.note}
    assert not loud & _PLANTED


@pytest.mark.parametrize("language", GLOSSED)
def test_no_word_has_two_meanings(language: str) -> None:
    """A word that stood twice in a gloss would mean whichever comes first."""
    folder = resources.files("sinkside.review").joinpath("glosses")
    texts = [folder.joinpath(f"{language}{part}.toml").read_text("utf-8") for part in PARTS]
    counted = Counter(
        word.lower() for text in texts for said in tomllib.loads(text).values() for word in said
    )
    assert [word for word, times in counted.items() if times > 1] == []


@pytest.mark.parametrize(
    ("language", "text", "english"),
    [
        ("de", "Zwergkanal B und der O-Ring", "Zwerg channel B and the seal"),
        ("fr", "N'ouvrez pas ; l'eau du robinet à 40 °C", "Do not ouvrez not ; the tap water at 40 °C"),
        ("es", "Pieza A a 134 °C, 3 veces", "Part A at 134 °C, 3 times"),
    ],
)
def test_figures_letters_and_unknown_words_stay(language: str, text: str, english: str) -> None:
    """Part letters, figures and words outside the gloss are left as they are; compounds keep their head."""
    assert gloss(text, language) == english
