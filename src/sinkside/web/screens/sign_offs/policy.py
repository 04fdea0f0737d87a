"""What a sign-off needs here, occasion by occasion, and what the department put in the policy's place."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import Field

from sinkside.desk import sign_off_policy
from sinkside.desk.access import policy as roles_policy
from sinkside.desk.people import names_of
from sinkside.sources import WAYS_OF_READING
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form
from sinkside.web.screens.sign_offs.shelf import PLACE, READ, screen

_LESSONS = {"whole": "all of it", "difference": "what changed", "none": "none"}


@dataclass(frozen=True)
class OccasionShown:
    """One occasion: what it asks for, how long it holds, by whose word."""

    id: str
    name: str
    lesson: str
    questions: int
    observations: int
    days: int
    source: str


@dataclass(frozen=True)
class PolicyPage:
    """What a sign-off needs here, who may watch and sign."""

    title: str
    address: str
    list: str
    occasions: tuple[OccasionShown, ...]
    observe: str
    sign: str
    ahead_weeks: int
    agency_days: int


class OccasionForm(Form):
    """The department's own for one occasion, and why."""

    occasion: str = Field(max_length=60)
    questions: int = Field(ge=0, le=100)
    observations: int = Field(ge=0, le=20)
    days: int = Field(ge=1, le=3660)
    reason: str = Field("", max_length=4000)


@screen.page(f"{PLACE}/policy", right=READ, template="sign_off_policy.html")
def policy(asked: Asked) -> PolicyPage:
    """What a sign-off needs here."""
    here, own = sign_off_policy.policy_here(asked.archive, asked.visitor)
    names = names_of(asked.archive, {one.by for one in own.overrides})
    shown = []
    for occasion, needs in here.occasions.items():
        override = own.of(occasion)
        source = WAYS_OF_READING[needs.how_read]
        if override:
            day = shown_moment(override.at, asked.visitor.zone)[:10]
            source = f"this department ({names[override.by]}, {day}): {override.reason}"
        shown.append(
            OccasionShown(
                id=occasion.value,
                name=needs.name,
                lesson=_LESSONS[needs.lesson],
                questions=needs.questions,
                observations=needs.observations,
                days=needs.days,
                source=source,
            )
        )
    return PolicyPage(
        title="What a sign-off needs here",
        address=asked.at("/sign-offs/policy"),
        list=asked.at("/sign-offs"),
        occasions=tuple(shown),
        observe=_roles(here.observe.roles)
        + (", whoever works alone there" if here.observe.independent else ""),
        sign=_roles(here.sign.roles),
        ahead_weeks=here.ahead_weeks,
        agency_days=here.agency_days,
    )


@screen.act(f"{PLACE}/policy", right=sign_off_policy.EDIT, form=OccasionForm, page=policy)
def replace(asked: Asked, form: OccasionForm) -> Done:
    """Put the department's own in the place of the policy for one occasion."""
    sign_off_policy.replace_occasion(
        asked.archive,
        asked.visitor,
        form.occasion,
        questions=form.questions,
        observations=form.observations,
        days=form.days,
        reason=form.reason,
        now=asked.now,
    )
    return Done(go=asked.at("/sign-offs/policy"), said="This department’s own holds from now on.")


def _roles(roles: tuple[str, ...]) -> str:
    return ", ".join(roles_policy().roles[role].name for role in roles)
