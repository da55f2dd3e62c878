"""Files written whole or not at all: beside their place first, then renamed; several together or none."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from dispatch.errors import HauldayError


class OutputRefused(HauldayError):
    """An output may not or cannot be written; the message says why and what to do. Nothing was changed."""


@dataclass(frozen=True, slots=True)
class _Staged:
    """One file on its way: finished beside its place, and where the file it replaces is kept meanwhile."""

    target: Path
    beside: Path
    kept: Path


def check_outputs(outputs: Sequence[Path], inputs: Iterable[Path], *, force: bool) -> None:
    """Refuse before any work what could not be written after it.

    Raises OutputRefused when two outputs are one file, when an output is an input (whatever ``force`` says),
    when its folder is missing, when it is a folder, when it exists without ``force``, or when a spreadsheet
    program has it open.
    """
    places = [output.resolve() for output in outputs]
    if len(set(places)) < len(places):
        raise OutputRefused(f"{outputs[0]}: two outputs name the same file; give each a name of its own")
    used = _files_of(inputs)
    for output in outputs:
        if _is_one_of(output, used):
            raise OutputRefused(f"{output}: is an input, and inputs are never changed; give another name")
        _check_place(output, force=force)


def _files_of(inputs: Iterable[Path]) -> list[Path]:
    """The input files, and those inside an input folder."""
    files = []
    for path in inputs:
        files += [path, *path.iterdir()] if path.is_dir() else [path]
    return files


def _is_one_of(output: Path, used: Iterable[Path]) -> bool:
    if not output.exists():
        return output.resolve() in {path.resolve() for path in used}
    return any(path.exists() and output.samefile(path) for path in used)


def _check_place(output: Path, *, force: bool) -> None:
    if not output.resolve().parent.is_dir():
        raise OutputRefused(f"{output}: the folder {output.parent} does not exist; create it or give another name")
    if output.is_dir():
        raise OutputRefused(f"{output}: is a folder; give the name of a file")
    if not output.exists():
        return
    if not force:
        raise OutputRefused(f"{output}: exists already; give another name, or --force to replace it")
    lock = open_elsewhere(output)
    if lock is not None:
        raise OutputRefused(
            f"{output}: is open in a spreadsheet program ({lock.name} says so); close it there and run again, "
            "or give another name"
        )


def open_elsewhere(path: Path) -> Path | None:
    """The lock file that a spreadsheet program keeps beside a workbook that is open in it, or ``None``."""
    place = path.resolve()
    locks = (place.with_name(f"~${place.name}"), place.with_name(f".~lock.{place.name}#"))
    return next((lock for lock in locks if lock.exists()), None)


def write_files(contents: Mapping[Path, bytes], *, force: bool = False) -> None:
    """Write all files or none: each is finished beside its place and renamed; on failure the old ones come back.

    Raises OutputRefused when one exists without ``force`` or cannot be written.
    """
    staged: list[_Staged] = []
    done: list[_Staged] = []
    try:
        for target, content in contents.items():
            staged.append(_stage(target.resolve(), content))
        for one in staged:
            _move_in(one, force=force)
            done.append(one)
    except OSError as error:
        _undo(done)
        raise OutputRefused(_advice(error, list(contents))) from error
    except BaseException:  # Ctrl-C between two renames too: all files or none
        _undo(done)
        raise
    finally:
        for one in staged:
            with suppress(OSError):
                one.beside.unlink(missing_ok=True)
    for one in done:
        with suppress(OSError):
            one.kept.unlink(missing_ok=True)


def _stage(target: Path, content: bytes) -> _Staged:
    mark = os.getpid()
    one = _Staged(
        target, target.with_name(f".{target.name}.{mark}.part"), target.with_name(f".{target.name}.{mark}.old")
    )
    one.beside.write_bytes(content)
    return one


def _move_in(one: _Staged, *, force: bool) -> None:
    if one.target.exists():
        if not force:
            raise OutputRefused(f"{one.target}: exists already; give another name, or --force to replace it")
        one.target.replace(one.kept)
    try:
        one.beside.replace(one.target)
    except OSError:
        _put_back(one)
        raise


def _undo(done: Iterable[_Staged]) -> None:
    for one in done:
        with suppress(OSError):
            one.target.unlink()
        _put_back(one)


def _put_back(one: _Staged) -> None:
    if one.kept.exists():
        with suppress(OSError):
            one.kept.replace(one.target)


def _advice(error: OSError, targets: Sequence[Path]) -> str:
    names = ", ".join(str(target) for target in targets)
    if isinstance(error, PermissionError):
        return (
            f"{names}: cannot be written ({error.strerror}). If it is open in a spreadsheet program, close it "
            "there and run again; else check the folder's rights or give another name. Nothing was written."
        )
    return f"{names}: cannot be written ({error.strerror or error}). Nothing was written."
