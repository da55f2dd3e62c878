"""Rows of Tickets -> scale tickets, with every contradiction within a row noted at its cell."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from dispatch.io.cells import (
    BadCell,
    CellValue,
    ShownWith,
    folded,
    is_blank,
    nearest,
    number,
    shown,
    text_of,
    tidy,
)
from dispatch.io.input_problems import Findings
from dispatch.io.layout_tickets import COUPLED, LOAD_STATES, ON_DECK, TOLERANCE
from dispatch.io.typed_rows import Row
from dispatch.io.unit_names import Dimension

from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item
from dispatch.settings import Settings
from dispatch.tickets import ScaleTolerance, Standing, Ticket

_ALONE, _EMPTY = COUPLED[0], LOAD_STATES[0]
_FORM = "item @ place with its unit, such as ME-4 @ 3 ft 2 in forward; BK-24 @ 6 in neck"
_WORDS: Mapping[str, Facing | Deck] = {str(word): word for word in (*Facing, *Deck)}


def read_tickets(
    rows: Sequence[Row],
    rigs: Mapping[str, Rig],
    items: Mapping[str, Item],
    settings: Settings,
    findings: Findings,
) -> tuple[Ticket, ...]:
    """The tickets of all sound rows; ``rigs`` and ``items`` by the names that the rows were resolved to."""
    tickets = (_ticket(row, rigs, items, settings, findings) for row in rows)
    return tuple(ticket for ticket in tickets if ticket is not None)


def _ticket(
    row: Row, rigs: Mapping[str, Rig], items: Mapping[str, Item], settings: Settings, findings: Findings
) -> Ticket | None:
    rig = rigs.get(row.values.get("Rig") or "")
    for column, expected in _contradictions(row):
        findings.problem(row.where(column), shown(row.raw.get(column)), expected)
        row.bad.add(column)
    on_deck = _on_deck(row, rig, items, findings)
    tolerance = _tolerance(row, settings, findings)
    if not row.ok or rig is None:
        return None
    day = row["Date"]
    return Ticket(
        name=row["Ticket"],
        rig=rig,
        front_lb=row["Front"],
        rear_lb=row["Rear"],
        trailer_lb=row["Trailer"],
        on_deck=on_deck,
        tolerance=tolerance,
        day=day.isoformat() if day else "",
    )


def _contradictions(row: Row) -> Iterator[tuple[str, str]]:
    """Columns that contradict another one of the row, with what they should hold."""
    alone = row.values.get("Truck alone or hitched") == _ALONE
    state = row.values.get("Load or empty")
    if alone and "Trailer" in row.given - row.bad:
        yield "Trailer", "nothing: the truck was weighed alone"
    if not alone and "Trailer" not in row.given | row.bad:
        yield "Trailer", "the weight on the trailer axles: the rig was weighed hitched; or write alone"
    if alone and state not in (None, _EMPTY):
        yield "Load or empty", "empty: a truck alone carries nothing here"
    elif state == _EMPTY and ON_DECK in row.given:
        yield ON_DECK, "nothing: Load or empty says empty"
    elif state not in (None, _EMPTY) and ON_DECK not in row.given:
        yield ON_DECK, f"what stood on deck, Load or empty says loaded: {_FORM}"


def _tolerance(row: Row, settings: Settings, findings: Findings) -> ScaleTolerance:
    value = row.raw.get(TOLERANCE)
    if is_blank(value) or TOLERANCE in row.bad:
        return ScaleTolerance(settings.scale_tolerance_lb, settings.scale_tolerance_pct)
    try:
        return tolerance_of(value)
    except BadCell as bad:
        row.bad.add(TOLERANCE)
        findings.problem(row.where(TOLERANCE), shown(value), bad.expected, bad.mend)
        return ScaleTolerance(0.0)


def tolerance_of(value: CellValue) -> ScaleTolerance:
    """A scale's tolerance: a weight with its unit, or per cent. Raises BadCell when it is neither, or 0."""
    expected = "a tolerance with its unit, such as 20 lb or 0.2 %"
    unit = value.unit if isinstance(value, ShownWith) else ""
    text = text_of(value) if not unit else shown(value)
    if unit == "%" or text.endswith("%"):
        pct = number(text, Dimension.PER_CENT, "%")
        if not 0 < pct <= 10:  # a scale that is off by a tenth of the weight is no scale
            raise BadCell("more than 0 % and no more than 10 %")
        return ScaleTolerance(0.0, pct)
    if not unit and not re.search(r"[A-Za-z]", text):
        raise BadCell(expected, f"{text} lb" if re.fullmatch(r"[0-9.,]+", text) else "")
    lb = number(value if unit else text, Dimension.WEIGHT, "lb")
    if lb <= 0:
        raise BadCell("a tolerance above 0", "20 lb")
    return ScaleTolerance(lb)


