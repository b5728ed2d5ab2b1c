"""What the inspector wants hidden in a picture: a face, a screen, a paper with a name on it."""

from __future__ import annotations

from collections.abc import Sequence

from PIL import Image

BLOCKS = 5  # a hidden box keeps so many patches of colour each way, and nothing finer


def hide(image: Image.Image, boxes: Sequence[Sequence[float]]) -> Image.Image:
    """The upright picture with each box (left, top, width, height, in shares of it) made unreadable.

    What is under a box is averaged to 5 x 5 patches before it is smoothed, so it cannot be sharpened back.

    >>> plain = Image.new("RGB", (100, 100), (9, 9, 9))
    >>> hide(plain, [(0.2, 0.2, 0.9, 0.1)]).size, hide(plain, []) is plain
    ((100, 100), True)
    """
    if not boxes:
        return image
    out = image.copy()
    for left, top, width, height in boxes:
        a, b = int(left * image.width), int(top * image.height)
        c = min(image.width, max(a + 1, round((left + width) * image.width)))
        d = min(image.height, max(b + 1, round((top + height) * image.height)))
        patches = image.crop((a, b, c, d)).resize((BLOCKS, BLOCKS), Image.Resampling.BOX)
        out.paste(patches.resize((c - a, d - b), Image.Resampling.BILINEAR), (a, b))
    return out
