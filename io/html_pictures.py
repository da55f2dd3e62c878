"""Drawings inside a page: one SVG after the other in one document, with names that do not meet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from xml.etree import ElementTree

from dispatch.io.drawings import side_view
from dispatch.io.html_parts import Html, el, join, text

from dispatch.driver_page import AxleLoad
from dispatch.fleet import Rig
from dispatch.plan import Placed
from dispatch.problem import Problem

FONT = "'DejaVu Sans',Verdana,Arial,sans-serif"
"""Letters of a drawing: the font that it was measured with, else one of those that every device has."""
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_FIGURE = re.compile(r"-?\d+\.\d{3,}")
_REFERENCE = re.compile(r"url\(#([\w-]+)\)")
_PART = re.compile(r"(item|axle|deck|coupler|dovetail)(-\w+)?")
"""Names of the drawing's own parts, which its programs may look for; several drawings of a page have the same."""
LEFT_OUT = {"metadata", "style", "clipPath"}
"""Parts of a drawing that a page does without: nothing reaches over a picture's own edge."""


def loaded_rig(
    problem: Problem,
    rig: Rig,
    on_deck: Sequence[tuple[int, Placed]],
    loads: Sequence[AxleLoad],
    *,
    prefix: str,
    title: str,
) -> Html:
    """The side view twice: with all its figures, and as shapes alone for a telephone, where a list has them.

    ``prefix``: begins every name inside, so that pictures of one page do not meet; ``title``: said in its place.
    """
    full = side_view(problem, rig, on_deck, loads, "svg text")
    plain = side_view(problem, rig, on_deck, (), "svg text")
    return el(
        "figure",
        inline(full, f"{prefix}w", title, "wide"),
        inline(plain, f"{prefix}n", title, "narrow"),
        class_="picture",
    )


def inline(svg: bytes, prefix: str, title: str, class_: str) -> Html:
    """A drawing's file as part of a page: as wide as there is room, titled, every name begun with ``prefix``."""
    root = ElementTree.fromstring(_NOT_XML.sub("", svg.decode("utf-8")))
    names = {name: f"{prefix}{number}" for number, name in enumerate(_referred(root))}
    return el(
        "svg",
        el("title", title, id_=f"{prefix}t"),
        *(_markup(part, names) for part in root),
        viewBox=_shorter(root.attrib["viewBox"]),
        class_=class_,
        role="img",
        aria_labelledby=f"{prefix}t",
    )


def _referred(root: ElementTree.Element) -> Iterable[str]:
    """The names that some part of the drawing refers to, each once, in order."""
    found: dict[str, None] = {}
    for part in root.iter():
        for key, value in part.attrib.items():
            if _local(key) == "href":
                found[value.removeprefix("#")] = None
            elif key != "clip-path":
                found |= dict.fromkeys(_REFERENCE.findall(value))
    return found


def _local(name: str) -> str:
    """A name without its namespace: in a page SVG needs none."""
    return name.rpartition("}")[2]


def _markup(part: ElementTree.Element, names: Mapping[str, str]) -> Html:
    name = _local(part.tag)
    if name in LEFT_OUT:
        return Html()
    inside = join((_trimmed(part.text), *(_markup(child, names) for child in part)))
    attributes = dict(_attributes(part, names))
    if name in {"g", "defs"} and not attributes:
        return inside if name == "g" or not inside else el(name, inside)
    return el(name, inside, **attributes)


def _trimmed(inside: str | None) -> Html:
    return text(inside) if inside and inside.strip() else Html()


def _attributes(part: ElementTree.Element, names: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    for key, value in part.attrib.items():
        name = _local(key)
        if name == "id":
            if value in names:
                yield "id_", names[value]
            elif _PART.fullmatch(value):
                yield "data-part", value
        elif name == "href":
            yield "href", f"#{names[value.removeprefix('#')]}"
        elif name != "clip-path":
            shown = _REFERENCE.sub(lambda found: f"url(#{names[found[1]]})", value)
            yield name, _shorter(shown.replace("'DejaVu Sans'", FONT).replace("\n", ""))


def _shorter(value: str) -> str:
    """Figures to a hundredth of a point, far finer than a line."""
    return _FIGURE.sub(lambda found: f"{float(found[0]):.2f}".rstrip("0").rstrip("."), value)
