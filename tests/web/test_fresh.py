"""The built app in the package is what its sources build, by a digest: so that no test needs Node."""

from __future__ import annotations

import gzip
import hashlib
import json
from pathlib import Path

ROOT = Path(__file__).parents[2]
WEB, BUILT = ROOT / "web", ROOT / "src" / "kingpost" / "desk" / "web"
SOURCES = ("build.mjs", "vite.config.ts", "tsconfig.json", "package.json", "package-lock.json", "src", "public")
FIRST_LOAD = (
    "field.html",
    "field.css",
    "field.js",
    "shared.js",
    "worker.js",
    "fonts/overpass.woff2",
    "fonts/routed.woff2",
    "icon.svg",
)


def test_built_from_these_sources() -> None:
    paths = [p for s in SOURCES for p in ([WEB / s] if (WEB / s).is_file() else (WEB / s).rglob("*")) if p.is_file()]
    paths += WEB.glob("*.html")
    sum_ = hashlib.sha256()
    for name, path in sorted((p.relative_to(WEB).as_posix(), p) for p in paths):
        sum_.update(f"{name}\n{hashlib.sha256(path.read_bytes()).hexdigest()}\n".encode())
    built = (BUILT / "built-from.txt").read_text().strip()
    assert built == sum_.hexdigest(), "web/ has changed since the app was built: cd web && npm ci && npm run build"


def test_first_load_is_small() -> None:
    """What a phone fetches before the field screen works: under 250 kB, Python for the page not counted."""
    size = 0
    for name in FIRST_LOAD:
        content = (BUILT / name).read_bytes()
        size += len(content) if name.endswith("woff2") else len(gzip.compress(content, 6))
    assert size < 250_000


def test_lock_names_no_registry() -> None:
    lock = json.loads((WEB / "package-lock.json").read_text(encoding="utf-8"))
    assert not [n for n, p in lock["packages"].items() if "resolved" in p]


def test_every_file_of_python_for_the_page_is_listed_for_offline_use() -> None:
    worker = (BUILT / "sw.js").read_text(encoding="utf-8")
    for path in (BUILT / "py").iterdir():
        assert f"py/{path.name}" in worker
