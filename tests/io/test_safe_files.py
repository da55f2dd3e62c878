"""Files are written whole or not at all, together or none, and never over an input."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from dispatch.io.safe_files import OutputRefused, check_outputs, write_files


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_writes_all_and_leaves_nothing_beside(tmp_path: Path) -> None:
    write_files({tmp_path / "a": b"1", tmp_path / "b": b"2"})
    assert names(tmp_path) == {"a", "b"}
    assert (tmp_path / "a").read_bytes() == b"1"


def test_an_existing_file_is_kept_without_force(tmp_path: Path) -> None:
    (tmp_path / "b").write_bytes(b"old")
    with pytest.raises(OutputRefused, match="exists already"):
        write_files({tmp_path / "a": b"1", tmp_path / "b": b"2"})
    assert names(tmp_path) == {"b"}
    assert (tmp_path / "b").read_bytes() == b"old"


def test_force_replaces(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"old")
    write_files({tmp_path / "a": b"new"}, force=True)
    assert names(tmp_path) == {"a"}
    assert (tmp_path / "a").read_bytes() == b"new"


def test_a_failure_puts_every_old_file_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a").write_bytes(b"old a")
    (tmp_path / "b").write_bytes(b"old b")
    real = Path.replace

    def refuse(self: Path, target: Path) -> Path:
        if target.name == "b" and self.name.endswith(".part"):
            raise PermissionError(13, "Permission denied")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(OutputRefused, match="spreadsheet program, close it"):
        write_files({tmp_path / "a": b"new a", tmp_path / "b": b"new b"}, force=True)
    assert names(tmp_path) == {"a", "b"}
    assert (tmp_path / "a").read_bytes() == b"old a"
    assert (tmp_path / "b").read_bytes() == b"old b"


def test_a_stop_between_two_renames_leaves_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = Path.replace

    def stop(self: Path, target: Path) -> Path:
        if target.name == "b":
            raise KeyboardInterrupt
        return real(self, target)

    monkeypatch.setattr(Path, "replace", stop)
    with pytest.raises(KeyboardInterrupt):
        write_files({tmp_path / "a": b"1", tmp_path / "b": b"2"})
    assert names(tmp_path) == set()


def test_an_output_that_is_an_input_is_refused_even_with_force(tmp_path: Path) -> None:
    source = tmp_path / "in.xlsx"
    source.write_bytes(b"x")
    os.link(source, tmp_path / "link.xlsx")
    for output in (source, tmp_path / "." / "in.xlsx", tmp_path / "link.xlsx"):
        with pytest.raises(OutputRefused, match="is an input"):
            check_outputs([output], [source], force=True)


def test_a_file_inside_an_input_folder_is_an_input(tmp_path: Path) -> None:
    (tmp_path / "Moves.csv").write_text("Move")
    with pytest.raises(OutputRefused, match="is an input"):
        check_outputs([tmp_path / "Moves.csv"], [tmp_path], force=True)


def test_two_outputs_need_two_names(tmp_path: Path) -> None:
    with pytest.raises(OutputRefused, match="same file"):
        check_outputs([tmp_path / "a", tmp_path / "x" / ".." / "a"], [], force=False)


def test_a_missing_folder_and_a_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(OutputRefused, match="does not exist"):
        check_outputs([tmp_path / "no" / "a.xlsx"], [], force=False)
    (tmp_path / "d.xlsx").mkdir()
    with pytest.raises(OutputRefused, match="is a folder"):
        check_outputs([tmp_path / "d.xlsx"], [], force=True)


@pytest.mark.parametrize("lock", ["~$plan.xlsx", ".~lock.plan.xlsx#"])
def test_a_workbook_that_is_open_is_refused_before_any_work(tmp_path: Path, lock: str) -> None:
    (tmp_path / "plan.xlsx").write_bytes(b"old")
    (tmp_path / lock).write_bytes(b"")
    with pytest.raises(OutputRefused, match="close it there"):
        check_outputs([tmp_path / "plan.xlsx"], [], force=True)
