"""Draws every picture of the calculation notes anew: ``python docs/drawings``."""

from __future__ import annotations

from pathlib import Path

import bridge_groups
import contact_pressure
import facing
import loading
import sign_convention
import tie_downs

FOLDER = Path(__file__).parent
DRAWINGS = {
    "sign-convention.svg": sign_convention.svg,
    "facing.svg": facing.svg,
    "contact-pressure.svg": contact_pressure.svg,
    "loading.svg": loading.svg,
    "bridge-groups.svg": bridge_groups.svg,
    "tie-downs.svg": tie_downs.svg,
}

if __name__ == "__main__":
    for name, svg in DRAWINGS.items():
        (FOLDER / name).write_text(svg(), encoding="utf-8", newline="\n")
