"""Photograph every page of the demo, as each of its people, at phone, tablet and desktop size.

Serves a demo of its own (the data of `make run` stay untouched), signs in as one person for
each role, follows the links and takes one picture for each named page it meets; of each PDF one
for every sheet. So a new page needs no entry here. PICTURES=word keeps to pages whose name or
role has that word. Writes into pictures/, with an index.html to look at them side by side.
"""

from __future__ import annotations

import os
import secrets
import socket
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit
from urllib.request import urlopen

import django
from django.urls import Resolver404, resolve, reverse
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Error,
    FloatRect,
    Page,
    sync_playwright,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "pictures"
SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desktop": (1280, 900)}
# Who is signed in; "" is nobody. One demo person for each.
WHO = ("", "apprentice", "assessor", "educator", "verifier", "manager")
# Where the way begins; everything else is found by following links.
FIRST = {"": ["/account/login/", "/demo/", "/account/password/reset/", "/c/not-a-certificate/"]}
# The module whose page shows most; without it that of hygiene would be met first.
SHOWPIECE = "weaves"
SHEET_DPI = "80"
# The README's picture, to be copied to docs/pictures/ when the page has changed.
README_PAGE = ("educator", "curriculum-module-detail")
README_PART: FloatRect = {"x": 0, "y": 0, "width": 1280, "height": 1110}


@contextmanager
def served(data: Path) -> Iterator[str]:
    """The address of a demo that is served until the end of the block."""
    with socket.socket() as any_port:
        any_port.bind(("127.0.0.1", 0))
        port = any_port.getsockname()[1]
    os.environ.update(
        DJANGO_SETTINGS_MODULE="academy.settings.local",
        BLOCKWORK_DATA=str(data),
        BLOCKWORK_DEMO="1",
        SECRET_KEY=secrets.token_urlsafe(64),
        SITE_ADDRESS=f"http://localhost:{port}",
        DATABASE_URL="",
    )
    subprocess.run([sys.executable, "manage.py", "prepare"], cwd=ROOT, check=True)
    bind = ["--bind", f"127.0.0.1:{port}", "--threads", "4", "--log-level", "warning"]
    site = subprocess.Popen([sys.executable, "-m", "gunicorn", "academy.wsgi", *bind], cwd=ROOT)
    worker = subprocess.Popen(
        [sys.executable, "manage.py", "worker"], cwd=ROOT, start_new_session=True
    )
    try:
        wait_for(f"http://localhost:{port}/account/login/")
        yield f"http://localhost:{port}"
    finally:
        for child in (site, worker):
            child.terminate()
        for child in (site, worker):
            child.wait(timeout=30)


def wait_for(address: str) -> None:
    for _ in range(100):
        try:
            with urlopen(address, timeout=5):  # noqa: S310  (our own address)
                return
        except OSError:
            time.sleep(0.2)
    raise SystemExit("The demo has not begun to answer.")


def sign_in(page: Page, home: str, role: str) -> str:
    """Sign in as the first demo person with that role; the path of their first page."""
    from academy.people.demo import demo_people  # noqa: PLC0415  (Django must be set up)

    person = next((one for one in demo_people() if one.role == role), None)
    if person is None:
        raise SystemExit(f"The demo has nobody with the role {role}.")
    page.goto(f"{home}/demo/")
    page.locator(f'button[name="person"][value="{person.token}"]').first.click()
    page.wait_for_load_state()
    choice = page.locator(f'button[name="role"][value="{role}"]').first
    if choice.count():
        choice.click()
        page.wait_for_load_state()
    return urlsplit(page.url).path


def showpiece() -> str:
    """The path of a module with a head sheet."""
    from academy.curriculum.models import Module  # noqa: PLC0415  (Django must be set up)

    module = Module.objects.select_related("academy").filter(key=SHOWPIECE).first()
    if module is None:
        raise SystemExit(f"The demo has no module {SHOWPIECE}.")
    address = {"academy": module.academy.slug, "token": module.token}
    return reverse("curriculum:module-detail", kwargs=address)


def name_of(path: str) -> str | None:
    """The name of a page, as "practice-session-detail"; None for what is no page of ours."""
    try:
        name = resolve(path).view_name
    except Resolver404:
        return "not-found"
    if not name or "logout" in name:
        return None
    return name.replace(":", "-").replace("_", "-")


