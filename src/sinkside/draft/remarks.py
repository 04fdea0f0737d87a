"""Remarks that say to which row or step they belong: 'to row 23', 'zu 1.3', 'sur 5', 'Note on 24:'."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from sinkside.draft.passage import Passage, PassageKind
from sinkside.draft.splitting import split_sentences

_LABEL_AND_TEXT = 2
#: Words that lead to a number, and what is numbered, in the languages that are read.
_LEADS = (
    r"notes?|remarks?|re|regarding|concerning|on|to|for|of|ad|as|see|"
    r"anmerkung(?:en)?|anm\.?|hinweise?|bemerkung|zu|zum|zur|bei|für|betrifft|"
    r"remarque|sur|pour|à|au|concernant|de|l[ae]|"
    r"notas?|observación|a|al|para|sobre|del|en"
)
_NUMBERED = (
    r"rows?|steps?|lines?|items?|points?|no\.?|number|clause|position|pos\.?|"
    r"zeilen?|schritte?|nr\.?|punkte?|ziffern?|"
    r"étapes?|lignes?|n°|numéro|repère|"
    r"pasos?|filas?|puntos?|n\.º|nº|líneas?|apartado"
)
_NUMBER = r"(?P<number>\d{1,2}(?:\.\d{1,2})?[a-z]?)"
#: The cell of a list of remarks: a lead, a thing numbered, or both, and the number.
_LABEL = re.compile(
    rf"(?:(?:{_LEADS})\s+){{0,3}}(?:(?:{_LEADS})|(?:{_NUMBERED}))\s*{_NUMBER}\s*[:.)–-]?", re.IGNORECASE
)
#: The same in front of a sentence, where only a colon or a dash tells it from an amount.
_IN_FRONT = re.compile(
    rf"^(?P<label>(?:(?:{_LEADS})\s+){{0,3}}(?:(?:{_LEADS})|(?:{_NUMBERED}))\s*{_NUMBER}\s*(?::|\s[–—-])\s+)"
    r"(?=[^\W\d]|\d)",
    re.IGNORECASE,
)
#: "to row 4 At 121 °C": a lead and a thing numbered, and a new sentence behind its number.
_UNPARTED = re.compile(
    rf"^(?P<label>(?i:(?:{_LEADS})\s+(?:{_NUMBERED})\s*{_NUMBER})\s+)(?=[A-ZÄÖÜÉ][^\W\d]*\s)"
)


def remark_of_row(row: Passage, language: str) -> list[Passage]:
    """The sentences of a remark whose first cell says to which row it belongs; empty if it is none."""
    filled = [cell for cell in row.cells if cell.text.strip()]
    if len(filled) != _LABEL_AND_TEXT:
        return []
    label = _LABEL.fullmatch(filled[0].text.strip())
    if label is None:
        return []
    told = replace(row, kind=PassageKind.sentence, number=None, cells=(), refers=label["number"])
    text = filled[1].text
    pieces = [(" ".join(text[a:b].split()), lead) for a, b, lead in split_sentences(text, language)]
    return [
        replace(told, text=one, lead=lead, label="" if place else filled[0].text.strip())
        for place, (one, lead) in enumerate(pieces)
    ]


def with_remarks(passages: Iterable[Passage]) -> list[Passage]:
    """Passages whose leading 'Note on 24:' is taken for what it is."""
    told: list[Passage] = []
    for passage in passages:
        sentence = passage.text if passage.kind is PassageKind.sentence else ""
        lead = _IN_FRONT.match(sentence) or _UNPARTED.match(sentence)
        if lead is None or passage.refers:
            told.append(passage)
        else:
            label, text = lead["label"].strip(), passage.text[lead.end() :]
            told.append(replace(passage, text=text, label=label, refers=lead["number"]))
    return told
