"""The one table of settings: a flag wins, then `SINKSIDE_*`, then the workspace's file, then the default."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal
from urllib.parse import urlsplit

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from sinkside.documents import faults_of
from sinkside.errors import BadDocument

PREFIX = "SINKSIDE_"


class Settings(BaseModel):
    """How a workspace is served. Every field is a setting; its description is its documentation."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    host: str = Field("127.0.0.1", description="The address to listen on; this machine alone unless told.")
    port: int = Field(8470, ge=0, le=65535, description="The port to listen on; 0 takes a free one.")
    address: str = Field(
        "",
        description=("The address that people type, behind a proxy; with https, cookies are secure."),
    )
    database: str = Field("", description="A PostgreSQL address; empty for the workspace's own SQLite file.")
    upload_mb: int = Field(50, ge=1, le=500, description="The largest upload, in megabytes.")
    upload_wait_s: float = Field(
        60.0,
        gt=0,
        le=600,
        description="How long a refused upload is heard out before it is cut off, in seconds.",
    )
    worker: bool = Field(default=True, description="Whether serving also starts the worker for long work.")
    web_processes: int = Field(
        2, ge=1, le=32, description="How many processes answer browsers; about as many as there are cores."
    )
    log_level: Literal["debug", "info", "warning", "error"] = Field(
        "info", description="The least that is logged."
    )

    @field_validator("address")
    @classmethod
    def _an_address(cls, address: str) -> str:
        parts = urlsplit(address)
        if address and (parts.scheme not in {"http", "https"} or not parts.netloc):
            raise ValueError("expected an address such as https://sinkside.example")
        return address.rstrip("/")

    @property
    def is_secure(self) -> bool:
        """Whether people reach the house by https."""
        return self.address.startswith("https://")

    @property
    def upload_bytes(self) -> int:
        """The largest upload, in bytes."""
        return self.upload_mb * 1_000_000


def settle(
    *, flags: Mapping[str, Any], environment: Mapping[str, str], workspace: Mapping[str, Any]
) -> Settings:
    """The settings in force.

    Args:
        flags: what the command line was told; None is untold.
        environment: the environment of the process.
        workspace: what the workspace's file states under `[settings]`.

    Raises:
        BadDocument: with every setting that is unknown or will not do, and where it was said.

    >>> settle(flags={"port": None}, environment={"SINKSIDE_PORT": "9000"}, workspace={"port": 80}).port
    9000
    """
    told = {
        name: (value, f"--{name.replace('_', '-')}") for name, value in flags.items() if value is not None
    }
    stated = {name: (value, f"[settings] {name}") for name, value in workspace.items()}
    known = {
        name: (environment[variable(name)], variable(name))
        for name in Settings.model_fields
        if environment.get(variable(name))
    }
    chosen = {**stated, **known, **told}
    try:
        return Settings.model_validate({name: value for name, (value, _) in chosen.items()})
    except ValidationError as error:
        faults = [
            type(fault)(chosen.get(fault.path, ("", fault.path))[1], fault.problem)
            for fault in faults_of(error)
        ]
        raise BadDocument(faults, resource="settings") from error


def variable(name: str) -> str:
    """The environment variable of a setting.

    >>> variable("upload_mb")
    'SINKSIDE_UPLOAD_MB'
    """
    return PREFIX + name.upper()


def settings_page() -> str:
    """The page of the documentation that lists every setting."""
    lines = [
        "# Settings",
        "",
        "A flag of the command wins; then the environment; then `[settings]` in the workspace's",
        "`workspace.toml`; then the default. An unknown setting, or a value that will not do, is refused",
        "with its place. The workspace itself is chosen by `--workspace`, or `SINKSIDE_WORKSPACE`.",
        "",
        "| setting | environment | default | what it does |",
        "|---|---|---|---|",
    ]
    for name, field in Settings.model_fields.items():
        default = f"`{str(field.default).lower() if isinstance(field.default, bool) else field.default}`"
        lines.append(
            f"| `{name}` | `{variable(name)}` | {'–' if field.default == '' else default} "
            f"| {field.description} |"
        )
    return "\n".join(lines) + "\n"
