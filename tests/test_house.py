"""The house in order: what is shipped, what is promised in the pages, what the build machine runs."""

import re
import subprocess
import sys
import tomllib
from functools import cache
from importlib.metadata import version
from pathlib import Path

import pytest
from dispatch.io.exit_codes import ExitCode

from tests.test_import_order import imported_names, sources

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
MADE = re.compile(r"^(\.git|\.venv|venv|build|dist|out|.*\.egg-info|\.\w+_cache|\.hypothesis|__pycache__)$")

MACHINE_PATHS = re.compile("|".join(["/" + "work/", "/" + "tmp/", "/" + "home/", "/" + "root/", "/" + "Users/"]))
REGISTRIES = re.compile("|".join(["py" + r"pi\.org", "python" + "hosted", "npm" + r"js\.", "anaconda" + r"\.org"]))

NOT_IMPORTED = {"defusedxml", "pandas", "rich"}
"""Used by a library of ours, not by our code; docs/libraries.md says by which."""


@cache
def files() -> tuple[Path, ...]:
    """Everything under version control; in a copy without history, everything that no tool has made."""
    if (ROOT / ".git").exists():
        listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=False)
        if listed.returncode == 0:
            paths = (ROOT / name for name in listed.stdout.decode().split("\0") if name)
            return tuple(path for path in paths if path.is_file())
    found = (path for path in sorted(ROOT.rglob("*")) if path.is_file())
    return tuple(p for p in found if not any(MADE.match(part) for part in p.relative_to(ROOT).parts))


def text_files() -> list[tuple[str, str]]:
    """Names and texts of all files that are text."""
    found = []
    for path in files():
        data = path.read_bytes()
        if b"\0" not in data:
            found.append((path.relative_to(ROOT).as_posix(), data.decode("utf-8")))
    return found


def pages() -> list[Path]:
    return [path for path in files() if path.suffix == ".md"]


def page_names() -> list[str]:
    return [path.relative_to(ROOT).as_posix() for path in pages()]


# -- what is shipped ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("forbidden", [MACHINE_PATHS, REGISTRIES], ids=["machine paths", "registry hosts"])
def test_no_file_names_a_machine(forbidden):
    found = [
        f"{name}:{number}: {line.strip()}"
        for name, text in text_files()
        for number, line in enumerate(text.splitlines(), start=1)
        if forbidden.search(line)
    ]
    assert found == []


def test_every_package_is_shipped():
    folders = {path.parent for folder in ("dispatch", "io") for path in (ROOT / folder).rglob("__init__.py")}
    names = {folder.relative_to(ROOT).as_posix().replace("/", ".") for folder in folders}
    expected = {re.sub(r"^io\b", "dispatch.io", name) for name in names}
    demo = {"dispatch.demo"}  # the demo's rows, data only
    assert set(PROJECT["tool"]["setuptools"]["packages"]) - demo == expected
    assert PROJECT["tool"]["setuptools"]["package-dir"]["dispatch.io"] == "io"


def test_every_data_file_is_shipped():
    shipped = PROJECT["tool"]["setuptools"]["package-data"]
    assert "py.typed" in shipped["dispatch"]
    assert (ROOT / "dispatch" / "py.typed").is_file()
    data = [
        p for p in files() if p.is_relative_to(ROOT / "dispatch") and p.suffix != ".py" and p.name != "py.typed"
    ]
    stray = [p for p in data if not any(p.match(f"dispatch/limits/{glob}") for glob in shipped["dispatch.limits"])]
    assert stray == []
    assert [p for p in files() if p.is_relative_to(ROOT / "io") and p.suffix != ".py"] == []


def test_version_is_the_same_everywhere():
    said = subprocess.run(
        [sys.executable, "-m", "dispatch.io.command", "--version"], capture_output=True, text=True, check=True
    )
    declared = PROJECT["project"]["version"]
    assert said.stdout.strip() == f"haulday {declared}"
    assert version("haulday") == declared
    assert f"## {declared}" in (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")


def test_licence_is_the_one_declared():
    licence = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert PROJECT["project"]["license"] == "Apache-2.0"
    assert "Apache License" in licence
    assert "END OF TERMS AND CONDITIONS" in licence


# -- the pages -----------------------------------------------------------------------------------------------


def anchors(page: Path) -> set[str]:
    """The anchors that a page's headings give: lower case, blanks to hyphens, signs dropped."""
    headings = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), flags=re.M)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


