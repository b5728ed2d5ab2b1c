"""Plates drawn with truth, read and parsed: what is right, what is left out, what is wrong though it was sure.

python -m bench.plates              60 plates of a seed that nothing was tuned on
python -m bench.plates --plates 12 --seed 2    (seed 2 is what the reading was tuned on)
"""

from __future__ import annotations

import argparse
import io
import sys
import time
from collections import Counter

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from tests.look.drawn_plates import drawn

from kingpost.look.ingest_worker import LARGE_QUALITY
from kingpost.look.plates import LONGEST, Reader
from kingpost.look.plates_fields import fields
from kingpost.trade.looking import table


def photographed(image: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """As it comes out of a camera and of ingest: a JPEG, its longer side 1600 px."""
    out = io.BytesIO()
    made = Image.fromarray(image)
    made.thumbnail((LONGEST, LONGEST), Image.Resampling.BICUBIC)
    made.save(out, "JPEG", quality=LARGE_QUALITY)
    return np.asarray(Image.open(out).convert("RGB"))


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m bench.plates")
    parser.add_argument("--plates", type=int, default=60)
    parser.add_argument("--seed", type=int, default=7)
    args = parser.parse_args()
    count, reader, use = args.plates, Reader(threads=1), float(table("plates.toml")["limits"]["use"])
    began = time.process_time()
    all_, by = Counter[str](), dict[str, Counter[str]]()
    wrong: list[str] = []
    for number in range(count):
        one = drawn(number, seed=args.seed)
        made = {f.field: f for f in fields(reader.read(photographed(one.image)))}
        for field, true in one.truth.items():
            got = made.get(field)
            sure = got is not None and got.sure >= use
            right = got is not None and (got.value == true if not isinstance(true, str) else str(got.value) == true)
            what = ("sure, right" if right else "sure, WRONG") if sure else (
                "not there" if got is None else "asked, right" if right else "asked, wrong")  # fmt: skip
            all_[what] += 1
            by.setdefault(field, Counter())[what] += 1
            if what == "sure, WRONG" and got is not None:
                wrong.append(f"    plate {number} ({one.how}): {field} is {true}, read {got.value} ({got.sure})")
        for field in set(made) - set(one.truth):
            if made[field].sure >= use:
                all_["sure, of nothing"] += 1
                wrong.append(f"    plate {number} ({one.how}): {field} is not there, read {made[field].value}")
    total = sum(v for k, v in all_.items() if k != "sure, of nothing")
    print(f"{count} plates, {total} fields: " + ", ".join(f"{k} {v} ({v / total:.1%})" for k, v in all_.most_common()))
    for field, counts in sorted(by.items()):
        print(f"    {field}: " + ", ".join(f"{k} {v}" for k, v in counts.most_common()))
    print(*wrong, sep="\n")
    print(f"    {(time.process_time() - began) / count:.1f} processor seconds a plate")
    return 0


if __name__ == "__main__":
    sys.exit(main())