def _on_deck(row: Row, rig: Rig | None, items: Mapping[str, Item], findings: Findings) -> tuple[Standing, ...]:
    text = row.values.get(ON_DECK) or ""
    found: list[Standing] = []
    for part in filter(None, map(tidy, text.split(";"))):
        try:
            standing = standing_of(part, items)
            _refuse_misplaced(standing, rig, found)
            found.append(standing)
        except BadCell as bad:
            row.bad.add(ON_DECK)
            findings.problem(row.where(ON_DECK), part, bad.expected, bad.mend)
    return tuple(found)


def standing_of(text: str, items: Mapping[str, Item]) -> Standing:
    """One item with its place: ``ME-4 @ 3 ft 2 in forward``. Raises BadCell when it is none.

    Facing is forward and the deck main where nothing is said. The place needs its unit: bare feet and bare inches
    cannot be told apart.
    """
    name, sign, rest = (part.strip() for part in text.rpartition("@"))
    if not sign or not name:
        raise BadCell(_FORM, f"{_known(text, items) or 'ME-4'} @ 3 ft 2 in" if not sign else "")
    spelled = {folded(known): known for known in items}
    if folded(name) not in spelled:
        raise BadCell("a name from the sheet Items before the @", nearest(name, items))
    place, facing, deck = _place_and_words(rest)
    if re.fullmatch(r"[-+]?[0-9.,]+", place):
        raise BadCell("a place with its unit, such as 3 ft 2 in, 38 in or 0.97 m", f"{name} @ {place} in")
    edge_in = number(place, Dimension.LENGTH, "in")
    return Standing(items[spelled[folded(name)]], edge_in, facing or Facing.FORWARD, deck or Deck.MAIN)


def _known(text: str, items: Mapping[str, Item]) -> str:
    words = text.split()
    return nearest(words[0], items) if words else ""


def _place_and_words(text: str) -> tuple[str, Facing | None, Deck | None]:
    """The place, and the words for facing and deck behind it in any order. Raises BadCell for a word twice."""
    words = text.split()
    facing: Facing | None = None
    deck: Deck | None = None
    while words and words[-1].casefold() in _WORDS:
        word = _WORDS[words.pop().casefold()]
        if isinstance(word, Facing) and facing is None:
            facing = word
        elif isinstance(word, Deck) and deck is None:
            deck = word
        else:
            raise BadCell("one of forward, rearward and one of main, neck, each once at the most")
    if not words:
        raise BadCell(f"a place behind the @: {_FORM}")
    return " ".join(words), facing, deck


def _refuse_misplaced(standing: Standing, rig: Rig | None, others: Sequence[Standing]) -> None:
    """Raises BadCell for an item twice, a neck deck that is not there, a place off its deck."""
    if any(one.item.name == standing.item.name for one in others):
        raise BadCell(f"{standing.item.name} once on a ticket")
    if rig is None:
        return
    trailer = rig.trailer
    if standing.deck is Deck.NECK and trailer.neck is None:
        raise BadCell(f"main: the trailer {trailer.name} has no neck deck")
    length_in = trailer.neck.length_in if standing.deck is Deck.NECK and trailer.neck else trailer.deck_length_in
    if not 0 <= standing.front_edge_in < length_in:
        raise BadCell(f"a front edge on the deck: from 0 to {length_in:g} in")
