"""Light, dark, or as the device has it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sinkside.web.asked import Asked
from sinkside.web.screen import ANYBODY, Form, LookChosen, Screen
from sinkside.web.screens.signing_in import within_the_house

screen = Screen("look")


class Look(Form):
    """The look, and the page to come back to."""

    look: Literal["auto", "light", "dark"]
    back: str = Field("/", max_length=500)


@screen.act("/look", right=ANYBODY, form=Look)
def choose(asked: Asked, form: Look) -> LookChosen:
    """Choose how pages look in this browser."""
    del asked
    return LookChosen(go=within_the_house(form.back), look=form.look)
