"""Turns what screens declare into routes: one for people, one for programs, over the same view."""

from __future__ import annotations

import dataclasses
import inspect
from collections.abc import Callable
from typing import Annotated, Any, Final, get_type_hints
from urllib.parse import quote

from fastapi import Depends, FastAPI, File, Header, Request, UploadFile
from fastapi import Form as FormField
from fastapi.responses import JSONResponse, RedirectResponse, StreamingResponse
from starlette.datastructures import FormData
from starlette.datastructures import UploadFile as Sent
from starlette.responses import Response

from sinkside import documents
from sinkside.errors import BadInput, Conflict, NotAllowed, NotForTheFloor, SinksideError
from sinkside.web import cookies
from sinkside.web.asked import Asked
from sinkside.web.lanes import Lane, in_lane
from sinkside.web.one_moment import asked_at_one_moment, one_moment
from sinkside.web.problems import ErrorAnswer, as_problem, told
from sinkside.web.rendering import Rendering
from sinkside.web.screen import (
    Declared,
    Done,
    Form,
    LookChosen,
    Screen,
    Sending,
    SessionClosed,
    SessionOpened,
    Upload,
)
from sinkside.web.visiting import Asking, DepartmentId

API: Final = "/api"
_SEE_OTHER: Final = 303
_MOST_FIELDS: Final = 500
_MOST_FILES: Final = 200
_STALE: Final = "this page was open for too long or came from elsewhere; load it again and try once more"
#: What comes back to the form, beside what was typed there; everything else is an answer of its own.
_SAID_AT_THE_FORM: Final = (BadInput, Conflict, NotAllowed, NotForTheFloor)
_ERRORS: Final[dict[int | str, dict[str, Any]]] = {
    "4XX": {"model": ErrorAnswer, "description": "What was asked cannot be done; nothing was changed."},
    "5XX": {"model": ErrorAnswer, "description": "Something went wrong; the log has it."},
}

Endpoint = Callable[..., Any]

_REQUEST: Final = inspect.Parameter("request", inspect.Parameter.KEYWORD_ONLY, annotation=Request)


def add_screen(app: FastAPI, screen: Screen, rendering: Rendering) -> None:
    """Add the routes of a screen; the rights that they declare are kept beside the application."""
    for declared in screen.declared:
        method = "POST" if declared.kind == "act" else "GET"
        ask = Asking(declared.path, declared.right)
        name = f"{screen.name}.{declared.view.__name__}"
        for_people = {"page": _page, "act": _act, "file": _file}[declared.kind](declared, ask, rendering)
        for_programs = {"page": _api_page, "act": _api_act, "file": _api_file}[declared.kind](declared, ask)
        app.add_api_route(
            declared.path,
            for_people,
            methods=[method],
            include_in_schema=False,
            name=name,
            response_model=None,
        )
        app.add_api_route(
            API + declared.path,
            for_programs,
            methods=[method],
            name=f"api.{name}",
            operation_id=f"{screen.name}-{declared.view.__name__}".replace("_", "-"),
            tags=[screen.name.replace("-", " ")],
            summary=(inspect.getdoc(declared.view) or name).split("\n", 1)[0],
            responses=_ERRORS | _success(declared),
            response_model=_answer(declared),
            response_class=Response if declared.kind == "file" else JSONResponse,
        )
        for path in (declared.path, API + declared.path):
            app.state.rights[method, path] = declared.right


def _page(declared: Declared, ask: Asking, rendering: Rendering) -> Endpoint:
    def show(asked: Asked, request: Request, named: dict[str, Any]) -> Response:
        try:
            page = declared.view(asked, **named)
        except BadInput as error:
            if declared.page is None:
                raise
            query = request.query_params
            typed = {name: tuple(query.getlist(name)) for name in query}
            return _again(declared, asked, error, typed, rendering, named)
        return rendering.respond(declared.template, page, asked)

    return _looked_at(declared, ask, show)


def _api_page(declared: Declared, ask: Asking) -> Endpoint:
    return _looked_at(declared, ask, lambda asked, _request, named: declared.view(asked, **named))


def _looked_at(
    declared: Declared, ask: Asking, show: Callable[[Asked, Request, dict[str, Any]], Any]
) -> Endpoint:
    """A page whose every part, and whose visitor's rights, are read at one moment."""

    def look(request: Request, **named: Any) -> Any:
        department = named.pop("department") if ask.in_department else None
        with one_moment(request.app.state.context) as context:
            return show(ask.of(request, department, context), request, named)

    keyword = inspect.Parameter.KEYWORD_ONLY
    extra = [_REQUEST]
    if ask.in_department:
        extra.append(inspect.Parameter("department", keyword, annotation=DepartmentId))
    return _signed(look, declared, extra)


