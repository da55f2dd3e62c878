"""How every picture is made: one size and font, grey, and the same byte for byte for the same content."""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDTH_IN = 10.0
"""Width of a picture on paper: as wide as the page."""
DPI = 160
INK, MID, PALE, WHITE = "#202020", "#8c8c8c", "#e6e6e6", "#ffffff"
TEXT_PT = 7.5
_STYLE = {"font.family": "DejaVu Sans", "svg.hashsalt": "haulday", "hatch.linewidth": 0.6}


def picture(shape: float, draw: Callable[[Figure], None], kind: str = "png") -> bytes:
    """What ``draw`` puts on an empty figure, ``shape`` being its height over its width.

    As ``png``, 1,600 pixels wide, or as ``svg``; as ``svg text`` with letters that stay text, for a page.
    """
    import matplotlib as mpl  # noqa: PLC0415 - half a second of import that only drawings need
    from matplotlib.figure import Figure  # noqa: PLC0415

    kind, _, text = kind.partition(" ")
    style = _STYLE | {"svg.fonttype": "none" if text else "path"}
    with mpl.rc_context(style), warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # a name in a script that the font lacks still draws
        figure = Figure(figsize=(WIDTH_IN, WIDTH_IN * shape), dpi=DPI)
        draw(figure)
        image = io.BytesIO()
        metadata = {"Date": None, "Creator": None} if kind == "svg" else {"Software": None}
        figure.savefig(image, format=kind, dpi=DPI, metadata=metadata)
    return image.getvalue()