def links(page: Page, home: str) -> list[str]:
    # A link in a drawing has no plain `href` property.
    read = "all => all.map(one => new URL(one.getAttribute('href'), document.baseURI).href)"
    found = page.eval_on_selector_all("a[href]", read)
    ours = [urlsplit(one) for one in found if one.startswith(f"{home}/")]
    return list(dict.fromkeys(one.path + (f"?{one.query}" if one.query else "") for one in ours))


def walk(context: BrowserContext, home: str, role: str, only: str) -> dict[str, int]:
    """Photograph what this person can reach; the pages by name, with their HTTP status."""
    page = context.new_page()
    waiting = [sign_in(page, home, role), showpiece()] if role else list(FIRST[""])
    seen: dict[str, int] = {}
    while waiting:
        path = waiting.pop(0)
        name = name_of(urlsplit(path).path)
        if name is None or name in seen:
            continue
        wanted = only in f"{role}-{name}"
        answer = context.request.get(f"{home}{path}")
        seen[name] = answer.status
        kind = answer.headers.get("content-type", "")
        if kind.startswith("application/pdf"):
            if wanted:
                photograph_sheets(answer.body(), folder_of(role) / name)
        elif kind.startswith("text/html"):
            page.goto(f"{home}{path}")
            if wanted:
                photograph(page, role, name)
            if role:
                waiting += [link for link in links(page, home) if link not in waiting]
    page.close()
    return seen


def folder_of(role: str) -> Path:
    folder = OUT / (role or "nobody")
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def photograph(page: Page, role: str, name: str) -> None:
    for size, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        page.screenshot(path=folder_of(role) / f"{name}--{size}.png", full_page=True)
    if (role, name) == README_PAGE:
        page.screenshot(path=OUT / "head-sheet.png", clip=README_PART, full_page=True)


def photograph_sheets(pdf: bytes, base: Path) -> None:
    base.with_suffix(".pdf").write_bytes(pdf)
    command = ["pdftoppm", "-r", SHEET_DPI, "-png", f"{base}.pdf", f"{base}--sheet"]
    subprocess.run(command, check=True)


def write_index() -> None:
    """All pictures on one page, the sizes of a page side by side."""
    rows = []
    for folder in sorted(path for path in OUT.iterdir() if path.is_dir()):
        rows.append(f"<h2>{escape(folder.name)}</h2>")
        names = sorted({path.name.partition("--")[0] for path in folder.glob("*.png")})
        for name in names:
            shots = sorted(folder.glob(f"{name}--*.png"), key=lambda path: path.stat().st_size)
            shown = "".join(
                f'<a href="{folder.name}/{shot.name}"><img src="{folder.name}/{shot.name}" '
                f'alt="{escape(shot.stem)}" loading="lazy" height="420"></a> '
                for shot in shots
            )
            rows.append(f"<h3>{escape(name)}</h3><p>{shown}</p>")
    (OUT / "index.html").write_text(
        '<!doctype html><meta charset="utf-8"><title>Pictures</title>' + "\n".join(rows)
    )


def walk_all(browser: Browser, home: str, only: str) -> int:
    """Everybody's pages; the number of pages that answered with a fault of ours."""
    broken = 0
    for role in WHO:
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        try:
            seen = walk(context, home, role, only)
        except Error as trouble:
            print(f"{role or 'nobody'}: {trouble}", file=sys.stderr)
            broken += 1
            continue
        finally:
            context.close()
        bad = {name: status for name, status in seen.items() if status >= 500}
        broken += len(bad)
        print(f"{role or 'nobody'}: {len(seen)} pages" + (f", broken: {bad}" if bad else ""))
    return broken


def main() -> int:
    only = os.environ.get("PICTURES", "")
    OUT.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as home:
        django.setup()
        # Playwright's event loop runs in this thread; the ORM is only read between its calls.
        os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
        with sync_playwright() as player:
            browser = player.chromium.launch(
                executable_path=os.environ["BLOCKWORK_CHROMIUM"], args=["--no-sandbox"]
            )
            broken = walk_all(browser, home, only)
            browser.close()
    write_index()
    print(f"Look at {(OUT / 'index.html').relative_to(ROOT)}.")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