def _file(declared: Declared, ask: Asking, _rendering: Rendering) -> Endpoint:
    return _api_file(declared, ask)


def _api_file(declared: Declared, ask: Asking) -> Endpoint:
    async def send(asked: Asked, request: Request, **named: Any) -> Response:
        return _sent(await in_lane(request, "fetching", declared.view, asked, **named))

    return _signed(send, declared, [_asked(ask, "fetching"), _REQUEST])


def _act(declared: Declared, ask: Asking, rendering: Rendering) -> Endpoint:
    async def do(asked: Asked, request: Request, **named: Any) -> Response:
        async with request.form(max_files=_MOST_FILES, max_fields=_MOST_FIELDS) as sent:
            _refuse_stale(asked, request, str(sent.get("csrf", "")))
            typed = _typed(sent)
            try:
                given = _given(declared, typed, sent)
                result = await in_lane(request, "acting", declared.view, asked, *given, **named)
            except _SAID_AT_THE_FORM as error:
                if declared.page is None:
                    raise
                return await in_lane(
                    request, "acting", _again, declared, asked, error, typed, rendering, named
                )
        if isinstance(result, Done):
            return _redirected(result, asked)
        return rendering.respond(declared.template, result, asked)

    return _signed(do, declared, [_asked(ask, "acting"), _REQUEST])


def _again(
    declared: Declared,
    asked: Asked,
    error: SinksideError,
    typed: dict[str, tuple[str, ...]],
    rendering: Rendering,
    named: dict[str, Any],
) -> Response:
    """The page that the form stands on, with what was wrong and what had been typed."""
    if declared.page is None:
        raise error
    status, _ = told(error, asked.request_id)
    wanted = inspect.signature(declared.page).parameters
    known = {name: value for name, value in named.items() if name in wanted}
    with asked_at_one_moment(dataclasses.replace(asked, problem=as_problem(error, typed))) as troubled:
        page = declared.page(troubled, **known)
        return rendering.respond(declared.page_template, page, troubled, status=status)


def _api_act(declared: Declared, ask: Asking) -> Endpoint:
    async def do(
        asked: Asked, request: Request, x_csrf_token: str = "", form: Form | None = None, **named: Any
    ) -> Any:
        _refuse_stale(asked, request, x_csrf_token)
        given = _taken_apart(declared, named) if declared.uploads else [form] if declared.form else []
        result = await in_lane(request, "acting", declared.view, asked, *given, **named)
        if isinstance(result, Done):
            response = JSONResponse({"go": result.go, "said": result.said})
            _set_cookies(response, result, asked)
            return response
        return result

    told = Header(description="The form token that /api/account tells; not needed before signing in.")
    keyword = inspect.Parameter.KEYWORD_ONLY
    extra = [
        _asked(ask, "acting"),
        _REQUEST,
        inspect.Parameter("x_csrf_token", keyword, default="", annotation=Annotated[str, told]),
        *_body(declared),
    ]
    return _signed(do, declared, extra)


def _body(declared: Declared) -> list[inspect.Parameter]:
    """What a program sends: the form as JSON; with files beside it, field by field."""
    keyword = inspect.Parameter.KEYWORD_ONLY
    if not declared.uploads:
        form = declared.form
        return [] if form is None else [inspect.Parameter("form", keyword, annotation=form)]
    fields = declared.form.model_fields if declared.form else {}
    files = Annotated[list[UploadFile], File()]
    return [
        *(
            inspect.Parameter(
                name,
                keyword,
                default=FormField(
                    ... if field.is_required() else field.get_default(call_default_factory=True)
                ),
                annotation=field.annotation,
            )
            for name, field in fields.items()
        ),
        inspect.Parameter(declared.uploads, keyword, annotation=files),
    ]


def _taken_apart(declared: Declared, named: dict[str, Any]) -> list[Any]:
    """The form and the files that came field by field; what the address names stays."""
    files = tuple(_upload(file) for file in named.pop(declared.uploads))
    if declared.form is None:
        return [files]
    fields = {name: named.pop(name) for name in declared.form.model_fields}
    return [documents.validate(declared.form, fields, resource=""), files]


def _asked(ask: Asking, lane: Lane) -> inspect.Parameter:
    who = Annotated[Asked, Depends(ask.dependency(lane))]
    return inspect.Parameter("asked", inspect.Parameter.KEYWORD_ONLY, annotation=who)


