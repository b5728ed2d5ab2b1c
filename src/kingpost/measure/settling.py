"""What settles a doubt: where a reading must lie to be accepted, and which year a part is judged by."""

from __future__ import annotations

from .conformity import Measured
from .limits import among, within


def acceptance_limit(reading: Measured, limit: float, upper: bool, against: str, r: float = 1.0) -> float:
    """The limit moved by its guard band r * U, U = 2 u: values that keep it are accepted (or plainly rejected).

    upper     True where `limit` is the most allowed
    against   "accepting": inward, which protects people; "rejecting": outward, which protects from blame

    Source    [ilac-g8-2019] 4.2.3
    Raises    OutOfRange, ValueError

    >>> acceptance_limit(Measured(7.7, 0.0625), 7.75, upper=True, against="accepting")
    7.625
    """
    among("against", against, ("accepting", "rejecting"))
    within("r", r, 0.0, 3.0)
    inward = r * 2.0 * reading.u * (1.0 if against == "accepting" else -1.0)
    return limit - inward if upper else limit + inward


def force_in_year(judged_year: int, since_edition: int, lag_years: int, adopted: int | None = None) -> str:
    """Whether a rule was in force in a year: yes, no or unknown.

    adopted     the year in which the place made it law, where known; else the edition may have taken up to
                `lag_years` to become law

    Source    our specification of checks, section 0

    >>> [force_in_year(y, 2009, 6) for y in (2008, 2012, 2016)]
    ['no', 'unknown', 'yes']
    """
    within("judged_year", judged_year, 1600, 2200)
    within("since_edition", since_edition, 1600, 2200)
    if adopted is not None:
        return "yes" if judged_year >= adopted else "no"
    if judged_year < since_edition:
        return "no"
    return "yes" if judged_year > since_edition + lag_years else "unknown"
