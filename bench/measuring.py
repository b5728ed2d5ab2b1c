"""Lengths measured in rendered views: the error, and whether the stated doubt holds it.

python -m bench.measuring          60 views with both tags, and the same with one
python -m bench.measuring --views 200
"""

from __future__ import annotations

import argparse
import sys

import numpy as np
from tests.look.views import Camera, paper

from kingpost.look.strip_measure import length, without_one
from kingpost.look.strip_tags import Found, MeasureError, find

CLICK_PX = 1.5
PRINTED = (0.999, 1.0, 1.001)  # a print that is a little small or large: the wall stays as it is


def view(number: int, rng: np.random.Generator) -> Camera:
    """A camera as a person might hold it."""
    return Camera(
        away=float(rng.uniform(350, 1500)),
        turn=float(rng.uniform(-62, 62)),
        tilt=float(rng.uniform(-25, 25)),
        roll=float(rng.uniform(-12, 12)),
        lens=float(rng.normal(0, 0.012)),
        size=(2016, 1512) if number % 2 else (3024, 2268),
        shift=(float(rng.uniform(-60, 60)), float(rng.uniform(-60, 60))),
    )


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m bench.measuring")
    parser.add_argument("--views", type=int, default=60)
    views, rng, drawn = parser.parse_args().views, np.random.default_rng(77), paper()
    rows: dict[str, list[tuple[float, float, float]]] = {"both tags": [], "one tag": []}
    refused: dict[str, dict[str, int]] = {"both tags": {}, "one tag": {}}
    for number in range(views):
        camera = view(number, rng)
        picture = camera.picture(drawn, rng, float(rng.uniform(0.4, 1.4)), float(rng.uniform(1, 6)))
        try:
            found = find(picture)
        except MeasureError as err:
            refused["both tags"][str(err).split(";")[0]] = refused["both tags"].get(str(err).split(";")[0], 0) + 1
            continue
        forms = {"both tags": found} if len(found.squares) == 2 else {}
        forms["one tag"] = without_one(found, int(rng.integers(len(found.squares))))
        for _ in range(3):
            middle, way, size = rng.uniform(-150, 150, 2), rng.uniform(0, np.pi), rng.uniform(60, 400)
            half = np.array([np.cos(way), np.sin(way)]) * size / 2
            points = camera.see(np.array([middle - half, middle + half]) / PRINTED[number % 3])
            if (points < 5).any() or (points > np.array(camera.size) - 5).any():
                continue
            clicked = points + rng.normal(0, CLICK_PX, points.shape)
            for name, one in forms.items():
                _one(name, one, clicked, size, rows, refused)
    for name, made in rows.items():
        errors = np.array([(e, d, s) for e, d, s in made])
        inside = np.mean(np.abs(errors[:, 0]) <= errors[:, 1])
        print(f"{name}: {len(errors)} lengths of 60 to 400 mm; error mean {errors[:, 0].mean():+.2f}, "
              f"rms {np.sqrt((errors[:, 0] ** 2).mean()):.2f}, worst {np.abs(errors[:, 0]).max():.1f} mm; "
              f"stated doubt median {np.median(errors[:, 1]):.1f} mm; truth inside {inside:.1%}")  # fmt: skip
        for reason, count in sorted(refused[name].items()):
            print(f"    refused {count}: {reason}")
    return 0


def _one(
    name: str, found: Found, clicked: np.ndarray, size: float, rows: dict[str, list[tuple[float, float, float]]],
    refused: dict[str, dict[str, int]],
) -> None:  # fmt: skip
    (a, b), (c, d) = clicked.tolist()
    try:
        made = length(found, (a, b), (c, d), CLICK_PX)
    except MeasureError as err:
        why = " ".join(w for w in str(err).split(";")[0].split(":")[0].split() if not any(ch.isdigit() for ch in w))
        refused[name][why] = refused[name].get(why, 0) + 1
        return
    rows[name].append((made.mm - size, made.doubt_mm, size))


if __name__ == "__main__":
    sys.exit(main())
