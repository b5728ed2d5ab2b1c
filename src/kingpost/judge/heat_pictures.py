"""Thermal frames judged: can this frame mean anything, and what may each patch be, with reasons for and against.

A frame alone never makes a finding and never says that something is wet: it asks for a meter. It never says that
insulation is good either: a frame without patches, taken with too small a difference, proves nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from kingpost.look.frames_patch import Spot
from kingpost.measure.conformity import Measured
from kingpost.measure.damp import celsius, dew_point_over_water_f, temperature_index
from kingpost.measure.infrared import pixel_mm
from kingpost.measure.limits import OutOfRange
from kingpost.measure.units import convert
from kingpost.trade.looking import table
from kingpost.visit.facts import Facts, Frame
from kingpost.visit.record import Check, HeatCause, HeatSpot

from . import ask

ABLE, SMALL, UNKNOWN = "can", "too_small", "unknown"
LETTERS = "ABCDEFGHIJ"
SAID = ("place", "note", "surface")  # keys of a frame's TOML that hold words


def number(about: Mapping[str, Any], name: str) -> float | None:
    value = about.get(name)
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else None


def airs(frame: Frame, facts: Facts) -> tuple[float | None, float | None]:
    """Indoor and outdoor air, C: the frame's own, else the weather of the visit for outdoors."""
    inside, outside = number(frame.about, "indoor_c"), number(frame.about, "outdoor_c")
    if outside is None and (weather := number(facts.weather, "outdoor_f")) is not None:
        outside = celsius(weather)
    return inside, outside


def conditions(frame: Frame, facts: Facts, over: Sequence[Path] = ()) -> tuple[str, str, Check | None]:
    """Whether the frame can judge insulation and air leaks: can, too_small or unknown; words; the check behind it."""
    inside, outside = airs(frame, facts)
    if inside is None or outside is None:
        gone = "indoor_c" if inside is None else "outdoor_c"
        return UNKNOWN, f"No {gone} is noted, so this picture cannot judge insulation.", None
    limits = table("heat.toml", *over)["limits"]
    spread = float(limits["u_air_c"]) * 2**0.5
    pairs = [f"delta_k={inside - outside!r}+-{spread!r}"]
    for name, input_name in (("hours", "hours"), ("sun_hours", "sun_hours"), ("wind_mph", "wind_mph")):
        if (value := number(frame.about, name)) is not None:
            pairs.append(f"{input_name}={value!r}")
    if frame.about.get("outdoors") is True:
        pairs.append("outdoors=yes")
    try:
        made = ask.run("ir-conditions", pairs, *over).check
    except ask.AskError as err:
        return UNKNOWN, f"The conditions of this picture cannot be used: {err}.", None
    words = f"{_both(inside)} indoors, {_both(outside)} outdoors"
    if made.computed.get("valid") is False:
        least = float(table("heat.toml", *over)["limits"]["least_delta_k"])
        if made.computed["failed"] != ["delta"] or abs(inside - outside) < least:
            return SMALL, f"{words}. {made.says}", made
        it_takes = f"{convert(least, 'degC', 'degF', difference=True):.0f} °F ({least:.0f} °C)"
        return ABLE, f"{words}: hardly the {it_takes} that it takes, so it stays a hint.", made
    if made.verdict == "meets":
        return ABLE, f"{words}. {made.says}", made
    lacking = "how long it has been so" if "hours" in made.missing else "sun and wind"
    return ABLE, f"{words}: enough to see insulation by; {lacking} is not noted, so it stays a hint.", made


def _both(value_c: float) -> str:
    """ "70 °F (21.1 °C)"."""
    return f"{convert(value_c, 'degC', 'degF'):.0f} °F ({value_c:.1f} °C)"


