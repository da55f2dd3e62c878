"""What every drawing is drawn with: plain SVG text without a library, so that a script gives the same bytes
everywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

INK, LIGHT = "#1a1a1a", "#767676"
PALE, GREY, DARK = "#f2f2f2", "#dcdcdc", "#b0b0b0"
THIN = f'stroke="{LIGHT}" stroke-dasharray="4 3"'
SMALL, LARGE = 'font-size="12"', 'font-size="15"'
LEFT, RIGHT = 'text-anchor="start"', 'text-anchor="end"'


def line(x1: float, y1: float, x2: float, y2: float, extra: str = "") -> str:
    """A straight line."""
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" {extra}/>'


def box(x1: float, y1: float, x2: float, y2: float, fill: str) -> str:
    """A rectangle by two corners."""
    return f'<rect x="{x1:.1f}" y="{y1:.1f}" width="{x2 - x1:.1f}" height="{y2 - y1:.1f}" fill="{fill}"/>'


def shape(corners: Sequence[tuple[float, float]], fill: str, extra: str = "") -> str:
    """A polygon."""
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)
    return f'<polygon points="{points}" fill="{fill}" {extra}/>'


def dot(x: float, y: float, radius: float, fill: str) -> str:
    """A circle."""
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{fill}"/>'


def words(x: float, y: float, text: str, extra: str = "") -> str:
    """A line of text, its middle at x unless ``extra`` says otherwise."""
    return f'<text x="{x:.1f}" y="{y:.1f}" {extra}>{text}</text>'


def wheel(x: float, road: float, radius: float = 20.0) -> str:
    """A wheel on the road."""
    return dot(x, road - radius, radius, "white")


def arrow(x: float, y1: float, y2: float, colour: str = INK) -> str:
    """A force along the vertical from y1 to y2, its head at y2."""
    head = 8 if y2 > y1 else -8
    points = f"{x:.1f},{y2:.1f} {x - 4.5:.1f},{y2 - head:.1f} {x + 4.5:.1f},{y2 - head:.1f}"
    shaft = line(x, y1, x, y2 - head, f'stroke="{colour}" stroke-width="2"')
    return f'{shaft}<polygon points="{points}" fill="{colour}" stroke="none"/>'


def pointer(x1: float, y1: float, x2: float, y2: float) -> str:
    """A force in any direction, its head at the second end."""
    length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    bx, by = x2 - 8 * ux, y2 - 8 * uy
    head = [(x2, y2), (bx - 4.5 * uy, by + 4.5 * ux), (bx + 4.5 * uy, by - 4.5 * ux)]
    return line(x1, y1, bx, by, 'stroke-width="2"') + shape(head, INK, 'stroke="none"')


def measure(x1: float, x2: float, y: float, text: str) -> str:
    """A length from x1 to x2, positive rearward: a tick at its zero, an arrow head at its end."""
    points = f"{x2:.1f},{y:.1f} {x2 - 8:.1f},{y - 4:.1f} {x2 - 8:.1f},{y + 4:.1f}"
    return (
        line(x1, y, x2 - 8, y)
        + line(x1, y - 6, x1, y + 6)
        + f'<polygon points="{points}" fill="{INK}" stroke="none"/>'
        + words((x1 + x2) / 2, y - 5, text)
    )


def sheet(title: str, width: int, height: int, drawn: Iterable[str]) -> str:
    """The whole drawing as a file's text."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" font-family="sans-serif" font-size="13" text-anchor="middle">'
    )
    paper = f'<rect width="{width}" height="{height}" fill="white"/>'
    # Text is filled, not stroked, wherever it stands.
    body = "\n".join([f'<g stroke="{INK}" stroke-width="1.2">', *drawn, "</g>"])
    body = body.replace("<text ", f'<text stroke="none" fill="{INK}" ')
    return "\n".join([head, f"<title>{title}</title>", paper, body, "</svg>"]) + "\n"
