"""The forms of words: which word of the lexicon a word of the text can be."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from typing import Any, Self

_SHORTEST_STEM = 3
_SHORTEST_HEAD = 4
_SHORTEST_MODIFIER = 3
_WITHOUT_ACCENTS = str.maketrans("áéíóú", "aeiou")


class Forms:
    """How a language bends its words, from the `grammar` table of its lexicon.

    * `endings`: what may stand at the end, and what stands there in the lexicon ('rinsed', 'rinse');
    * `elisions`: what may be drawn to the front, with its full form ('l'eau', 'le' and 'eau');
    * `separable` and `infixes`: 'abgespült' and 'abzuspülen' are 'abspülen';
    * `enclitics`: pronouns that hang on a verb ('límpiela', 'extraerlo'), which is accented for them;
    * `irregular`: forms that none of these tell, each with its word ('mantenga', 'mantener');
    * `compounds`: the categories whose words may be the last piece of a longer one ('Blattgelenk').

    >>> said = {"endings": [["t", "en"]], "separable": ["ab"], "infixes": ["ge"], "compounds": ["feature"]}
    >>> german = Forms.of_grammar(said, frozenset({"gelenk"}))
    >>> "abspülen" in german.of("abgespült"), german.heads_of("blattgelenk")
    (True, ('gelenk',))
    """

    def __init__(
        self,
        *,
        endings: tuple[tuple[str, str], ...],
        elisions: Mapping[str, str],
        separable: tuple[str, ...],
        infixes: tuple[str, ...],
        enclitics: tuple[str, ...],
        irregular: Mapping[str, str],
        compounds: frozenset[str],
        first_words: frozenset[str],
    ) -> None:
        self._endings = endings
        self._elisions = elisions
        self._separable = separable
        self._infixes = infixes
        self._enclitics = enclitics
        self._irregular = irregular
        self._compounds = compounds
        self._first_words = first_words
        self.of = functools.lru_cache(maxsize=20_000)(self._of)
        self.heads_of = functools.lru_cache(maxsize=20_000)(self._heads_of)

    @classmethod
    def of_grammar(cls, said: Mapping[str, Any], first_words: frozenset[str]) -> Self:
        """The forms that a grammar table tells; `first_words` are those with which phrases begin."""
        return cls(
            endings=tuple((ending, instead) for ending, instead in said.get("endings", [])),
            elisions=dict(said.get("elisions", {})),
            separable=("", *said.get("separable", [])),
            infixes=tuple(said.get("infixes", [])),
            enclitics=tuple(said.get("enclitics", [])),
            irregular=dict(said.get("irregular", {})),
            compounds=frozenset(said.get("compounds", [])),
            first_words=first_words,
        )

    @property
    def joins_words(self) -> bool:
        """Whether the language joins its words to longer ones."""
        return bool(self._compounds)

    def compounds(self, category: str) -> bool:
        """Whether words of a category may be the last piece of a longer one."""
        return category in self._compounds

    def _of(self, norm: str) -> tuple[str, ...]:
        """The word itself, and every word of the lexicon that it can be a form of."""
        forms = [norm]
        stripped = self._without_enclitic(norm)
        for bare in (norm, *self._without_elision(norm), *self._without_infix(norm), *stripped):
            forms.append(bare)
            forms.extend(self._without_ending(bare))
        forms.extend(self._irregular[one] for one in (norm, *stripped) if one in self._irregular)
        return tuple(dict.fromkeys(forms))

    def _without_ending(self, norm: str) -> Iterator[str]:
        for ending, instead in self._endings:
            if norm.endswith(ending) and len(norm) - len(ending) + len(instead) >= _SHORTEST_STEM:
                stem = norm[: len(norm) - len(ending)]
                yield stem + instead
                if len(stem) > 1 and stem[-1] == stem[-2] and not instead:
                    yield stem[:-1]

    def _without_elision(self, norm: str) -> Iterator[str]:
        for drawn, full in self._elisions.items():
            if norm.startswith(drawn) and len(norm) > len(drawn):
                yield full
                yield norm.removeprefix(drawn)

    def _without_enclitic(self, norm: str) -> tuple[str, ...]:
        """'límpiela' is 'limpie', 'extraerlo' is 'extraer'; a noun such as 'escala' has no accent to lose."""
        hanging = next((one for one in self._enclitics if norm.endswith(one)), None)
        if hanging is None:
            return ()
        verb = norm.removesuffix(hanging)
        plain = verb.translate(_WITHOUT_ACCENTS)
        return (plain,) if plain != verb or verb.endswith("r") else ()

    def _without_infix(self, norm: str) -> Iterator[str]:
        for before in self._separable:
            for infix in self._infixes:
                if norm.startswith(before + infix):
                    yield before + norm.removeprefix(before + infix)

    def _heads_of(self, norm: str) -> tuple[str, ...]:
        """The longest last piece of a compound that is in the lexicon; none if the whole is ("Transport")."""
        if not self._compounds or not self._first_words.isdisjoint(self.of(norm)):
            return ()
        for cut in range(_SHORTEST_MODIFIER, len(norm) - _SHORTEST_HEAD + 1):
            heads = [form for form in self.of(norm[cut:]) if form in self._first_words]
            if heads:
                return tuple(heads)
        return ()
