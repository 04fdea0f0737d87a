"""The heading that the reading is under: its stages, and whether its sentences ask or describe."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from sinkside.draft.forbidding import asks_alone, forbids_alone
from sinkside.draft.passage import Passage
from sinkside.draft.stages import is_describing, stages_named
from sinkside.instruction import Stage

#: "Limitations", "Restrictions on processing", in the languages that are read.
_LIMITS = re.compile(
    r"\b(?:limitation|restriction|limits\s+(?:on|of|to)|einschr\u00e4nkung|beschr\u00e4nkung|limitaci|restricci)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with what it means for the sentences below it; `guessed`: no word of it names its stage."""

    heading: str | None = None
    number: str | None = None
    stages: tuple[Stage, ...] = ()
    describing: bool = False
    guessed: bool = False

    @property
    def limiting(self) -> bool:
        """Whether the heading announces limits: what may be done to the device, and not the work itself."""
        return self.stages == (Stage.maintenance,) and _LIMITS.search(self.heading or "") is not None

    def under(
        self,
        passage: Passage,
        language: str,
        *,
        guessed: Stage | None = None,
        begun: bool = False,
        opening: bool = False,
    ) -> Section:
        """The section that a further heading opens; one inside this that names no stage keeps its stages.

        `guessed` is the stage of a heading whose own words name none; `begun` says that steps stand above,
        `opening` that headings below name stages and none above does: what is unknown there describes.
        """
        if asks_alone(passage.text, language):
            return replace(self, describing=False)
        if forbids_alone(passage.text, language):
            return self
        named = stages_named(passage.text, language)
        stages = named or ((guessed,) if guessed else ())
        describing = (opening or is_describing(passage.text, language, begun=begun)) and not stages
        inside = bool(passage.number and self.number and passage.number.startswith(f"{self.number}."))
        if inside and not stages and not describing:
            return replace(self, heading=passage.text)
        return Section(passage.text, passage.number, stages, describing, guessed=not named and bool(stages))
