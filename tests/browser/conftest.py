"""A served site and a Chromium for all browser tests. Without a Chromium they are skipped.

Where everything is demanded (CI=true or BLOCKWORK_DEMAND=all) that is a failure instead.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Error, sync_playwright

from tests.browser.served import Site, served
from tests.browser.visitor import Visitor, visit
from tests.conftest import missing
from tests.site.factories import PASSWORD


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.path.is_relative_to(Path(__file__).parent):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    path = os.environ.get("BLOCKWORK_CHROMIUM") or shutil.which("chromium")
    if not path:
        missing("No Chromium for the tests. BLOCKWORK_CHROMIUM names one.")
    with sync_playwright() as player:
        try:
            browser = player.chromium.launch(executable_path=path, args=["--no-sandbox"])
        except Error as error:
            missing(f"The Chromium does not start: {str(error).splitlines()[0]}")
            raise AssertionError from error
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def site(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    with served(tmp_path_factory.mktemp("site")) as running:
        yield running


@pytest.fixture
def come(chromium: Browser, site: Site) -> Iterator[Callable[..., Visitor]]:
    """`come("phone")`: somebody with that device. At the end nobody may have found trouble."""
    visitors: list[Visitor] = []

    def one(device: str, **how: object) -> Visitor:
        visitors.append(visit(chromium, site.home, device, **how))  # type: ignore[arg-type]
        return visitors[-1]

    yield one
    for visitor in visitors:
        visitor.context.close()
    trouble = [line for visitor in visitors for line in visitor.trouble]
    assert trouble == [], "\n".join(trouble)


@pytest.fixture
def arrive(come: Callable[..., Visitor]) -> Callable[..., Visitor]:
    """`arrive("ada@larkmere.example", "phone")`: that person, signed in."""

    def one(email: str, device: str, **how: object) -> Visitor:
        visitor = come(device, **how)
        visitor.sign_in(email, PASSWORD)
        return visitor

    return one
