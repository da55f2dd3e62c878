"""How the inner loops are compiled: once per installation, kept beside the code."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba

Function = TypeVar("Function", bound=Callable[..., Any])
COMPILED_ONLY: dict[str, Any] = {
    "nogil": True,
    "error_model": "numpy",
    "no_cpython_wrapper": True,
    "no_cfunc_wrapper": True,
}
"""Without the wrappers for Python the compiler is done sooner."""


_OUTER: list[Any] = []


def outer(function: Function) -> Function:
    """Compiled, kept beside the code, called from Python."""
    made = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    _OUTER.append(made)
    return cast(Function, made)


def compilations() -> int:
    """How often this process had to compile an outer function, as nothing was kept of it: seconds each time."""
    return sum(sum(one.stats.cache_misses.values()) for one in _OUTER if hasattr(one, "stats"))


def inner(function: Function) -> Function:
    """Compiled, called by compiled code only."""
    return cast(Function, numba.njit(**COMPILED_ONLY)(function))


def inlined(function: Function) -> Function:
    """The same, put in where it is called."""
    return cast(Function, numba.njit(**COMPILED_ONLY, forceinline=True)(function))
