"""Reports written once for all tests of the telling."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from playwright.sync_api import Playwright

from .invented_house import Told, house, told

BROWSER = ("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run")
QUIET = ("--disable-background-networking", "--disable-component-update", "--disable-sync")


@pytest.fixture(scope="session")
def forty(tmp_path_factory: pytest.TempPathFactory) -> Told:
    return told(house(40), tmp_path_factory.mktemp("forty"))


@pytest.fixture(scope="session")
def nine(tmp_path_factory: pytest.TempPathFactory) -> Told:
    """The last nine findings, with checks, a cause and cautions among them; no PDF."""
    record = house(28)
    return told(replace(record, findings=record.findings[-9:]), tmp_path_factory.mktemp("nine"), pdf=False)


@pytest.fixture(scope="session")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Told:
    return told(house(0), tmp_path_factory.mktemp("empty"))


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Any]:
    started = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=[*BROWSER, *QUIET])
    yield started
    started.close()
