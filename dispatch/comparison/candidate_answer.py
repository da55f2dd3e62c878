"""Which trailer, in words: the best candidate, what it saves and makes legal, and how far the search went."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from dispatch.comparison.answer import money_words, unpriced, work_saved
from dispatch.comparison.candidate_search import Searched
from dispatch.comparison.candidate_trials import Trial
from dispatch.comparison.newly_legal import NewLoad
from dispatch.money.amounts import usd_text

NOT_ALL = "not all sets of options were tried"


def which_trailer(candidates: Sequence[Searched]) -> str:
    """The best candidate in a sentence or two, or that none pays; empty without candidates."""
    if not candidates:
        return ""
    best, count = candidates[0].best, len(candidates)
    caution = "" if all(one.not_tried == 0 for one in candidates) else f" ({NOT_ALL})"
    pairs = load_words(candidates[0].new_pairs)
    words = trial_words(best) + (f"; only it may carry together: {pairs}" if pairs else "")
    if best.year.pays:
        of = f"The best of {count} candidates" if count > 1 else "The one candidate pays"
        return f"{of} is {words}{caution}." if count > 1 else f"{of}: {words}{caution}."
    if count > 1:
        return f"None of {count} candidates pays{caution}. The best is {words}."
    return f"The one candidate does not pay{caution}: {words}."


def trial_words(trial: Trial) -> str:
    """One candidate with its options: price, what it saves on how many days, its worth, what it makes legal."""
    price = f"{trial.label} ({usd_text(round(trial.build.price_usd * 100))} USD)"
    helps = len(trial.helps)
    saved = f"{work_saved(trial.whole)}; it helps on {helps} of {len(trial.days)} days"
    money = f"{money_words(trial.year)}{unpriced(trial.year)}"
    new = load_words(trial.makes_legal)
    legal = f"; it makes legal what no rig of today's fleet may carry: {new}" if new else ""
    lost = load_words(trial.loses)
    gone = f"; no rig may carry any more: {lost}" if lost else ""
    return f"{price}: {saved}; {money}{legal}{gone}"


def load_words(loads: Sequence[NewLoad], most: int = 5) -> str:
    """The items, those on most days first: ``EX-9 (4 days), D-2 with bucket (1 day)``; of many the first."""
    counts = Counter(load.items for load in loads)
    ordered = sorted(counts, key=lambda items: -counts[items])
    words = [f"{' with '.join(items)} ({_days(counts[items])})" for items in ordered[:most]]
    more = len(ordered) - most
    return ", ".join(words) + (f" and {more} more" if more > 0 else "")


def search_words(searched: Searched) -> str:
    """How the sets of options were searched: ``all 8 sets of options tried``; ``24 of 2,048 sets ...``."""
    planned, sets, spared = len(searched.trials), searched.sets, len(searched.spared)
    if sets == 1:
        return "no options to choose from"
    if planned == sets:
        return f"all {sets} sets of options tried"
    dearer = f", {spared:,} proved no better by what they cost" if spared else ""
    untold = "; the others were not: a better one may be among them" if searched.not_tried else ""
    return f"{planned:,} of {sets:,} sets of options tried{dearer}{untold}"


def _days(count: int) -> str:
    return f"{count} day{'' if count == 1 else 's'}"
