"""Plans that are done already, kept in a folder: one small file a job, named by the digest of all it depends on.

A run that was killed goes on from here, and one with other prices needs no search at all. A file that cannot be
read, or whose plan the verifier refuses, counts for nothing and is made anew. The folder may be deleted any time.
"""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

import dispatch
from dispatch.comparison.jobs import Job, PlanRefused, check_plan, job_key
from dispatch.plan import Plan

LAYOUT = "plans 1"
"""Changes when the files change their meaning."""
_SOLVERS = ("haulday", "ortools", "highspy", "numba")
_SOURCES = frozenset({".py", ".toml", ".csv"})
_PLAN = TypeAdapter(Plan)


@cache
def versions() -> tuple[str, ...]:
    """What besides the job decides over its plan: this program as it is now, and its solvers."""
    return (
        LAYOUT,
        sources_digest(Path(dispatch.__file__).parent),
        *(f"{name} {version(name)}" for name in _SOLVERS),
    )


def sources_digest(core: Path) -> str:
    """SHA-256 of the core's code and data files: a changed program must not take over the plans of the old one.

    The adapters (``io``) decide over no plan. Line ends do not count.
    """
    files = sorted(
        (path.relative_to(core).as_posix(), path) for path in core.rglob("*") if path.suffix in _SOURCES
    )
    digest = hashlib.sha256()
    for name, path in files:
        if not name.startswith("io/"):
            text = path.read_bytes().replace(b"\r\n", b"\n")
            digest.update(f"{name} {len(text)}\n".encode() + text)
    return digest.hexdigest()


@dataclass(frozen=True, slots=True)
class PlanCache:
    """The folder. Nothing is written before the first plan is kept."""

    folder: Path

    def key(self, job: Job) -> str:
        """The name under which the job's plan is kept."""
        return job_key(job, versions())

    def find(self, job: Job) -> Plan | None:
        """The job's plan, verified once more; ``None`` when it is not there or not sound."""
        try:
            plan = _PLAN.validate_json(self._file(job).read_bytes())
            check_plan(job.label, job.problem, plan)
        except (OSError, ValidationError, PlanRefused, LookupError):
            return None
        return plan

    def keep(self, job: Job, plan: Plan) -> None:
        """Keeps the plan: written beside its place, then renamed. Raises OSError when that cannot be done."""
        self.folder.mkdir(parents=True, exist_ok=True)
        target = self._file(job)
        beside = target.with_name(f".{target.name}.{os.getpid()}")
        beside.write_bytes(_PLAN.dump_json(plan))
        beside.replace(target)

    def _file(self, job: Job) -> Path:
        return self.folder / f"{self.key(job)}.json"
