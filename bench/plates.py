"""Plates drawn with truth, read and parsed: what is right, what is left out, what is wrong though it was sure.

python -m bench.plates              60 plates
python -m bench.plates --plates 12
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter

import numpy as np
from tests.look.drawn_plates import drawn

from kingpost.look.plates import Reader
from kingpost.look.plates_fields import fields
from kingpost.trade.looking import table


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m bench.plates")
    parser.add_argument("--plates", type=int, default=60)
    count, reader, use = parser.parse_args().plates, Reader(), float(table("plates.toml")["limits"]["use"])
    all_, by = Counter[str](), dict[str, Counter[str]]()
    wrong: list[str] = []
    for number in range(count):
        one = drawn(number, seed=1)
        image = one.image
        scale = min(1.0, 1600 / max(image.shape))
        if scale < 1:
            image = image[:: round(1 / scale), :: round(1 / scale)]
        made = {f.field: f for f in fields(reader.read(np.ascontiguousarray(image)))}
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
    return 0


if __name__ == "__main__":
    sys.exit(main())
