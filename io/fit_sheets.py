"""What still fits, as sheets: heaviest items by rig and length, payload left beside loads, and their pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from dispatch.io import sheet_styles as styles
from dispatch.io.fit_chart import Curve, Standing, fit_chart
from dispatch.io.output_units import OutputUnits
from dispatch.io.printed_page import Page
from dispatch.io.schedule_sheets import Column, feet_inches_text, place, plain, weight, wide, write_sheet
from dispatch.io.terminal import table
from openpyxl.workbook import Workbook

from dispatch.axle_loads import to_coupler
from dispatch.capacity import BASIS, BASIS_IN_SHORT, Allowed, Heaviest, PayloadLeft, payload_left
from dispatch.fleet import Rig
from dispatch.load_report import LoadReport
from dispatch.loaded_trips import LoadedTrip
from dispatch.place_windows import Stretch
from dispatch.plan import Placed
from dispatch.problem import Problem

ROW_EVERY_IN = 6
"""The table of payload left has a row for so many inches; its first, last and best places besides."""
MOST_PICTURES = 16
PICTURE_POINTS = 235.0
"""Height that a picture with its heading takes."""


@dataclass(frozen=True, slots=True)
class LeftBeside:
    """A load, planned or by hand, with the payload that it leaves."""

    name: str
    rig: Rig
    problem: Problem
    placements: tuple[Placed, ...]
    left: tuple[PayloadLeft, ...]


def beside_hand_load(report: LoadReport) -> LeftBeside:
    """What a hand-made load leaves."""
    judged = report.judged
    return LeftBeside(report.load.name, judged.rig, judged.problem, tuple(judged.placements), tuple(report.left))


def beside_trip(problem: Problem, trip: LoadedTrip) -> LeftBeside:
    """What a planned trip leaves, every item where the plan puts it."""
    left = payload_left(problem, trip)
    return LeftBeside(f"trip {trip.number}", trip.rig, problem, trip.trip.placements, left)


@dataclass(frozen=True, slots=True)
class _LeftLine:
    """One place of a further item beside one load."""

    load: str
    rig: str
    left: PayloadLeft
    place: Allowed

    @property
    def at_in(self) -> int:
        """Front edge behind the deck's front."""
        return self.place.front_edge_in


def _length(row: Heaviest | _LeftLine, units: OutputUnits) -> float:
    inches = row.length_in if isinstance(row, Heaviest) else row.left.length_in
    return units.to_length(inches)


def _stretch_text(row: Heaviest, units: OutputUnits) -> str:
    """Where it is legal, as stretches for people."""
    words = []
    for first, last in stretches(row.places):
        ends = units.place_text(first), units.place_text(last)
        words.append(ends[0] if first == last else f"{ends[0]} to {ends[1]}")
    return "; ".join(words) or "nowhere"


def stretches(places: Sequence[int]) -> list[Stretch]:
    """Whole inches as stretches without holes: 3, 4, 5, 9 -> 3 to 5, 9 to 9."""
    found: list[Stretch] = []
    for inch in places:
        if found and inch == found[-1][1] + 1:
            found[-1] = (found[-1][0], inch)
        else:
            found.append((inch, inch))
    return found


def _basis(*_: object) -> str:
    return BASIS_IN_SHORT


HEAVIEST = (
    Column("Rig", wide(styles.TEXT, 16), plain("rig"), "on what"),
    Column("Item length", wide(styles.FIGURE, 10), _length, "length of the item", "length"),
    Column(
        "Heaviest",
        wide(styles.WEIGHT, 11),
        weight("weight_lb"),
        "greatest stated weight, whole tens of pounds, that is legal alone; 0: none",
        "weight",
    ),
    Column("Front edge", wide(styles.TEXT, 30), _stretch_text, "where it must stand, behind the deck's front"),
    Column("Best place", wide(styles.FIGURE, 10), place("best_in"), "largest least margin", "position"),
    Column(
        "Ten pounds more break",
        wide(styles.TEXT, 22),
        plain("stops"),
        "the check that stops a heavier one at the best place",
    ),
    Column("Item taken as", wide(styles.LONG_TEXT, 40), _basis, "in short; in full on the sheet Fit pictures"),
)

LEFT = (
    Column("Load", wide(styles.TEXT, 12), plain("load"), "the load beside which it would stand"),
    Column("Rig", wide(styles.TEXT, 14), plain("rig"), "what carries it"),
    Column("Item length", wide(styles.FIGURE, 10), _length, "length of the further item", "length"),
    Column(
        "Where",
        wide(styles.TEXT, 10),
        lambda line, _: "behind" if line.left.behind else "ahead",
        "behind: loaded last, off first; ahead: loaded first, off last, also legal alone",
    ),
    Column("Front edge", wide(styles.FIGURE, 12), place("at_in"), "behind the deck's front", "position"),
    Column("Front edge (ft in)", wide(styles.TEXT, 15), feet_inches_text("at_in"), "the same in feet and inches"),
    Column(
        "Allowed up to",
        wide(styles.WEIGHT, 11),
        lambda line, units: units.to_weight(line.place.most_lb),
        "greatest stated weight, whole tens of pounds; 0: none",
        "weight",
    ),
    Column(
        "At least",
        wide(styles.WEIGHT, 11),
        lambda line, units: units.to_weight(line.place.least_lb),
        "least stated weight where balance asks for some",
        "weight",
    ),
    Column(
        "Best",
        wide(styles.TEXT, 7),
        lambda line, _: "yes" if line.place == line.left.best and line.place.most_lb else "",
        "the place that allows most",
    ),
)


