"""What a benchmark's figures were measured on."""

from __future__ import annotations

import os
import platform
from pathlib import Path


def processor() -> str:
    """The processor's name where the system tells it."""
    info = Path("/proc/cpuinfo")
    lines = info.read_text(encoding="utf-8").splitlines() if info.exists() else []
    names = [line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.processor() or platform.machine()


def computer() -> str:
    """Processor, cores, memory, system."""
    memory_gb = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 1024**3
    system = f"{platform.system()} {platform.machine()}"
    return f"{processor()}, {os.cpu_count()} cores, {memory_gb:.0f} GB, {system}"


def machine() -> str:
    """The computer, and how busy it was."""
    return f"{computer()}; load average before the run {os.getloadavg()[0]:.1f}"