@pytest.mark.parametrize("name", page_names())
def test_every_link_leads_somewhere(name):
    page = ROOT / name
    text = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.S)
    broken = []
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        place, _, anchor = target.partition("#")
        if "://" in target or target.startswith("mailto:"):
            continue
        linked = page if not place else (page.parent / place).resolve()
        if not linked.exists() or (anchor and anchor not in anchors(linked)):
            broken.append(target)
    assert broken == []


def test_documentation_index_names_every_page():
    index = (ROOT / "docs" / "README.md").read_text(encoding="utf-8")
    names = {path.name for path in (ROOT / "docs").glob("*.md")} - {"README.md"}
    assert {name for name in names if f"({name})" not in index} == set()


def test_decisions_are_numbered_dated_and_listed():
    folder = ROOT / "docs" / "decisions"
    index = (folder / "README.md").read_text(encoding="utf-8")
    decisions = sorted(folder.glob("[0-9]*.md"))
    assert [int(path.name[:4]) for path in decisions] == list(range(1, len(decisions) + 1))
    for path in decisions:
        text = path.read_text(encoding="utf-8")
        assert text.startswith(f"# {int(path.name[:4])}. "), path.name
        assert re.search(r"^Date: \d{4}-\d\d-\d\d$", text, flags=re.M), path.name
        assert re.findall(r"^## (.+)$", text, flags=re.M) == ["Context", "Choice", "Consequence"], path.name
        assert f"({path.name})" in index, path.name


# -- libraries -------------------------------------------------------------------------------------------------


def declared_libraries() -> set[str]:
    project = PROJECT["project"]
    lines = [
        *project["dependencies"],
        *(one for extra in project["optional-dependencies"].values() for one in extra),
    ]
    names = {re.split(r"[\[<>=~! ]", line)[0].lower() for line in lines}
    return names - {"haulday"}


def test_every_library_has_its_reason():
    page = (ROOT / "docs" / "libraries.md").read_text(encoding="utf-8")
    told = re.findall(r"^\| ([\w-]+) \| (.+) \|$", page, flags=re.M)
    assert {name for name, reason in told if name != "library" and reason} == declared_libraries()


def test_code_imports_what_is_declared_and_nothing_else():
    roots = {name.split(".")[0] for module in sources() for name in imported_names(module)}
    imported = {name.lower() for name in roots - set(sys.stdlib_module_names) - {"dispatch"}}
    lines = (*PROJECT["project"]["dependencies"], *PROJECT["project"]["optional-dependencies"]["cluster"])
    needed = {re.split(r"[<>=]", line)[0] for line in lines}
    assert imported == needed - NOT_IMPORTED


# -- what README promises and the build machine runs -------------------------------------------------------------


def readme_commands() -> list[str]:
    """The two commands for a fresh machine: the first code block of README."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    block = re.search(r"```sh\n(.*?)```", text, flags=re.S)
    assert block is not None
    return block[1].splitlines()


def test_readme_has_two_commands_and_the_build_machine_runs_them():
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    commands = readme_commands()
    assert len(commands) == 2
    assert [command for command in commands if command not in script] == []


def test_windows_commands_are_the_same():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    block = re.search(r"```bat\n(.*?)```", text, flags=re.S)
    assert block is not None
    turned = [
        line.replace(".venv\\Scripts\\", ".venv/bin/").replace("py -m", "python3 -m")
        for line in block[1].splitlines()
    ]
    assert [line.replace("\\", "/") for line in turned] == [line.replace("'", "") for line in readme_commands()]


def test_exit_codes_are_told_alike():
    for name in ("README.md", "docs/command.md", "docs/dispatcher.md"):
        text = (ROOT / name).read_text(encoding="utf-8")
        told = re.findall(r"^\| (\d) \|", text, flags=re.M)
        assert sorted(map(int, told)) == sorted(map(int, ExitCode)), name


def test_slow_tests_are_left_out_every_day():
    assert "-m 'not slow'" in PROJECT["tool"]["pytest"]["ini_options"]["addopts"]


def test_hooks_are_local():
    hooks = (ROOT / ".pre-commit-config.yaml").read_text(encoding="utf-8")
    assert re.findall(r"repo: (\S+)", hooks) == ["local"]
