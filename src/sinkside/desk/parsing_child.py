"""Documents from outside are parsed in a child process, with limits of memory and time.

A document that asks for too much, or brings the parser down, ends the child, and whoever asked
hears one sentence.
The child is this module run by itself: it reads its request from a file and writes its answer to another.
"""

from __future__ import annotations

import base64
import contextlib
import json
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any, Final, Literal

from sinkside.errors import BadDocument, BadInput, Fault, SinksideError, UnreadableFile

if TYPE_CHECKING:
    from sinkside.cycles import Unread, Verdict

Task = Literal["cases", "codes", "cycles", "department", "draft", "judge", "lines", "photo", "picture", "set"]

_REQUEST: Final = "request.json"
_ANSWER: Final = "answer.json"
_LARGEST_ANSWER_BYTES: Final = 100_000_000
_POLLED_EVERY_S: Final = 0.25

#: What nobody waits for at a page gives way to pages. The worker itself does not: it may hold the archive.
_UNHURRIED: Final = frozenset({"draft", "judge"})
_NICENESS: Final = 10

#: Linux, prctl(2): which signal the kernel sends once whoever started this process is gone.
_PR_SET_PDEATHSIG: Final = 1


@dataclass(frozen=True)
class ChildLimits:
    """What a child may use: address space, processor time, time on the clock."""

    memory_bytes: int = 2_000_000_000
    processor_s: int = 240
    clock_s: float = 300.0


class Stopped(SinksideError):
    """The work was to stop; the child was ended."""


def run_child(
    task: Task,
    files: Sequence[tuple[str, bytes]],
    *,
    arguments: Mapping[str, Any] | None = None,
    limits: ChildLimits | None = None,
    go_on: Callable[[], bool] = lambda: True,
) -> Any:
    """What a child makes of some files from outside, as plain values.

    Args:
        task: what to do.
        files: each file's name, as people know it, and its content.
        arguments: what else the task needs, as plain values.
        limits: what the child may use.
        go_on: asked a few times a second; once it says no, the child is ended.

    Raises:
        UnreadableFile: if a file cannot be read, or asks for more than the limits allow.
        BadInput: if what is in it does not fit; every fault of a document is told.
        Stopped: if the work was not to go on.
    """
    allowed = limits or ChildLimits()
    shown = files[0][0] if files else ""
    with tempfile.TemporaryDirectory(prefix="sinkside-") as name:
        folder = Path(name)
        kept = [
            _put(folder, number, file_name, data) for number, (file_name, data) in enumerate(files, start=1)
        ]
        request = {
            "task": task,
            "files": kept,
            "arguments": dict(arguments or {}),
            "memory_bytes": allowed.memory_bytes,
            "processor_s": allowed.processor_s,
            "parent": os.getpid(),
        }
        (folder / _REQUEST).write_text(json.dumps(request), encoding="utf-8")
        code = _ended(folder, allowed, go_on, shown)
        return _answer(folder / _ANSWER, code, shown)


def _put(folder: Path, number: int, file_name: str, data: bytes) -> str:
    """Each file in a folder of its own, under its own name without any path in it."""
    place = folder / str(number)
    place.mkdir()
    target = place / (Path(file_name.replace("\\", "/")).name.strip(". ") or "file")
    target.write_bytes(data)
    return str(target)


def _ended(folder: Path, limits: ChildLimits, go_on: Callable[[], bool], shown: str) -> int:
    # -P keeps the folder with the files from outside off the path that modules are imported from.
    child = subprocess.Popen(  # noqa: S603 # our own interpreter, and no shell
        [sys.executable, "-P", "-m", "sinkside.desk.parsing_child", str(folder)],
        cwd=folder,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    until = monotonic() + limits.clock_s
    try:
        while True:
            with contextlib.suppress(subprocess.TimeoutExpired):
                return child.wait(_POLLED_EVERY_S)
            if not go_on():
                raise Stopped("the work was stopped", resource=shown)
            if monotonic() > until:
                raise UnreadableFile(
                    f"reading it took longer than {limits.clock_s:g} s and was stopped", resource=shown
                )
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child.pid, signal.SIGKILL)
        child.wait()


def _answer(path: Path, code: int, shown: str) -> Any:
    if code == -signal.SIGXCPU:
        raise UnreadableFile("reading it needed more processor time than is allowed", resource=shown)
    if code != 0 or not path.is_file() or path.stat().st_size > _LARGEST_ANSWER_BYTES:
        raise UnreadableFile(
            "reading it needed too much memory or brought the reader down; nothing was taken from it",
            resource=shown,
        )
    answer = json.loads(path.read_text(encoding="utf-8"))
    if "faults" in answer:
        raise BadDocument([Fault(*fault) for fault in answer["faults"]], resource=answer["resource"])
    if "error" in answer:
        kind = UnreadableFile if answer["unreadable"] else BadInput
        raise kind(answer["error"], resource=answer["resource"])
    return answer["made"]


def _end_with(parent: int) -> None:
    """End when whoever asked is killed: nobody would hear the answer, or end what takes too long."""
    import ctypes

    with contextlib.suppress(AttributeError):  # no Linux; then the limits alone end it
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != parent:
        os._exit(1)  # it was gone before we asked


