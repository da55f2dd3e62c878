"""Markup from parts: whatever is not markup already is escaped, so that no name from a cell becomes a tag."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Sequence

from dispatch.io.house_style import STATUS_MARKS, Status

VOID = {"br", "input", "link", "meta"}
"""Elements without an end (HTML living standard, 13.1.2) that are used here."""
_UNWANTED = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")
"""What a page may not hold: controls but tab and line feed, halves of pairs, non-characters."""
_PHONE = re.compile(r"(?<![\w.\-])\+?\(?\d[\d ().\-]{5,18}\d(?![\w.]|-\w)")
_DATE = re.compile(r"\d{4}-\d\d-\d\d")
FEWEST_DIGITS, MOST_DIGITS = 7, 15
"""Digits of a number to dial: at most 15 by ITU-T E.164; fewer than 7 is more likely a house or gate number."""

Attribute = str | int | float | bool | None


class Html(str):
    """Finished markup, put into other markup as it is; a plain ``str`` is text and gets escaped."""

    __slots__ = ()


def text(value: object) -> Html:
    """Anything as escaped text, safe between tags and inside a quoted attribute."""
    return value if isinstance(value, Html) else Html(html.escape(_UNWANTED.sub("", str(value))))


def join(parts: Iterable[object], between: str = "") -> Html:
    """Parts one after the other, each escaped unless it is markup."""
    return Html(text(between).join(text(part) for part in parts))


def el(name: str, /, *children: object, **attributes: Attribute) -> Html:
    """An element: ``el("p", "a < b", class_="note")``.

    Attribute names: a trailing underscore goes, others become hyphens. ``None`` and ``False`` leave an attribute
    out, ``True`` gives it without a value.
    """
    words = [name]
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        shown = key.rstrip("_").replace("_", "-")
        words.append(shown if value is True else f'{shown}="{text(value)}"')
    start = f"<{' '.join(words)}>"
    return Html(start) if name in VOID else Html(f"{start}{join(children)}</{name}>")


def section(
    level: int, title: object, *children: object, id_: str | None = None, class_: str | None = None
) -> Html:
    """A section with its heading; ``level``: 2 to 4."""
    return el("section", el(f"h{level}", title), *children, "\n", id_=id_, class_=class_)


def bullets(lines: Iterable[object], class_: str | None = None) -> Html:
    """A list, or nothing at all without lines."""
    items = [el("li", line) for line in lines]
    return el("ul", *items, class_=class_) if items else Html()


def lines(parts: Iterable[object]) -> Html:
    """Parts under each other on a screen; on paper, where room is dear, one after the other."""
    return join(el("span", part, class_="line") for part in parts if text(part))


def folded(title: object, *children: object) -> Html:
    """What is shown only when asked for, without a script."""
    return el("details", el("summary", title), *children)


def link(anchor: str, shown: object) -> Html:
    """A link within the page."""
    return el("a", shown, href=f"#{anchor}")


def table(
    heads: Sequence[str],
    rows: Iterable[Sequence[object]],
    *,
    name: str,
    figures: Iterable[int] = (),
    stacked: bool = True,
) -> Html:
    """A table that a narrow screen shows as one block a row (``stacked``) or moves sideways.

    ``name``: what it is, for those who hear it; ``figures``: columns, from 0, that are aligned to the right.
    Roles are given because a table that is laid out as blocks loses them.
    """
    right = set(figures)
    marks = ["n" if number in right else None for number in range(len(heads))]
    head = [el("th", shown, scope="col", class_=mark) for shown, mark in zip(heads, marks, strict=True)]
    shown_rows = []
    for row in rows:
        cells = [_cell(*one, stacked=stacked) for one in zip(row, marks, heads, strict=True)]
        shown_rows.append(Html(el("tr", *cells, role="row") + "\n"))
    body = (el("thead", el("tr", *head)), "\n", el("tbody", *shown_rows))
    kind = "stacked" if stacked else "plain"
    return el("div", el("table", *body, role="table", aria_label=name, class_=kind), class_=f"around {kind}")


def _cell(cell: object, mark: str | None, head: str, *, stacked: bool) -> Html:
    """One cell; stacked it brings its header along, and an empty one is left out."""
    if not stacked:
        return el("td", cell, role="cell", class_=mark)
    kind = " ".join(word for word in (mark, "" if text(cell) else "empty") if word)
    return el("td", el("div", cell), role="cell", class_=kind or None, data_label=head)


def use_bar(use: float) -> Html:
    """A share of a limit as a bar and in words."""
    if use == float("inf"):
        return text("over a limit of 0")
    width = min(100, max(0, round(use * 100)))
    return join((el("span", el("i", style=f"width:{width}%"), class_="bar"), f" {use * 100:.1f} %"))


def status_mark(status: Status) -> Html:
    """A status by shape and word, the same as in the workbook; nothing for what is plainly met."""
    if status is Status.MET:
        return Html()
    return join((" ", el("span", f"{STATUS_MARKS[status].shape} {status.value}", class_="status")))


def with_phones(value: str) -> Html:
    """A text whose parts that look like telephone numbers can be tapped; everything else stays text."""
    parts: list[object] = []
    done = 0
    for found in _PHONE.finditer(value):
        digits = re.sub(r"\D", "", found[0])
        if not FEWEST_DIGITS <= len(digits) <= MOST_DIGITS or _DATE.search(found[0]):
            continue
        plus = "+" if found[0].startswith("+") else ""
        parts += [value[done : found.start()], el("a", found[0], href=f"tel:{plus}{digits}")]
        done = found.end()
    return join((*parts, value[done:]))
