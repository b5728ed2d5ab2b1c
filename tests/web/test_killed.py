"""The field screen is closed at 300 random points while it opens, keeps and sends; what was kept stays, and goes on.

`python -m bench.field` does it more slowly, with the whole browser killed (SIGKILL).
"""

from __future__ import annotations

from playwright.sync_api import BrowserContext

from .kills import MOST_LOST_S, lanes
from .little_server import Holder

POINTS = 300


def test_closed_at_300_random_points(quick: BrowserContext, holder: Holder) -> None:
    holder.cut_uploads = POINTS // 5
    came = lanes(quick, holder, count=4, points=POINTS, seed=1964, longest_ms=2600)
    assert came.points == POINTS
    assert came.said > POINTS // 10, "hardly anything was shown as kept: the points lie too early to tell"
    assert came.lost_s[-1] <= MOST_LOST_S, f"{came.lost_s[-1]:.2f} s of sound are lost"
