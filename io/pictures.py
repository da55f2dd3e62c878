"""How every picture is made: one size and font, grey, and the same byte for byte for the same content."""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from dispatch.io.house_style import INK as INK
from dispatch.io.house_style import MID as MID
from dispatch.io.house_style import PALE as PALE
from dispatch.io.house_style import PICTURE_FONT
from dispatch.io.house_style import WHITE as WHITE

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDTH_IN, UPRIGHT_IN = 10.0, 7.75
"""Width of a picture on paper: as wide as the page, lying or upright."""
DPI = 160
PACKED = 3
"""How hard a PNG is packed, 0 to 9: a little larger than with 6, in half the time."""
TEXT_PT = 8.0
_STYLE = {"font.family": PICTURE_FONT, "svg.hashsalt": "haulday", "hatch.linewidth": 0.6}


def picture(shape: float, draw: Callable[[Figure], None], kind: str = "png", width_in: float = WIDTH_IN) -> bytes:
    """What ``draw`` puts on an empty figure, ``shape`` being its height over its width.

    As ``png``, 160 pixels an inch of ``width_in``, or as ``svg``; as ``svg text`` with letters that stay text, for
    a page.
    """
    import matplotlib as mpl  # noqa: PLC0415 - half a second of import that only drawings need
    from matplotlib.figure import Figure  # noqa: PLC0415

    kind, _, text = kind.partition(" ")
    style = _STYLE | {"svg.fonttype": "none" if text else "path"}
    with mpl.rc_context(style), warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # a name in a script that the font lacks still draws
        figure = Figure(figsize=(width_in, width_in * shape), dpi=DPI)
        draw(figure)
        image = io.BytesIO()
        metadata = {"Date": None, "Creator": None} if kind == "svg" else {"Software": None}
        more: dict[str, Any] = {} if kind == "svg" else {"pil_kwargs": {"compress_level": PACKED}}
        figure.savefig(image, format=kind, dpi=DPI, metadata=metadata, **more)
    return image.getvalue()