def _signed(endpoint: Endpoint, declared: Declared, extra: list[inspect.Parameter]) -> Endpoint:
    """Give an endpoint the signature that the framework reads: what the view names, and what we add."""
    hints = get_type_hints(declared.view, include_extras=True)
    positional = {"asked", *_given_names(declared)}
    named = [
        parameter.replace(annotation=hints[name], kind=inspect.Parameter.KEYWORD_ONLY)
        for name, parameter in inspect.signature(declared.view).parameters.items()
        if name not in positional
    ]
    endpoint.__dict__["__signature__"] = inspect.Signature([*extra, *named])
    endpoint.__annotations__ = {one.name: one.annotation for one in (*extra, *named)}
    endpoint.__doc__ = inspect.getdoc(declared.view)
    return endpoint


def _given_names(declared: Declared) -> list[str]:
    """The names under which an act takes its form and its uploads, which stand right after `asked`."""
    if declared.kind != "act":
        return []
    taken = bool(declared.form) + bool(declared.uploads)
    return list(inspect.signature(declared.view).parameters)[1 : 1 + taken]


def _given(declared: Declared, typed: dict[str, tuple[str, ...]], sent: FormData) -> list[Any]:
    """The form, checked, and the files of a request."""
    given: list[Any] = []
    if declared.form is not None:
        given.append(documents.validate(declared.form, _values(declared.form, typed), resource=""))
    if declared.uploads:
        files = tuple(
            _upload(file)
            for file in sent.getlist(declared.uploads)
            if isinstance(file, Sent) and (file.filename or file.size)
        )
        if not files:
            raise BadInput("choose a file first", resource=declared.uploads)
        given.append(files)
    return given


def _upload(file: Sent) -> Upload:
    return Upload(file.filename or "unnamed", file.content_type or "", file.size or 0, file.file)


def _typed(sent: FormData) -> dict[str, tuple[str, ...]]:
    return {
        name: tuple(str(value) for value in sent.getlist(name) if not isinstance(value, Sent))
        for name in sent
        if name != "csrf"
    }


def _values(form: type[Form], typed: dict[str, tuple[str, ...]]) -> dict[str, Any]:
    """What was typed, by field: a list where the field takes many; an empty line is nothing said."""
    values: dict[str, Any] = {}
    for name, field in form.model_fields.items():
        texts = typed.get(name, ())
        if getattr(field.annotation, "__origin__", None) in {list, tuple, set, frozenset}:
            values[name] = [text for text in texts if text]
        elif texts and (texts[-1] or field.is_required()):
            values[name] = texts[-1]
    return values | _free(form, typed)


def _free(form: type[Form], typed: dict[str, tuple[str, ...]]) -> dict[str, Any]:
    """What a form takes beside its fields, where it takes anything: a list where the name ends so."""
    if form.model_config.get("extra") != "allow":
        return {}
    free = {name: texts for name, texts in typed.items() if name not in form.model_fields and any(texts)}
    return {name: list(texts) if name.endswith("[]") else texts[-1] for name, texts in free.items()}


def _refuse_stale(asked: Asked, request: Request, token: str) -> None:
    """Refuse what another site, or a page of another session, sends in somebody's name."""
    origin = request.headers.get("origin")
    ours = {f"{request.url.scheme}://{request.url.netloc}", asked.settings.address}
    is_program_before_signing_in = asked.present is None and request.url.path.startswith(f"{API}/")
    fits = is_program_before_signing_in or cookies.token_fits(asked.form_token, token)
    if (origin is not None and origin not in ours) or not fits:
        raise NotAllowed(_STALE)


def _redirected(done: Done, asked: Asked) -> Response:
    response = RedirectResponse(done.go, status_code=_SEE_OTHER)
    cookies.say_next(response, done.said, asked.settings)
    _set_cookies(response, done, asked)
    return response


def _set_cookies(response: Response, done: Done, asked: Asked) -> None:
    if isinstance(done, SessionOpened):
        cookies.set_session(response, done.token, asked.settings, shared_tablet=done.shared_tablet)
    elif isinstance(done, SessionClosed):
        cookies.drop_session(response, asked.settings)
    elif isinstance(done, LookChosen):
        cookies.set_look(response, done.look, asked.settings)


def _sent(sending: Sending) -> Response:
    response: Response
    if isinstance(sending.data, bytes):
        response = Response(sending.data, media_type=sending.media_type)
    else:
        response = StreamingResponse(sending.data, media_type=sending.media_type)
    if sending.saved_as:
        response.headers["Content-Disposition"] = f"attachment; filename*=UTF-8''{quote(sending.saved_as)}"
    return response


def _answer(declared: Declared) -> Any:
    """What a program gets: the page's dataclass, or what came of an act."""
    if declared.kind == "file":
        return None
    answered = get_type_hints(declared.view).get("return")
    return Done if isinstance(answered, type) and issubclass(answered, Done) else answered


def _success(declared: Declared) -> dict[int | str, dict[str, Any]]:
    if declared.kind != "file":
        return {}
    return {200: {"content": {"*/*": {"schema": {"type": "string", "format": "binary"}}}}}
