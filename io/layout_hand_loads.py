"""The sheet Loads: loads put together by hand, to be checked."""

from __future__ import annotations

from dispatch.io.layout_columns import Sheet, length, named, one_of, permit, refers, whole, yes

from dispatch.fleet import Deck
from dispatch.items import Facing

LOADS = Sheet(
    name="Loads",
    purpose="Loads to check as they are: one row an item, the rows of one Load form the load. `haulday check` "
    "judges them; a plan leaves them aside.",
    keys=("Load", "Item"),
    columns=(
        named("Load", "Name of the load, on each of its rows.", example="L-1"),
        refers(
            "Rig",
            "Rigs",
            "What carries it: the same on all rows of the load, or on one of them.",
            default="the rig on the load's other rows",
            example="R-1",
        ),
        refers("Item", "Items", "What is carried; once in a load.", required=True, example="EX-07"),
        whole(
            "Order",
            "Place in the loading order: 1 comes on first and off last.",
            least=1,
            default="the order of the rows",
            usual=(1, 12),
            example="1",
        ),
        length(
            "Front edge behind deck front",
            "From the front of the item's own deck to the edge nearest the truck, whichever way it faces. Taken "
            "to the nearest whole inch.",
            where="A tape on the deck, or chalk marks.",
            default="where the load stands best",
            usual=(0, 60),
            example="2' 6\"",
        ),
        one_of(
            "Facing",
            Facing,
            "Which way it faces; forward is nose to the truck.",
            default="what is best",
            example="forward",
        ),
        one_of(
            "Deck",
            Deck,
            "Which deck it stands on. Only lifted items ride on a neck deck.",
            default="main; for a lifted item what is best",
            example="main",
        ),
        yes("Runs", "no: a dead machine that must be winched on and off.", True, example="yes"),
        permit(
            "Permit",
            "Number of the permit in hand. Allows the item alone on the deck to be oversize or overweight.",
            where="The permit itself.",
            example="",
        ),
    ),
)
