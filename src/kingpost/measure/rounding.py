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


def doubt(standard: float) -> str:
    """A doubt as a reader sees it: two standard uncertainties at two significant figures, halves up.

    >>> doubt(0.0625), doubt(0.25), doubt(3)
    ('0.13', '0.5', '6')
    """
    twice = 2 * standard
    places = 1 - floor(log10(twice))
    rounded = floor(twice * 10.0**places + 0.5 + 1e-9) / 10.0**places  # a doubt is never made smaller
    return f"{rounded:,.0f}" if places <= 0 else f"{rounded:.{places}f}".rstrip("0").rstrip(".")
