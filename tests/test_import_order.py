"""The order of the code: DEVELOPERS.md lists the modules in reading order, and imports go upwards only."""

import ast
import graphlib
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
FOLDERS = {"dispatch": ROOT / "dispatch", "dispatch.io": ROOT / "io"}

FILES = {"csv", "fileinput", "io", "openpyxl", "os", "pandas", "pathlib", "shutil", "tempfile", "zipfile"}
CONSOLES = {"argparse", "getpass", "logging", "rich", "subprocess", "sys", "typer"}
OTHERS = {"defusedxml", "http", "matplotlib", "pint", "pydantic", "socket", "urllib"}
OUTSIDE_WORLD = FILES | CONSOLES | OTHERS
"""What the core does without: files, spreadsheets, drawings, consoles, networks."""
OUTSIDE_CALLS = {"print", "open", "input", "read_text", "read_bytes", "write_text", "write_bytes"}
EXCEPTIONS = {
    "dispatch.limits.rule_set": {"read_text"},  # the package's own data file, limits as data
    "dispatch.second_process": {"os", "sys", "signal", "multiprocessing"},  # a process is made of nothing else
    "dispatch.highs": {"os", "sys", "open"},  # keeps a library's greeting off the standard output
}
SOLVERS = {"highspy", "ortools"}
SOLVER_MODULES = {
    f"dispatch.{name}"
    for name in (
        "cp_solver",
        "day_choice",
        "highs",
        "master",
        "packing",
        "schedule_model",
        "shared_clock",
        "shared_gear",
        "shared_machines",
    )
}
NOT_FOR_THE_VERIFIER = {"trips", "schedule_model", "placement", "legality", "load_rules", "load_tables", "solve"}


def module_name(path: Path) -> str:
    """The import name of a source file: ``io/cells.py`` -> ``dispatch.io.cells``."""
    for package, folder in reversed(FOLDERS.items()):
        if path.is_relative_to(folder):
            parts = path.relative_to(folder).with_suffix("").parts
            return ".".join([package, *(part for part in parts if part != "__init__")])
    raise ValueError(path)


@cache
def sources() -> dict[str, Path]:
    """Every module of the product by import name."""
    return {module_name(path): path for folder in FOLDERS.values() for path in sorted(folder.rglob("*.py"))}


@cache
def tree(module: str) -> ast.Module:
    return ast.parse(sources()[module].read_text(encoding="utf-8"))


def imported_names(module: str) -> Iterator[str]:
    """Every name that a module imports, at its top or inside a function; ``from a import b`` gives ``a.b``."""
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: relative import; import by the full name"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


@cache
def own_imports(module: str) -> frozenset[str]:
    """The product's modules that a module imports (packages that merely lead to them do not count)."""
    found = set()
    for name in imported_names(module):
        if name.split(".")[0] == "dispatch":
            whole = name if name in sources() else name.rpartition(".")[0]
            assert whole in sources(), f"{module} imports {name}, which does not exist"
            found.add(whole)
    return frozenset(found - {module})


@cache
def declared_order() -> tuple[str, ...]:
    """The modules in the order of the tables in DEVELOPERS.md."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    part = text.split("## Map of the code")[1].split("\n## ")[0]
    found, package = [], ""
    for line in part.splitlines():
        if heading := re.match(r"### `(dispatch|io)/`", line):
            package = {"dispatch": "dispatch", "io": "dispatch.io"}[heading[1]]
        elif row := re.match(r"\| `([\w.]+)` \|", line):
            found.append(f"{package}.{row[1]}")
    return tuple(found)


def core() -> list[str]:
    return [name for name in sources() if not name.startswith("dispatch.io")]


def verifiers() -> list[str]:
    return [name for name in sources() if name.startswith("dispatch.verify")]


def everything_under(module: str) -> set[str]:
    """All modules that a module imports, directly or through others."""
    seen: set[str] = set()
    todo = [module]
    while todo:
        for name in own_imports(todo.pop()) - seen:
            seen.add(name)
            todo.append(name)
    return seen


def test_developers_map_lists_every_module_once():
    listed = declared_order()
    assert sorted(listed) == sorted(set(sources()) - set(FOLDERS))


def test_there_is_an_order_at_all():
    graph = {name: own_imports(name) for name in sources()}
    tuple(graphlib.TopologicalSorter(graph).static_order())


@pytest.mark.parametrize("module", sources())
def test_imports_only_from_above(module):
    order = ["dispatch", *(name for name in declared_order() if not name.startswith("dispatch.io."))]
    order += ["dispatch.io", *(name for name in declared_order() if name.startswith("dispatch.io."))]
    unlisted = [name for name in (module, *own_imports(module)) if name not in order]
    assert unlisted == [], "no row in the tables of DEVELOPERS.md"
    place = order.index(module)
    assert [name for name in own_imports(module) if order.index(name) > place] == []


@pytest.mark.parametrize("module", core())
def test_core_keeps_away_from_files_and_consoles(module):
    allowed = EXCEPTIONS.get(module, set())
    found = {name.split(".")[0] for name in imported_names(module)} & OUTSIDE_WORLD
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.Call):
            called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            found |= {called} & OUTSIDE_CALLS
    assert found - allowed == set()


@pytest.mark.parametrize("module", core())
def test_solvers_stay_in_their_modules(module):
    found = {name.split(".")[0] for name in imported_names(module)} & SOLVERS
    assert not found or module in SOLVER_MODULES


@pytest.mark.parametrize("module", verifiers())
def test_verifier_is_independent(module):
    under = everything_under(module)
    assert {name.removeprefix("dispatch.") for name in under} & NOT_FOR_THE_VERIFIER == set()
    outside = {name.split(".")[0] for one in (module, *under) for name in imported_names(one)}
    assert outside & SOLVERS == set()


def test_the_rules_can_be_broken():
    """The tests above look at what they should: a known import is seen, a known solver module is one."""
    assert "dispatch.units" in own_imports("dispatch.legality")
    assert "dispatch.problem" in everything_under("dispatch.verify")
    assert any(name.startswith("ortools") for name in imported_names("dispatch.schedule_model"))
    assert verifiers()


def test_command_starts_light():
    """``haulday --help`` imports the console library alone at first; the rest inside the verb that needs it."""
    top = [node for node in tree("dispatch.io.command").body if isinstance(node, ast.Import | ast.ImportFrom)]
    names = {alias.name for node in top if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module or "" for node in top if isinstance(node, ast.ImportFrom)}
    light = {"__future__", "collections", "contextlib", "enum", "sys", "pathlib", "typing"}
    assert {name for name in names if name.split(".")[0] not in light} == {"typer"}
