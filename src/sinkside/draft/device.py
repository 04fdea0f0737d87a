"""What the text is about: names, numbers, parts and their use, features with bore and length."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from sinkside.draft.front import NOTICE, PARAMETER
from sinkside.draft.issues import issues, tells_issue
from sinkside.draft.lexicon import Lexeme, Reading, read_words
from sinkside.draft.notfigures import Found
from sinkside.draft.part_lists import listed_parts
from sinkside.draft.passage import Passage, PassageKind
from sinkside.draft.stepping import StepDraft, origin_of
from sinkside.draft.table_letters import letters_explained
from sinkside.draft.tokens import TokenKind
from sinkside.instruction import (
    Device,
    DeviceLimit,
    Feature,
    FeatureKind,
    MakerDocument,
    Part,
    PartUse,
)
from sinkside.quantities import Figure, FigureQuantity, Quantity

_CATALOGUE_LEAD = re.compile(
    r"\b(?:REF|cat(?:alogue|alog)?\.?\s*(?:no|numbers?|nos)\.?|article\s*(?:no|numbers?)\.?|part\s*numbers?|order\s*no)[.:]?\s+",
    re.IGNORECASE,
)
_CATALOGUE_NUMBER = re.compile(r"\b(?=[\w.-]*\d)[A-Z0-9]{1,6}(?:[-.][A-Z0-9]+)*\b")
_DEFINITION = re.compile(r"^\(?([A-Z]{1,2}\d?)\)?\s*[=:–-]\s*(.+)$")
_NAMED_BEHIND = re.compile(r"\b(?:for|of)\s+(?:the\s+)?(?=(.*)$)")
_PART_IN_BRACKETS = re.compile(
    r"\b((?:[^\W\d_]+[- ]){0,2}[^\W\d_]+)"
    r"(?:\s+with\s+(?:an?\s+|its\s+|the\s+)?(?:[^\W\d_]+[- ]){0,2}[^\W\d_]+)?"
    r"\s+\(([A-Z])\)"
)
_TITLE_CUT = re.compile(r"\s+[-–—|/]\s+|:\s+")
_DANGLING = re.compile(r"\s+(?:for|of|with|and|in)$")
_LARGEST_BORE_MM = 20.0
_PASSAGES_IN_FRONT = 12


@dataclass(slots=True)
class DeviceDraft:
    """The device while its document is being read."""

    passages: list[Passage]
    language: str
    readings: dict[int, Reading] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    descriptions: dict[str, str] = field(default_factory=dict)
    features: dict[str, Feature] = field(default_factory=dict)

    def learn(self) -> None:
        """Parts and features from the whole text, before the steps are read."""
        for passage in self.passages:
            if passage.kind is PassageKind.sentence:
                self._part_letter(passage)
        for letter, words in listed_parts(self.passages, self.language):
            self._define(letter, words)
        for letter, words in letters_explained(self.passages, self.language):
            self._define(letter, words)
        for passage in self.passages:
            reading = read_words(passage.text, self.language)
            if passage.kind is not PassageKind.row:
                self._letters_in_brackets(passage)
                self._single_use(reading)
            self._features(passage, reading)

    # Parts.

    def _part_letter(self, passage: Passage) -> None:
        match = _DEFINITION.match(passage.text.rstrip(" ;."))
        lead = read_words(passage.lead.lower(), self.language)
        in_list = lead.has("column", "part") or lead.has("section")
        if match is None or not (in_list or "=" in passage.text[: match.start(2)]):
            return
        letter, words = match[1], match[2]
        if "material" in passage.lead.lower() and letter in self.parts:
            materials = self._materials(words)
            self.parts[letter] = self.parts[letter].model_copy(update={"materials": materials})
        else:
            self._define(letter, words)

    def _define(self, letter: str, words: str) -> None:
        """A part by its letter and the words for it; the first list that names it counts."""
        if letter not in self.parts:
            materials = self._materials(words)
            name = re.split(r"[,;]|\s-\s|\bwith\b", words)[0].strip()
            self.parts[letter] = Part(
                id=letter, name=name or letter, use=self._use(words) or PartUse.reusable, materials=materials
            )
            self.descriptions[letter] = words

    def _letters_in_brackets(self, passage: Passage) -> None:
        """'the inner tube (B)': a part noun before a letter in brackets."""
        for match in _PART_IN_BRACKETS.finditer(passage.text):
            words = match[1].split()
            noun = read_words(words[-1].lower(), self.language)
            if match[2] in self.parts or not (noun.has("part_noun") or noun.has("feature")):
                continue
            while words and reading_of_word(words[0], self.language).has("determiner"):
                words.pop(0)
            self.parts[match[2]] = Part(id=match[2], name=" ".join(words).lower())

    def _materials(self, words: str) -> tuple[str, ...]:
        reading = read_words(words, self.language)
        return tuple(dict.fromkeys(reading.words(x.first, x.last) for x in reading.all("material")))

    def _use(self, words: str) -> PartUse | None:
        named = {lexeme.value for lexeme in read_words(words, self.language).all("single_use")}
        for use in (PartUse.sterile_at_field, PartUse.new_at_assembly, PartUse.discard_after_use):
            if use.value in named:
                return use
        return None

    def _single_use(self, reading: Reading) -> None:
        named = {lexeme.value for lexeme in reading.all("single_use")}
        # "They are not covered by this manual" names no cover.
        nouns = [
            noun
            for noun in reading.all("part_noun")
            if not reading.words(noun.first, noun.last).endswith("ered")
        ]
        if not named or not nouns:
            return
        use = next(
            use
            for use in (PartUse.sterile_at_field, PartUse.new_at_assembly, PartUse.discard_after_use)
            if use.value in named
        )
        noun = _nearest(nouns, reading.all("single_use")[0])
        name = reading.words(noun.first, noun.last).lower()
        known = next((part for part in self.parts.values() if name in part.name.lower()), None)
        part_id = known.id if known else re.sub(r"\W+", "-", name)
        old = self.parts.get(part_id)
        if old is None:
            self.parts[part_id] = Part(id=part_id, name=name, use=use)
        elif old.use is PartUse.reusable or (old.use is PartUse.discard_after_use and use is not old.use):
            self.parts[part_id] = old.model_copy(update={"use": use})

    # Features.

    def _features(self, passage: Passage, reading: Reading) -> None:
        for lexeme in reading.all("feature"):
            if lexeme.first and reading.tokens[lexeme.first - 1].norm in {"no", "without"}:
                continue
            feature_id = f"{lexeme.value}-1"
            if feature_id not in self.features:
                self.features[feature_id] = Feature(
                    id=feature_id,
                    kind=FeatureKind(lexeme.value),
                    name=reading.words(lexeme.first, lexeme.last).lower(),
                    part=self.part_of(passage, lexeme.value),
                    origin=origin_of(passage),
                )
            elif self.features[feature_id].part is None:
                part = self.part_of(passage, lexeme.value)
                if part:
                    self._change(feature_id, part=part)
        if reading.has("unbrushable") and "lumen-1" in self.features:
            self._change("lumen-1", brushable=False)

    def part_of(self, passage: Passage, kind: str) -> str | None:
        """The part that has a kind of feature: by its letter ('jaw of I') or its description."""
        reading = read_words(passage.text, self.language)
        for lexeme in reading.all("feature"):
            behind = [token.text for token in reading.tokens[lexeme.last : lexeme.last + 2]]
            if (
                lexeme.value == kind
                and len(behind) > 1
                and behind[0] in {"of", "on"}
                and behind[1] in self.parts
            ):
                return behind[1]
        for letter, words in self.descriptions.items():
            if any(x.value == kind for x in read_words(words, self.language).all("feature")):
                return letter
        return None

    def _change(self, feature_id: str, **changes: object) -> None:
        self.features[feature_id] = self.features[feature_id].model_copy(update=changes)

    def note_sizes(self, passage: Passage, reading: Reading, found: list[Found]) -> None:
        """Bores, lengths and rods from a sentence that describes the device."""
        for one in found:
            for figure in one.figures:
                if figure.quantity is FigureQuantity.length and figure.value is not None:
                    self._note_size(passage, reading, one, figure)

    def _note_size(self, passage: Passage, reading: Reading, found: Found, figure: Figure) -> None:
        dimension = _dimension(reading, found)
        size = Quantity.parse(f"{figure.value:g} {figure.unit}")
        speaks_of_lumen = any(x.value == "lumen" for x in reading.all("feature"))
        if dimension == "width" and speaks_of_lumen:
            dimension = "bore"
        if dimension not in {"bore", "length", "rod"} or (
            "lumen-1" not in self.features and dimension != "bore"
        ):
            return
        if "lumen-1" not in self.features:
            letter = next((x for x in self.parts if passage.text.startswith(f"{x} ")), None)
            self.features["lumen-1"] = Feature(
                id="lumen-1", kind=FeatureKind.lumen, name="lumen", part=letter, origin=origin_of(passage)
            )
        lumen = self.features["lumen-1"]
        if dimension == "bore" and lumen.bore is None and size.to("mm") <= _LARGEST_BORE_MM:
            self._change("lumen-1", bore=size)
        elif dimension == "length" and lumen.length is None:
            self._change("lumen-1", length=size)
        elif dimension == "rod" and lumen.rod is None:
            self._change("lumen-1", rod=size)

    def brushed(self) -> None:
        """A step brushes the lumen: it can be brushed, unless the text says not."""
        lumen = self.features.get("lumen-1")
        if lumen is not None and lumen.brushable is None:
            self._change("lumen-1", brushable=True)

    def note_positions(self, steps: list[StepDraft]) -> None:
        """The positions that the steps want each feature in."""
        wanted: dict[str, dict[str, None]] = {}
        for step in steps:
            for feature, position in step.positions.items():
                kind = "sliding-sleeve" if feature == "sleeve" else feature
                wanted.setdefault(f"{kind}-1", {})[position] = None
        for feature_id, positions in wanted.items():
            if feature_id in self.features:
                self._change(feature_id, positions=tuple(positions))

    # Names.

    def finished(self, limits: list[DeviceLimit], *, file: str, digest: str, pages: int | None) -> Device:
        """The device as the instruction states it."""
        titles = self._titles()
        pieces = [piece.strip() for title in titles for piece in _TITLE_CUT.split(title) if piece.strip()]
        pieces = [piece for piece in pieces if not NOTICE.match(piece)]
        title = next((x for x in pieces if _names_a_document(read_words(x.lower(), self.language))), "")
        front = " | ".join([*titles, *(p.text for p in self.passages[:12] if p.kind is PassageKind.sentence)])
        revision, replaced = issues(front)
        told = next((piece for piece in pieces if tells_issue(piece)), "")
        document = MakerDocument(
            # What a document replaces is told beside its title, or on a line of its own.
            title=", ".join(filter(None, (title, told))) if told not in title else title,
            revision=revision,
            language=self.language,
            replaces=replaced,
            file=file,
            digest=digest,
            pages=pages,
        )
        return Device(
            name=self.name(),
            maker=self._maker(pieces, title),
            catalogue_numbers=_catalogue_numbers(front),
            document=document,
            parts=tuple(self.parts.values()),
            features=tuple(self.features.values()),
            limits=tuple(limits),
        )

    def _labelled(self) -> list[str]:
        """'Device: LARK clamp, REF 7.' in a line above the first steps names it outright."""
        labelled = []
        for passage in self.passages[:_PASSAGES_IN_FRONT]:
            label = PARAMETER.match(passage.text)
            if label and read_words(label["label"].lower(), self.language).has("device_label"):
                labelled.append(passage.text[label.end() - 1 :].rstrip("."))
        return labelled

    def _titles(self) -> list[str]:
        """The lines of the title; one that begins small goes on with the line above."""
        titles: list[str] = []
        for passage in self.passages:
            if passage.kind is PassageKind.front and titles and passage.text[:1].islower():
                titles[-1] = f"{titles[-1]} {passage.text}"
            elif passage.kind is PassageKind.front:
                titles.append(passage.text.strip(" |"))
        return titles

    def _pieces(self) -> list[str]:
        titles = self._titles()
        pieces = [piece.strip() for title in titles for piece in _TITLE_CUT.split(title)]
        return [piece for piece in pieces if piece and not NOTICE.match(piece)]

    def name(self) -> str:
        """The name of the device, from the title lines."""
        pieces = [*self._labelled(), *self._pieces()]
        named = [match[1] for piece in pieces for match in _NAMED_BEHIND.finditer(piece)]
        for piece in [*pieces, *named]:
            reading = read_words(piece.lower(), self.language)
            is_maker = reading.has("maker_noun") and not reading.has("unit")
            if reading.has("device_noun") and not _names_a_document(reading) and not is_maker:
                return _DANGLING.sub("", _CATALOGUE_TAIL.sub("", piece)).strip(" ,(")
        for piece in pieces[1:] or pieces:
            if not _names_a_document(read_words(piece.lower(), self.language)):
                return piece
        return pieces[0] if pieces else "unnamed device"

    def _maker(self, pieces: list[str], title: str) -> str:
        name = self.name()
        for piece in pieces:
            if (
                read_words(piece.lower(), self.language).has("maker_noun")
                and piece != title
                and name not in piece
            ):
                return piece
        return next((piece for piece in pieces[:1] if piece not in {title, name} and name not in piece), "")

    def name_words(self) -> frozenset[str]:
        """The capitalised words of the title lines: a number behind one is part of a name."""
        words: set[str] = set()
        for piece in self._pieces():
            reading = read_words(piece, self.language)
            for place, token in enumerate(reading.tokens):
                named = token.kind is TokenKind.word and token.text[:1].isupper() and len(token.text) > 1
                small = any(
                    reading.at(place, kind) for kind in ("determiner", "opener", "bound_before", "action")
                )
                if named and not small:
                    words.add(token.norm)
        return frozenset(words)


_CATALOGUE_TAIL = re.compile(
    r"[\s,(]*\b(?:REF|cat(?:alogue|alog)?\.?\s*(?:no|number)s?|(?<=, )(?:rev\.?|issue|edition)\s*\w+)\b.*$",
    re.IGNORECASE,
)


def _names_a_document(reading: Reading) -> bool:
    """'Processing guide', 'Care of the drill guide'; a 'drill guide' alone is a device."""
    devices = {place for x in reading.all("device_noun") for place in range(x.first, x.last)}
    titles = {x.first for x in reading.all("title_word")}
    if len({lexeme.value for lexeme in reading.all("stage")}) > 1:
        return True
    return bool(titles) and (bool(titles - devices) or devices <= titles)


def reading_of_word(word: str, language: str) -> Reading:
    """One word, read by itself."""
    return read_words(word.lower(), language)


def _nearest(nouns: list[Lexeme], use: Lexeme) -> Lexeme:
    """The noun that a word of use speaks of: straight behind it ('single-use seal'), else the nearest."""
    behind = [noun for noun in nouns if 0 <= noun.first - use.last <= 1]
    return (
        behind[0]
        if behind
        else min(nouns, key=lambda noun: min(abs(noun.last - use.first), abs(noun.first - use.last)))
    )


def _dimension(reading: Reading, found: Found) -> str | None:
    """Which dimension a length is: by the nearest word before it, else by the word behind."""
    end = found.last
    while end < min(found.last + 2, len(reading.tokens)) and reading.tokens[end].kind is TokenKind.word:
        end += 1
    straight_behind = reading.all("dimension", first=found.last, last=end)
    if straight_behind and straight_behind[0].value != "width":
        return straight_behind[0].value
    first = found.first
    while first > 0 and reading.tokens[first - 1].norm not in {",", ";", "."}:
        first -= 1
    before = reading.all("dimension", first=first, last=found.first)
    if before:
        return before[-1].value
    if straight_behind:
        return straight_behind[0].value
    behind = reading.all("dimension", first=found.last, last=min(found.last + 4, len(reading.tokens)))
    return behind[0].value if behind else None


def _catalogue_numbers(front: str) -> tuple[str, ...]:
    numbers: list[str] = []
    for lead in _CATALOGUE_LEAD.finditer(front):
        rest = front[lead.end() :]
        while True:
            match = _CATALOGUE_NUMBER.match(rest)
            if match is None:
                break
            numbers.append(match[0])
            link = re.match(r"\s*(?:\([^)]*\))?\s*(?:,|and|/|&)\s*", rest[match.end() :])
            if link is None:
                break
            rest = rest[match.end() + link.end() :]
    return tuple(dict.fromkeys(numbers))
