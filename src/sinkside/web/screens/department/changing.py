"""Adding, changing and striking single things of a department; each is a revision with a name on it."""

from __future__ import annotations

from sinkside.department.spreadsheet import Sheet
from sinkside.desk import department_things
from sinkside.desk.department_things import Add, Correct, Strike, sheet_called
from sinkside.errors import BadDocument
from sinkside.web.asked import Asked
from sinkside.web.screen import Done
from sinkside.web.screens.department.fields import OnRevision, ThingFields, by_field, cells_in
from sinkside.web.screens.department.overview import EDIT, PLACE, screen
from sinkside.web.screens.department.thing import Kind, Under, new_thing, place_of, thing, under_of


@screen.act(f"{PLACE}/{{family}}/new", right=EDIT, form=ThingFields, page=new_thing)
def add(asked: Asked, form: OnRevision, family: str, *, under: Under = "", kind: Kind = "") -> Done:
    """Add one thing; it gets a short name of its own."""
    sheet = sheet_called(family)
    cells = cells_in(sheet, form)
    if kind:
        cells["kind"] = kind
    owner = under_of(sheet, under) if sheet.owner else ()
    _change(asked, sheet, Add(cells, owner), form)
    back = (
        f"/{'machines' if sheet.owner == 'machine' else 'programs'}/{under}" if sheet.owner else f"/{family}"
    )
    return Done(go=asked.at(f"/department{back}"), said=f"Added, by {asked.someone.name}.")


@screen.act(f"{PLACE}/{{family}}/{{place}}", right=EDIT, form=ThingFields, page=thing)
def correct(asked: Asked, form: OnRevision, family: str, place: str) -> Done:
    """Change one thing."""
    sheet = sheet_called(family)
    number = _change(asked, sheet, Correct(place_of(sheet, place), cells_in(sheet, form)), form)
    said = f"Changed, by {asked.someone.name}; this is revision {number}."
    return Done(go=asked.at(f"/department/{family}/{place}"), said=said)


@screen.act(f"{PLACE}/{{family}}/{{place}}/strike", right=EDIT, form=OnRevision, page=thing)
def strike(asked: Asked, form: OnRevision, family: str, place: str) -> Done:
    """Strike one thing that is here no longer; earlier revisions keep it."""
    sheet = sheet_called(family)
    own = place_of(sheet, place)
    number = _change(asked, sheet, Strike(own), form)
    owner = "-".join(str(at + 1) for at in own[:-1])
    back = f"/{'machines' if sheet.owner == 'machine' else 'programs'}/{owner}" if owner else f"/{family}"
    said = f"Struck, by {asked.someone.name}; revision {number - 1} keeps it."
    return Done(go=asked.at(f"/department{back}"), said=said)


def _change(asked: Asked, sheet: Sheet, change: Add | Correct | Strike, form: OnRevision) -> int:
    try:
        return department_things.change_thing(
            asked.archive,
            asked.visitor,
            sheet,
            change,
            base=form.on_revision,
            reason=form.why,
            now=asked.now,
        )
    except BadDocument as error:
        raise by_field(error) from error