def _left_lines(load: LeftBeside) -> Iterator[_LeftLine]:
    for left in load.left:
        last = len(left.places) - 1
        for number, one in enumerate(left.places):
            if number in (0, last) or one.front_edge_in % ROW_EVERY_IN == 0 or one == left.best:
                yield _LeftLine(load.name, load.rig.name, left, one)


def write_fit_sheets(
    workbook: Workbook,
    rigs: Sequence[Rig],
    heaviest: Sequence[Heaviest],
    loads: Sequence[LeftBeside],
    units: OutputUnits,
) -> None:
    """Append What still fits, Payload left where a load leaves some room, and the pictures of both."""
    write_sheet(workbook, "What still fits", "WhatStillFits", HEAVIEST, heaviest, units)
    _write_left(workbook, loads, units)
    page = _pictures(workbook, units)
    for load in loads:
        _beside(page, load, units)
    for rig in rigs:
        _alone(page, rig, [one for one in heaviest if one.rig == rig.name], units)


def write_trips_left(workbook: Workbook, trips: Sequence[LeftBeside], units: OutputUnits) -> None:
    """Append Payload left and its pictures for planned trips; nothing where no trip leaves room.

    On a long day the trips with most room have pictures, the others stand in the table.
    """
    roomy = [trip for trip in trips if _room_lb(trip)]
    if roomy:
        _write_left(workbook, roomy, units)
        page = _pictures(workbook, units)
        drawn = sorted(roomy, key=_room_lb, reverse=True)[:MOST_PICTURES]
        if len(roomy) > len(drawn):
            page.line(
                f"Trips with most room; {len(roomy) - len(drawn)} with less stand in the sheet Payload left."
            )
        for trip in roomy:
            if trip in drawn:
                _beside(page, trip, units)


def _room_lb(load: LeftBeside) -> float:
    return max((left.best.most_lb for left in load.left), default=0.0)


def _write_left(workbook: Workbook, loads: Sequence[LeftBeside], units: OutputUnits) -> None:
    lines = [line for load in loads for line in _left_lines(load)]
    if lines:
        write_sheet(workbook, "Payload left", "PayloadLeft", LEFT, lines, units)


def _pictures(workbook: Workbook, units: OutputUnits) -> Page:
    page = Page(workbook.create_sheet("Fit pictures"), metric=units.metric_distance)
    page.line("What still fits", styles.TITLE)
    page.line(f"Weight allowed for an item by where it stands: {BASIS}. Exact to the inch and to ten pounds.")
    page.end_titles()
    return page


def _alone(page: Page, rig: Rig, heaviest: Sequence[Heaviest], units: OutputUnits) -> None:
    curves = [Curve(f"{units.length_text(one.length_in)} long", one.allowed) for one in heaviest]
    _picture(page, f"{rig.name}, nothing else on deck", rig, curves, (), units)


def _beside(page: Page, load: LeftBeside, units: OutputUnits) -> None:
    curves = [
        Curve(f"{units.length_text(left.length_in)} long, {'behind' if left.behind else 'ahead'}", left.places)
        for left in load.left
    ]
    if curves:
        _picture(page, f"{load.rig.name} beside {load.name}", load.rig, curves, _bodies(load), units)


def _bodies(load: LeftBeside) -> list[Standing]:
    """What stands on the deck, or over its front from the neck, in the main deck's own frame."""
    front = load.rig.trailer.deck_from_coupler_in
    bodies = []
    for placed in load.placements:
        item = load.problem.hauls[placed.haul].item
        at = to_coupler(load.rig.trailer, placed.deck, placed.front_edge_in) - front
        if at + item.length_in > 0:
            bodies.append(Standing(item.name, max(at, 0.0), at + item.length_in))
    return bodies


def _picture(
    page: Page, heading: str, rig: Rig, curves: Sequence[Curve], bodies: Sequence[Standing], units: OutputUnits
) -> None:
    page.keep_together(PICTURE_POINTS)
    page.section(heading)
    trailer = rig.trailer
    page.picture(fit_chart(curves, bodies, trailer.deck_length_in, trailer.dovetail_length_in, units))


def fit_text(heaviest: Sequence[Heaviest], units: OutputUnits) -> str:
    """Heaviest items for a terminal: a line a rig, a column a length; a dash where the deck is too short."""
    lengths = list(dict.fromkeys(one.length_in for one in heaviest))
    found = {(one.rig, one.length_in): units.weight_text(one.weight_lb) for one in heaviest}
    heads = ("heaviest item alone, by length", *(units.length_text(length) for length in lengths))
    rigs = dict.fromkeys(one.rig for one in heaviest)
    rows = [(rig, *(found.get((rig, length), "-") for length in lengths)) for rig in rigs]
    return table(heads, rows)
