"""The words of the report: the fixed labels of each field, numbers in words, dates, clock times, tidy prose."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime

NB = "\u00a0"  # a number never parts from its unit
COPY = re.compile(r" \((?:as quoted|list as given)[^)]*\)| as listed")  # what our citations add of the copy read
STANDING = {
    "deficiency": "Deficiency",
    "recommendation": "Recommended, not required",
    "information": "For your information",
}
STANDING_SHORT = {**STANDING, "recommendation": "Recommended"}
WHEN = {
    "before_moving_in": f"Before you move{NB}in",
    "this_season": "This season",
    "this_year": "This year",
    "keep_an_eye_on": "Keep an eye on it",
}
STAKE = {
    "people": "People",
    "structure": "Structure",
    "water": "Water",
    "equipment": "Equipment",
    "comfort": "Comfort",
}
VERDICT = {
    "meets": "Meets",
    "cannot_tell": "Cannot tell",
    "falls_short": "Falls short",
    "not_applicable": "Does not apply",
}
BASIS = {"published": "published", "memory": "from memory", "common_practice": "common practice"}
IN_FORCE = {
    "yes": "In force when the house was built",
    "no": "Not in force when the house was built",
    "unknown": "Not known whether it was in force when the house was built",
}
SET_ASIDE = ("not about the house", "said twice", "to myself", "for someone else", "unclear")
USE = {
    "finding": "in a finding",
    "reading": "a reading",
    "information": "for information",
    "limitation": "what could not be seen",
    "as_found": "left as found",
    "safety": "care on site",
    "set_aside": "set aside",
}
ONES = (
    *("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
DAY_FIRST = ("en-GB", "en-IE", "en-AU", "en-NZ")
LACKING = {"≥": "at least ", "≤": "at most ", "≈": "about ", "→": " to ", "√": "root of ", "\u202f": NB, "\u2011": "-"}
EIGHTHS = {"⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
UNITS = (
    r"sq (?:ft|in|m)|cu ft|in/12|in/ft|in/h|ft|in|mm|cm|m|lb|psi|psf|kPa|Pa|°F|°C|%|AWG|kVA|kW|mA|A|kV|V|W|"
    r"gpm|gal|cfm|ppm|mph|BTU/h|tons?|hours?|minutes?|min|seconds?|s|h|days?|years?|weeks?|months?|inch(?:es)?|feet|foot|"
    r"amps?|volts?|watts?|pounds?|degrees|percent|gallons?|square feet"
)
BEFORE_UNIT = re.compile(rf"(?<=\d) (?=(?:{UNITS})(?![\w/]))")
INSIDE_UNIT = re.compile(r"(?<=\d\u00a0)(sq|cu|square) (?=ft|in|m\b|feet)")
FRACTION = re.compile(r"(?<=\d) (?=\d+/\d)")
DOUBT = re.compile(r"(?<=[\w%]) ± (?=\d)")
SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9“\"])")


def spell(n: int) -> str:
    """A count in words up to ninety-nine, in figures above.

    >>> spell(0), spell(7), spell(21), spell(140)
    ('no', 'seven', 'twenty-one', '140')
    """
    if n < 20:
        return ONES[n]
    if n < 100:
        return TENS[n // 10] + (f"-{ONES[n % 10]}" if n % 10 else "")
    return f"{n:,}"


def counted(n: int, one: str, many: str = "") -> str:
    """
    >>> counted(1, "deficiency", "deficiencies"), counted(3, "finding")
    ('one deficiency', 'three findings')
    """
    return f"{spell(n)} {one if n == 1 else many or one + 's'}"


def figures(n: int, one: str, many: str = "") -> str:
    """
    >>> figures(1, "remark"), figures(1204, "remark")
    ('1\\xa0remark', '1,204\\xa0remarks')
    """
    return f"{n:,}{NB}{one if n == 1 else many or one + 's'}"


def listed(parts: Sequence[str], last: str = "and") -> str:
    """
    >>> listed(["3", "7", "8"]), listed(["hall"]), listed([])
    ('3, 7 and 8', 'hall', '')
    """
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def capital(text: str) -> str:
    """The text with its first letter large; the rest untouched."""
    return text[:1].upper() + text[1:]


def small(text: str) -> str:
    """The text with its first letter small, for the middle of a sentence; a word of capitals stays, and "I"."""
    stays = text[1:2].isupper() or re.match(r"I\b", text)
    return text if stays else text[:1].lower() + text[1:]


def cited(citation: str) -> str:
    """A citation as a client reads it; how the copy that was read was numbered is told once, beside the coverage."""
    return COPY.sub("", citation)


def label(code: str, among: dict[str, str]) -> str:
    """The fixed label of a code; a code we do not know is shown as it stands."""
    return among.get(code) or capital(code.replace("_", " "))


def tidy(text: str) -> str:
    """Prose as the report sets it: numbers tied to their units, curly apostrophes, no sign the type lacks.

    >>> tidy("It's 9 3/4 in high")
    'It’s 9\\xa03/4\\xa0in high'
    """
    for sign, said in LACKING.items():
        text = text.replace(sign, said)
    for sign, said in EIGHTHS.items():
        text = re.sub(rf"(?<=\d){sign}", f" {said}", text).replace(sign, said)
    text = re.sub(r"(?<=\w)'(?=\w)|(?<=s)'(?= )", "’", text)
    text = re.sub(r'(?<!\w)"(?=\w)([^"]*)"', r"“\1”", text)
    text = DOUBT.sub(f"{NB}±{NB}", FRACTION.sub(NB, text))
    text = BEFORE_UNIT.sub(NB, text)
    return INSIDE_UNIT.sub(rf"\1{NB}", text)


def heading(text: str) -> str:
    """A title as it is set: tidy, and its last word not left alone on a line.

    >>> heading("The drain runs uphill")
    'The drain runs\\xa0uphill'
    """
    front, _, last = tidy(text).rpartition(" ")
    return f"{front}{NB}{last}" if front and len(last) < 9 and NB not in last else tidy(text)


def sentence(text: str) -> str:
    """The text as a sentence: first letter large, ended.

    >>> sentence("a stain on the ceiling")
    'A stain on the ceiling.'
    >>> sentence("he said: “It leaks.”")
    'He said: “It leaks.”'
    """
    text = capital(text.strip())
    return text if not text or text.rstrip("”’)")[-1:] in tuple(".!?…") else text + "."


def first_sentence(text: str, limit: int) -> str:
    """The first sentence where it is at most `limit` characters long, else nothing: never half a thought."""
    first = SENTENCE.split(text.strip(), maxsplit=1)[0] if text.strip() else ""
    return first if len(first) <= limit else ""


def without_first(text: str) -> str:
    """What follows the first sentence."""
    parts = SENTENCE.split(text.strip(), maxsplit=1)
    return parts[1] if len(parts) > 1 else ""


def date_words(day: date | None, locale: str = "") -> str:
    """The day as it is written there: month first in North America, and where nobody said.

    >>> date_words(datetime(2026, 5, 12)), date_words(datetime(2026, 5, 12), "en-GB"), date_words(None)
    ('May\\xa012,\\xa02026', '12\\xa0May\\xa02026', '')
    """
    if not day:
        return ""
    month = MONTHS[day.month - 1]
    if locale in DAY_FIRST:
        return f"{day.day}{NB}{month}{NB}{day.year}"
    return f"{month}{NB}{day.day},{NB}{day.year}"


def clock(moment: datetime | None) -> str:
    """Hours and minutes of the day: 09:04."""
    return f"{moment:%H:%M}" if moment else ""


def elapsed(seconds: float) -> str:
    """Time since a recording began.

    >>> elapsed(75), elapsed(3725.4)
    ('1:15', '1:02:05')
    """
    whole = max(0, int(seconds))
    hours, rest = divmod(whole, 3600)
    return f"{hours}:{rest // 60:02d}:{rest % 60:02d}" if hours else f"{rest // 60}:{rest % 60:02d}"
