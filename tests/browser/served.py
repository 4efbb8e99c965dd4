"""The site as `make run` serves it, for as long as the browser tests run."""

from __future__ import annotations

import json
import os
import re
import secrets
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from email import message_from_bytes, policy
from pathlib import Path
from typing import Any
from urllib.error import URLError
from urllib.request import urlopen

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Site:
    """A running site: its address, its folder, and the process behind the scenes."""

    home: str
    data: Path
    stage: subprocess.Popen[str]

    def behind(self, do: str, **words: object) -> Any:
        """Let something be done through the services; see `stage.py`."""
        assert self.stage.stdin
        assert self.stage.stdout
        self.stage.stdin.write(json.dumps({"do": do, **words}) + "\n")
        self.stage.stdin.flush()
        answer = self.stage.stdout.readline()
        assert answer, f"{do} failed behind the scenes; its words stand above."
        return json.loads(answer)

    def link_for(self, email: str) -> str:
        """The address in the last mail to somebody."""
        for file in sorted((self.data / "mail").glob("*"), reverse=True):
            mail = message_from_bytes(file.read_bytes(), policy=policy.default)
            if mail["To"] == email:
                body = mail.get_body()
                assert body
                found = re.search(rf"{re.escape(self.home)}/\S+", body.get_content())
                assert found, "The mail holds no address of the site."
                return found[0]
        raise AssertionError(f"No mail went to {email}.")


@contextmanager
def served(data: Path) -> Iterator[Site]:
    with socket.socket() as any_port:
        any_port.bind(("127.0.0.1", 0))
        port = any_port.getsockname()[1]
    home = f"http://localhost:{port}"
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "tests.browser.settings",
        "BLOCKWORK_DATA": str(data),
        "SECRET_KEY": secrets.token_urlsafe(64),
        "SITE_ADDRESS": home,
        "DATABASE_URL": "",
    }
    python = [sys.executable]
    for command in (["migrate"], ["collectstatic", "--no-input"]):
        manage = [*python, "manage.py", *command, "--verbosity", "0"]
        subprocess.run(manage, cwd=ROOT, env=environment, check=True)
    bind = ["--bind", f"127.0.0.1:{port}", "--threads", "4", "--log-level", "warning"]
    web = subprocess.Popen(
        [*python, "-m", "gunicorn", "academy.wsgi", *bind], cwd=ROOT, env=environment
    )
    stage = subprocess.Popen(
        [*python, "-m", "tests.browser.stage"],
        cwd=ROOT,
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        _wait_for(f"{home}/account/login/", web)
        yield Site(home, data, stage)
    finally:
        for process in (stage, web):
            process.terminate()
        for process in (stage, web):
            process.wait(timeout=20)
        for pipe in (stage.stdin, stage.stdout):
            if pipe:
                pipe.close()


def _wait_for(address: str, web: subprocess.Popen[bytes]) -> None:
    for _ in range(150):
        assert web.poll() is None, "The server ended before it answered."
        try:
            with urlopen(address, timeout=5):  # noqa: S310  (our own address)
                return
        except (URLError, TimeoutError):
            time.sleep(0.2)
    raise AssertionError("The site has not begun to answer.")
