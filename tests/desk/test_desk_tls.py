"""The recipe of docs/server.md for TLS: an authority of one's own, a certificate by it, and pairing over https."""

from __future__ import annotations

import re
import shutil
import ssl
import subprocess
import sys
from pathlib import Path

import httpx
import pytest

ROOT = Path(__file__).parents[2]


def recipe() -> str:
    """The commands as they stand in the document."""
    text = (ROOT / "docs" / "server.md").read_text(encoding="utf-8")
    found = re.search(r"```sh\n(openssl .*?)```", text, re.S)
    assert found, "docs/server.md has no recipe for a certificate"
    return found[1]


def test_a_phone_is_paired_over_tls(tmp_path: Path) -> None:
    if not shutil.which("openssl"):
        pytest.skip("openssl is not on this machine")
    subprocess.run(["sh", "-ec", recipe().replace("192.168.1.20", "127.0.0.1")], cwd=tmp_path, check=True,
                   capture_output=True, timeout=60)  # fmt: skip
    more = [
        "--host",
        "0.0.0.0",
        "--port",
        "0",
        "--cert",
        str(tmp_path / "desk.crt"),
        "--key",
        str(tmp_path / "desk.key"),
    ]
    with subprocess.Popen([sys.executable, "-u", "-m", "kingpost.cli", "serve", str(tmp_path / "data"), *more],
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as server:  # fmt: skip
        try:
            assert server.stdout is not None
            address, link = server.stdout.readline().split()[0], server.stdout.readline().split()[-1]
            assert address.startswith("https://") and link.startswith(f"{address}/#pair=")
            port, token = address.rpartition(":")[2], link.partition("=")[2]
            trusted = ssl.create_default_context(cafile=str(tmp_path / "authority.crt"))
            base = f"https://127.0.0.1:{port}"
            with httpx.Client(base_url=base, verify=trusted, trust_env=False, timeout=60,
                              transport=httpx.HTTPTransport(verify=trusted, retries=20)) as phone:  # fmt: skip
                assert phone.get("/api/1/visits").status_code == 401
                paired = phone.post("/api/1/pair", json={"token": token, "name": "phone"})
                assert "secure" in paired.headers["set-cookie"].lower()
                assert phone.get("/api/1/visits").json() == {"visits": []}
        finally:
            server.terminate()