def _limit(memory_bytes: int, processor_s: int) -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))
    resource.setrlimit(resource.RLIMIT_CPU, (processor_s, processor_s + 1))
    resource.setrlimit(resource.RLIMIT_FSIZE, (_LARGEST_ANSWER_BYTES, _LARGEST_ANSWER_BYTES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _cases(files: Sequence[Path], arguments: Mapping[str, Any]) -> Any:
    from sinkside.bench.cases import read_cases
    from sinkside.documents import read_bytes, to_values

    file = files[0]
    read = read_cases(file.name, read_bytes(file), zone=arguments["zone"], sets=arguments["sets"])
    return to_values(read)


def _codes(files: Sequence[Path], _: Mapping[str, Any]) -> Any:
    from sinkside.aids.labels.reading import codes_on
    from sinkside.desk.photo_reading import read_photo
    from sinkside.documents import read_bytes

    photo = read_photo(read_bytes(files[0]), resource=files[0].name)
    return codes_on(base64.b64decode(photo["jpeg"]), resource=files[0].name)


def _cycles(files: Sequence[Path], _: Mapping[str, Any]) -> Any:
    from sinkside.cycles.many import taken_apart

    return [[one.name, base64.b64encode(one.data).decode("ascii")] for one in taken_apart(files[0])]


def _department(files: Sequence[Path], arguments: Mapping[str, Any]) -> Any:
    from sinkside.department import Department
    from sinkside.department.spreadsheet import read_spreadsheet
    from sinkside.documents import read_bytes, to_values

    onto = Department.model_validate(arguments["onto"]) if arguments["onto"] else None
    return to_values(read_spreadsheet(read_bytes(files[0]), onto=onto, resource=files[0].name))


def _draft(files: Sequence[Path], arguments: Mapping[str, Any]) -> Any:
    from sinkside.desk.instructions import draft
    from sinkside.documents import to_values

    return to_values(draft(files[0], language=arguments.get("language")))


def _lines(files: Sequence[Path], _: Mapping[str, Any]) -> Any:
    from sinkside.draft.pages import read_pages

    return [line.text for line in read_pages(files[0]).lines]


def _photo(files: Sequence[Path], _: Mapping[str, Any]) -> Any:
    from sinkside.desk.photo_reading import read_photo
    from sinkside.documents import read_bytes

    return read_photo(read_bytes(files[0]), resource=files[0].name)


def _picture(files: Sequence[Path], arguments: Mapping[str, Any]) -> Any:
    from sinkside.documents import read_bytes
    from sinkside.draft.page_picture import page_picture

    return page_picture(read_bytes(files[0]), int(arguments["page"]), resource=files[0].name)


def _judge(files: Sequence[Path], arguments: Mapping[str, Any]) -> Any:
    from pydantic import TypeAdapter

    from sinkside.cycles import Reading, judge_many
    from sinkside.department import Program

    program = Program.model_validate(arguments["program"])
    reading = TypeAdapter(Reading).validate_python(arguments["reading"])
    judged = judge_many(files, program, profile=arguments["profile"], reading=reading, processes=1)
    return [_told(answer, files) for answer in judged]


def _told(answer: Verdict | Unread, files: Sequence[Path]) -> dict[str, Any]:
    from sinkside.cycles import Unread
    from sinkside.documents import to_values

    if isinstance(answer, Unread):
        answer = answer.model_copy(update={"error": _without_folder(answer.error, files)})
    return to_values(answer)


def _without_folder(sentence: str, files: Sequence[Path]) -> str:
    for path in files:
        sentence = sentence.replace(f"{path.parent}{os.sep}", "")
    return sentence


def _set(files: Sequence[Path], arguments: Mapping[str, Any]) -> Any:
    from sinkside.desk.set_files import read_in_child
    from sinkside.documents import to_values

    return to_values(read_in_child(files[0], arguments))


_TASKS: Final[Mapping[str, Callable[[Sequence[Path], Mapping[str, Any]], Any]]] = {
    "cases": _cases,
    "codes": _codes,
    "cycles": _cycles,
    "department": _department,
    "draft": _draft,
    "judge": _judge,
    "lines": _lines,
    "photo": _photo,
    "picture": _picture,
    "set": _set,
}


def main(folder: Path) -> None:
    """Do what the request in a folder asks, and leave the answer there."""
    request = json.loads((folder / _REQUEST).read_text(encoding="utf-8"))
    _end_with(request["parent"])
    _limit(request["memory_bytes"], request["processor_s"])
    if request["task"] in _UNHURRIED:
        os.nice(_NICENESS)
        # Where every session has its own share of the processor, niceness counts within it alone.
        with contextlib.suppress(OSError):
            Path("/proc/self/autogroup").write_text(str(_NICENESS), encoding="ascii")
    files = [Path(name) for name in request["files"]]
    try:
        answer = {"made": _TASKS[request["task"]](files, request["arguments"])}
    except BadDocument as error:
        answer = {
            "faults": [[fault.path, fault.problem] for fault in error.faults],
            "resource": _without_folder(error.resource, files),
        }
    except SinksideError as error:
        answer = {
            "error": _without_folder(error.message, files),
            "resource": _without_folder(error.resource, files),
            "unreadable": isinstance(error, UnreadableFile),
        }
    (folder / _ANSWER).write_text(json.dumps(answer), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
