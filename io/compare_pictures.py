"""The sheet Pictures of a comparison: the days, how trailers are used, what the yearly saving hangs on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dispatch.io import sheet_styles as styles
from dispatch.io.fleet_days_drawing import (
    fleet_days_height,
    fleet_days_picture,
    fleet_days_words,
    greatest,
    panels,
)
from dispatch.io.output_units import OutputUnits
from dispatch.io.printed_page import Page
from dispatch.io.tornado_drawing import tornado_picture, tornado_words
from dispatch.io.trailer_use_drawing import trailer_use_height, trailer_use_picture, trailer_use_words, use_panels
from openpyxl.workbook import Workbook

from dispatch.comparison.compare import Comparison
from dispatch.comparison.glance import (
    BETTER,
    CHANGES,
    LETTERS,
    SAME,
    WORK_ITSELF,
    DayGlance,
    days_at_a_glance,
    use_lines,
)
from dispatch.comparison.relaxations import Resource
from dispatch.comparison.yearly import SWING_PCT, Yearly

TITLE = "Pictures"
LINES_POINTS = 50.0
"""Height of a heading and its lines of text, points."""
TORNADO_POINTS = 190.0


def write_compare_pictures(workbook: Workbook, comparison: Comparison, units: OutputUnits) -> None:
    """Append the sheet: the days, the trailers, the year's money of every fleet."""
    page = Page(workbook.create_sheet(TITLE), metric=units.metric_distance)
    page.line("The comparison in pictures", styles.TITLE)
    page.end_titles()
    _days(page, days_at_a_glance(comparison))
    _use(page, comparison)
    for year in pictured_years(comparison):
        _year(page, year)


def pictured_years(comparison: Comparison) -> list[Yearly]:
    """The years that are drawn: of every fleet, and of the best of the trailers on offer."""
    return [*comparison.years, *(one.best.year for one in comparison.candidates[:1])]


def _days(page: Page, days: Sequence[DayGlance]) -> None:
    page.section("Own trips and outside hauls, day by day")
    page.line(
        "Every bar is one fleet on one day, in the order of the key. A bar whose number of trips is not proved to "
        "be the fewest has a line down to what no plan can go below."
    )
    if key := mark_key(days):
        page.line(f"Under the days: {'; '.join(key)}.")
    for panel in panels(days):
        page.keep_together(72 * fleet_days_height(panel, page.width_in))
        picture = fleet_days_picture(panel, greatest(days), width_in=page.width_in)
        page.picture(picture, fleet_days_words(panel))


def mark_key(days: Iterable[DayGlance]) -> list[str]:
    """What the marks under the days mean, those that stand there."""
    marks = {mark for day in days for mark in day.marks}
    words = [f"{mark} ({_fill(mark)}): {text}" for mark, text in CHANGES.items() if mark in marks]
    parts = {part for mark in marks - set(CHANGES) for part in mark.replace("+", " ").split()}
    letters = {letter: f"{letter}: more {_more(one)} would change the day" for one, letter in LETTERS.items()}
    words += [text for letter, text in letters.items() if letter in parts]
    if any("+" in mark for mark in marks):
        words.append("+: only both together")
    if WORK_ITSELF in marks:
        words.append(f"{WORK_ITSELF}: the day's work itself is the limit, more of anything changes nothing")
    if SAME in marks:
        words.append(f"{SAME}: hauls the same, and the fleet is not a larger one, so no limit was asked for")
    return words


def _fill(mark: str) -> str:
    return "dark" if mark in BETTER else "hatched"


def _more(resource: Resource) -> str:
    return "allowed weight" if resource is Resource.WEIGHTS else str(resource)


def _year(page: Page, year: Yearly) -> None:
    page.keep_together(LINES_POINTS + TORNADO_POINTS)
    page.section(f"What the year of {year.variant} hangs on")
    page.line(
        f"Each figure {SWING_PCT} % lower and higher by itself, plans as they are; the figures at the ends are "
        "the net saving of a year then, whole USD. A bar that crosses the thick line turns the answer."
    )
    if not year.priced:
        page.line("Some outside hauls have no price and count as nothing: the money is not whole.", page.bold)
    page.picture(tornado_picture(year, width_in=page.width_in), tornado_words(year))


def _use(page: Page, comparison: Comparison) -> None:
    fleets = [variant.name for variant in comparison.history.variants]
    for number, uses in enumerate(use_panels(list(use_lines(comparison)))):
        page.keep_together(LINES_POINTS + 72 * trailer_use_height(len(uses)))
        page.section("Use of each trailer" + (", continued" if number else ""))
        page.picture(trailer_use_picture(uses, fleets, width_in=page.width_in), trailer_use_words(uses))