def signs(spot: Spot, frame: Frame, facts: Facts, over: Sequence[Path] = ()) -> set[str]:
    """What speaks in a patch, by the names of heat.toml."""
    data = table("heat.toml", *over)
    limits = data["limits"]
    warm = spot.contrast_k > 0
    inside, outside = airs(frame, facts)
    out = {"warm" if warm else "cold", spot.shape}
    out.add("straight" if spot.rectangularity >= limits["straight"] else "ragged")
    out |= {"soft"} if spot.soft >= limits["soft"] else set()
    out |= {"sharp"} if spot.soft <= limits["sharp"] else set()
    out |= {"line_like"} if spot.shape in ("line", "lines") else set()
    out |= {"at_corner"} if {"left", "right"} & set(spot.sides) and {"top", "bottom"} & set(spot.sides) else set()
    out |= {"weak"} if abs(spot.contrast_k) < 1 else set()
    if inside is not None:
        out |= {"very_hot"} if spot.most_c >= inside + limits["very_hot_k"] else set()
    if inside is not None and outside is not None:
        looks_in = frame.about.get("outdoors") is True
        out |= {"with_flow"} if (warm == looks_in) == (inside > outside) else {"against_flow"}
        out |= {"warmer_than_air"} if warm and spot.most_c >= max(inside, outside) + limits["above_air_k"] else set()
        out |= {"colder_than_air"} if spot.least_c <= min(inside, outside) - limits["above_air_k"] else set()
        out |= {"colder_than_half"} if spot.least_c < (inside + outside) / 2 and not warm else set()
    for word in data["word"]:
        said = " ".join(str(frame.about.get(key, "")) for key in word.get("within", SAID)).lower()
        out |= {str(word["sign"])} if any(x in said for x in word["words"]) else set()
    emissivity = number(frame.about, "emissivity")
    out |= {"mirrors"} if emissivity is not None and emissivity < limits["low_emissivity"] else set()
    return out


def causes(seen: set[str], state: str, over: Sequence[Path] = ()) -> tuple[HeatCause, ...]:
    """What a patch may be, the likeliest first, each with its reasons; nothing that needs a difference without one."""
    data = table("heat.toml", *over)
    made = []
    for place, cause in enumerate(data["cause"]):
        if not set(cause["must"]) <= seen or set(cause.get("never", ())) & seen:
            continue
        if cause.get("difference") and state != ABLE:
            continue
        pro = tuple(words for sign, words in cause["for"].items() if sign in seen)
        con = tuple(words for sign, words in cause.get("against", {}).items() if sign in seen)
        if pro:
            one = HeatCause(cause["id"], cause["name"], pro, con, cause["settle"], cause.get("caution", ""))
            made.append((len(con) - len(pro), place, one))
    made.sort(key=lambda m: m[:2])
    return tuple(one for score, _, one in made[: int(data["limits"]["most_causes"])] if score < 0)


def judged(
    spots: Sequence[Spot],
    frame: Frame,
    facts: Facts,
    state: str,
    over: Sequence[Path] = (),
    pixels: tuple[int, int] = (0, 0),
) -> tuple[HeatSpot, ...]:
    """The patches of a frame of so many columns and rows, as the record lists them."""
    return tuple(
        HeatSpot(
            id=LETTERS[n % len(LETTERS)],
            where=s.where(),
            shape=s.shape,
            count=s.count,
            box=(s.left, s.top, s.width, s.height),
            outline=s.outline,
            area=s.area,
            contrast_k=s.contrast_k,
            least_c=s.least_c,
            most_c=s.most_c,
            around_c=s.around_c,
            size_m=_size(s, frame, pixels),
            causes=causes(signs(s, frame, facts, over), state, over),
        )
        for n, s in enumerate(spots)
    )


def damp_risk(coldest_c: float, frame: Frame, facts: Facts, state: str, over: Sequence[Path] = ()) -> dict[str, Any]:
    """Dew point of the room's air against the coldest place, and the temperature index, where the air is noted."""
    inside, outside = airs(frame, facts)
    humid = number(frame.about, "humidity")
    limits = table("heat.toml", *over)["limits"]
    u = float(limits["u_camera_c"])
    out: dict[str, Any] = {}
    if inside is not None and humid is not None:
        try:
            dew = celsius(dew_point_over_water_f(convert(inside, "degC", "degF"), humid / 100))
        except (OutOfRange, ValueError):
            return out
        word = "reached" if coldest_c + 2 * u <= dew else "not_reached" if coldest_c - 2 * u > dew else "cannot_tell"
        out |= {"dew_point_c": dew, "dew_point": word}
    if inside is not None and outside is not None and state == ABLE:
        air = float(limits["u_air_c"])
        index = temperature_index(Measured(coldest_c, u), Measured(inside, air), Measured(outside, air))
        if index.value <= 1:
            out |= {"temperature_index": index.value, "u_temperature_index": index.u}
    return out


def _size(spot: Spot, frame: Frame, pixels: tuple[int, int]) -> tuple[float, float] | None:
    """Width and height of a patch in metres, seen square on, where the TOML says distance and ifov_mrad."""
    away, ifov = number(frame.about, "distance_m"), number(frame.about, "ifov_mrad")
    if away is None or ifov is None:
        return None
    try:
        one = convert(pixel_mm(ifov, away), "mm", "m")
    except OutOfRange:
        return None
    return spot.width * pixels[0] * one, spot.height * pixels[1] * one
