"""Numbers for people: as many figures as mean something, no trailing zeros."""

from __future__ import annotations

from math import floor, log10


def plain_number(value: float, figures: int = 4) -> str:
    """A number with at most so many significant figures, in plain notation; whole parts are never cut.

    >>> plain_number(2.050001), plain_number(1500.0), plain_number(0.0126349), plain_number(-0.0)
    ('2.05', '1,500', '0.01263', '0')
    >>> plain_number(79803560.4)
    '79,803,560'
    """
    if value == 0.0:
        return "0"
    places = max(0, figures - 1 - floor(log10(abs(value))))
    text = f"{value:,.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text
