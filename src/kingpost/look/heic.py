"""The pixels of a HEIC picture, decoded in a process of its own.

A damaged file can end the program that decodes it (libheif through pi_heif 1.4.0); here it ends only the helper.
"""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

from PIL import Image

from kingpost.visit.heif import BRANDS

LONGEST_S = 60.0  # 12 MP take under a second on one core
QUALITY = 95


def holds(path: Path) -> bool:
    """Is it HEIC inside, whatever it is called? Raises OSError where it cannot be read."""
    with path.open("rb") as file:
        start = file.read(12)
    return start[4:8] == b"ftyp" and start[8:12] in BRANDS


def opened(path: Path, longest: int) -> Image.Image:
    """The picture as shown, its longer side at most `longest` pixels, without EXIF.

    Raises OSError where it cannot be decoded.
    """
    command = [sys.executable, "-m", __name__, str(path), str(longest)]
    try:
        done = subprocess.run(command, capture_output=True, timeout=LONGEST_S, check=False)
    except subprocess.TimeoutExpired:
        raise OSError(f"{path.name} took too long to decode") from None
    if done.returncode or not done.stdout:
        raise OSError(f"{path.name} cannot be decoded")
    return Image.open(io.BytesIO(done.stdout), formats=("JPEG",))


def main(path: str, longest: str) -> None:
    """Decode one file and write it to standard output as JPEG."""
    from .ingest_worker import upright

    upright(Path(path), int(longest)).save(sys.stdout.buffer, "JPEG", quality=QUALITY)  # in sRGB: telephones use others


if __name__ == "__main__":
    main(*sys.argv[1:])
