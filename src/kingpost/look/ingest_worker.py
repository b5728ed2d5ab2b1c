"""One picture made into its two copies and its marks; run as a process of its own, fed with lines of JSON.

A damaged file may end the program that decodes it; here it ends one worker, and the picture is named.
"""

from __future__ import annotations

import io
import json
import os
import sys
import warnings
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageCms

from kingpost.visit.heif import BRANDS
from kingpost.visit.photos import MOST_JPEG_PIXELS, MOST_PIXELS

from . import quality

LARGE, SMALL = 1600, 320  # px, the longer side
LARGE_QUALITY, SMALL_QUALITY = 84, 78
# EXIF orientation to what sets a picture upright (CIPA DC-008, tag 274; from memory, held against Pillow in tests)
PLAIN = ("srgb iec61966-2", "srgb built-in")  # profiles that need no conversion
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_BROKEN = (OSError, ValueError, SyntaxError, TypeError, LookupError, ArithmeticError, EOFError, MemoryError)


def upright(path: Path, longest: int = LARGE) -> Image.Image:
    """The picture as shown, in sRGB, its longer side at most `longest` px, without any data about it.

    Raises OSError where it cannot be decoded, with the reason.
    """
    with path.open("rb") as file:
        start = file.read(12)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            if start[4:8] == b"ftyp" and start[8:12] in BRANDS:
                from pi_heif.as_plugin import register_heif_opener

                register_heif_opener()
                return _small(Image.open(path, formats=("HEIF",)), longest, turn=False)
            return _small(Image.open(path, formats=("JPEG", "PNG")), longest, turn=True)
    except Image.DecompressionBombError:
        raise OSError("has too many pixels to unpack") from None
    except _BROKEN as err:
        raise OSError(f"its pixels cannot be decoded ({_short(err)})") from None


def _short(err: Exception) -> str:
    return " ".join(str(err).split())[:60] or type(err).__name__


def _small(opened: Image.Image, longest: int, turn: bool) -> Image.Image:
    with opened:
        plain = opened.format in ("JPEG", "MPO") and not opened.info.get("progressive")  # decoded at a fraction at once
        if opened.width * opened.height > (MOST_JPEG_PIXELS if plain else MOST_PIXELS):
            raise OSError("has too many pixels to unpack")
        profile = opened.info.get("icc_profile")
        scale = min(1.0, longest / max(opened.size))
        box = (max(1, round(opened.width * scale)), max(1, round(opened.height * scale)))
        if opened.format in ("JPEG", "MPO"):
            opened.draft("RGB", box)  # decoded at a whole fraction of the size: twice as fast
        whole = _eight_bits(opened)
        image = whole.resize(box, Image.Resampling.BICUBIC, reducing_gap=2.0) if whole.size != box else whole
        turns = TURNS.get(opened.getexif().get(0x0112, 1)) if turn else None  # HEIF turns by a property of its own
    return _in_srgb(image.transpose(turns) if turns is not None else image, profile)


def _eight_bits(opened: Image.Image) -> Image.Image:
    """RGB, or CMYK left for its profile; sixteen bits scaled down, what is transparent on white."""
    if opened.mode.startswith("I") or opened.mode == "F":
        deep = np.clip(np.asarray(opened, dtype=np.float64) / 257, 0, 255)
        return Image.fromarray(deep.astype(np.uint8)).convert("RGB")
    if opened.mode in ("RGBA", "LA", "PA") or "transparency" in opened.info:
        clear = opened.convert("RGBA")
        ground = Image.new("RGBA", clear.size, (255, 255, 255, 255))
        return Image.alpha_composite(ground, clear).convert("RGB")
    if opened.mode == "RGB":
        opened.load()
        return opened  # no second copy of a whole picture
    return opened.convert("RGB")


def _in_srgb(image: Image.Image, profile: Any) -> Image.Image:
    """Colours of another profile as sRGB; a profile that cannot be read is left out."""
    if isinstance(profile, bytes) and profile:
        try:
            own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            if not ImageCms.getProfileDescription(own).strip().lower().startswith(PLAIN):
                made = ImageCms.profileToProfile(image, own, ImageCms.createProfile("sRGB"), outputMode="RGB")
                image = made if made is not None else image
        except (ImageCms.PyCMSError, *_BROKEN):
            pass
    bare = Image.new("RGB", image.size)
    bare.paste(image)
    return bare


def make(path: Path, stem: Path) -> quality.Seen:
    """Write stem.1600.jpg, stem.320.jpg and last stem.json, each whole or not at all. Raises OSError."""
    large = upright(path)
    small = quality.shrunk(large, SMALL)
    seen = quality.measure(large)
    stem.parent.mkdir(parents=True, exist_ok=True)
    _keep(stem.with_name(f"{stem.name}.{LARGE}.jpg"), _jpeg(large, LARGE_QUALITY))
    _keep(stem.with_name(f"{stem.name}.{SMALL}.jpg"), _jpeg(small, SMALL_QUALITY))
    _keep(stem.with_name(f"{stem.name}.json"), json.dumps(seen.as_json(), sort_keys=True).encode())
    return seen


def _jpeg(image: Image.Image, q: int) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=q)  # a new file: no EXIF, no place, no serial number, no thumbnail
    return out.getvalue()


def _keep(path: Path, content: bytes) -> None:
    part = path.with_name(f".{path.name}.{os.getpid()}")
    part.write_bytes(content)
    part.replace(path)


def main() -> None:
    """Serve lines {"path", "stem"} from standard input until it ends; answer each with one line."""
    for line in sys.stdin:
        job = json.loads(line)
        try:
            answer: dict[str, Any] = {"seen": make(Path(job["path"]), Path(job["stem"])).as_json()}
        except OSError as err:
            answer = {"problem": err.strerror.lower() if err.strerror else str(err)}
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
