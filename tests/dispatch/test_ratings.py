"""Sticker arithmetic and coupler shares. The trade figures are common practice, no published source."""

from __future__ import annotations

import pytest

from dispatch.fleet import Hitch
from dispatch.ratings import (
    coupler_load_lb,
    coupler_share_pct,
    gvwr_fits_axles,
    headroom_lb,
    in_band,
    payload_lb,
)
from dispatch.settings import COUPLER_BANDS, Band


def test_trailer_payload_by_its_sticker() -> None:
    """Common practice, no published source: rated 30,000 lb, weighs 10,700 lb, carries 19,300 lb."""
    assert payload_lb(30_000, 10_700) == 19_300


def test_sticker_and_not_the_axles_limits_three_axles() -> None:
    """Common practice, no published source: 3 x 12,000 = 36,000 and 2 x 16,000 = 32,000 against 30,000."""
    assert gvwr_fits_axles(30_000, [12_000] * 3)
    assert gvwr_fits_axles(30_000, [16_000] * 2)
    assert headroom_lb(sum([12_000] * 3), 30_000) == 6_000
    assert headroom_lb(sum([16_000] * 2), 30_000) == 2_000


def test_options_cut_the_payload_by_their_weight() -> None:
    """Common practice, no published source: neck deck, tracks and heavier wheels weigh what they weigh."""
    options_lb = [850, 400, 320]
    assert payload_lb(30_000, 10_700 + sum(options_lb)) == headroom_lb(19_300, *options_lb)


def test_trailer_gvwr_may_exceed_its_axles_by_what_the_hitch_carries() -> None:
    assert not gvwr_fits_axles(15_900, [7_000, 7_000])
    assert gvwr_fits_axles(15_900, [7_000, 7_000], hitch_lb=1_900)


def test_coupler_share_turns_round() -> None:
    assert coupler_share_pct(coupler_load_lb(14_000, 10), 14_000) == pytest.approx(10)
    assert coupler_load_lb(14_000, 10) == 1_400  # owner's manual, seen


def test_band_includes_its_ends() -> None:
    band = Band(10, 15)
    assert [in_band(share, band) for share in (9.99, 10, 12, 15, 15.01)] == [False, True, True, True, False]
    assert in_band(28, COUPLER_BANDS[Hitch.GOOSENECK])
