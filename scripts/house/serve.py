"""`make run`: the site and its worker, started, watched and ended together."""

from __future__ import annotations

import fcntl
import os
import secrets
import signal
import socket
import subprocess
import time
from contextlib import contextmanager, suppress
from datetime import datetime
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from typing import TYPE_CHECKING

from house import environment
from house.machine import ROOT, CannotGoOnError, is_root, say

if TYPE_CHECKING:
    from collections.abc import Iterator

DATA = Path(os.environ.get("BLOCKWORK_DATA", ROOT / ".run"))
HOST = os.environ.get("HOST", "127.0.0.1")
START_SECONDS = 60
END_SECONDS = 20
# Without what was searched for (names) and without where people came from.
ACCESS_LINE = "%(t)s %({x-request-id}o)s %(m)s %(U)s %(s)s %(b)s bytes %(M)s ms"


def run() -> int:
    environment.ensure("run")
    with sole_use():
        pdf = environment.ensure_pdf()
        variables = settings_for(free_port())
        prepare(variables)
        return Served(variables, pdf=pdf).serve()


def clean_demo() -> int:
    """Put database and files aside, so that the next demo begins afresh and nothing is lost."""
    if os.environ.get("DATABASE_URL"):
        raise CannotGoOnError("DATABASE_URL is set. Only the SQLite demo in .run can be renewed.")
    environment.ensure("run")
    with sole_use():
        aside = DATA / f"before-{datetime.now():%Y%m%d-%H%M%S}"  # noqa: DTZ005  (a folder's name)
        for name in (
            "blockwork.sqlite3",
            "blockwork.sqlite3-wal",
            "blockwork.sqlite3-shm",
            "media",
        ):
            if (DATA / name).exists():
                aside.mkdir(exist_ok=True)
                (DATA / name).rename(aside / name)
        if aside.exists():
            say(f"The data before this are in {aside.relative_to(DATA.parent)}.")
        prepare(settings_for(0))
    say("The demo is as on its first day. `make run` serves it.")
    return 0


@contextmanager
def sole_use() -> Iterator[None]:
    """Only one `make run` at a time may use the data."""
    DATA.mkdir(parents=True, exist_ok=True)
    with (DATA / "in-use").open("a+") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise CannotGoOnError(
                "Blockwork already runs from this folder, in another window or in the background. "
                "End that one first (Ctrl-C there)."
            ) from None
        yield


def settings_for(port: int) -> dict[str, str]:
    key = DATA / "secret-key"
    if not key.exists():
        handle = os.open(key, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w") as file:
            file.write(secrets.token_urlsafe(64))
    variables = environment.variables()
    variables.setdefault("DJANGO_SETTINGS_MODULE", "academy.settings.local")
    variables.setdefault("SITE_ADDRESS", f"http://localhost:{port}")
    (DATA / "address").write_text(variables["SITE_ADDRESS"] + "\n")
    return {**variables, "BLOCKWORK_DATA": str(DATA), "PORT": str(port)}


def free_port() -> int:
    """PORT if it is given, else 8000 or the next one that nobody listens on."""
    given = os.environ.get("PORT")
    if given:
        if not given.isdigit() or not 0 < int(given) < 65536:
            raise CannotGoOnError(f"PORT is {given!r}. Give a number from 1 to 65535.")
        if not is_free(int(given)):
            raise CannotGoOnError(f"Port {given} is taken. Give another: make run PORT=8123")
        return int(given)
    for port in range(8000, 8100):
        if is_free(port):
            return port
    raise CannotGoOnError("Ports 8000 to 8099 are all taken. Give another: make run PORT=9123")


def is_free(port: int) -> bool:
    with socket.socket() as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind((HOST, port))
        except OSError:
            return False
    return True


def prepare(variables: dict[str, str]) -> None:
    say("Preparing the database and the static files.")
    command = [str(environment.PYTHON), "manage.py", "prepare"]
    if subprocess.run(command, cwd=ROOT, env=variables, check=False).returncode != 0:
        raise CannotGoOnError("The site could not be prepared; what went wrong stands above.")


class Served:
    """The web server and the worker as children. If the worker ends, another takes its place."""

    def __init__(self, variables: dict[str, str], *, pdf: bool) -> None:
        self.variables = variables
        self.port = int(variables["PORT"])
        self.pdf = pdf
        self.asked_to_end = False

    def serve(self) -> int:
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self.end_soon)
        # An address may hold the secret of a link in a mail.
        (DATA / "logs").mkdir(mode=0o700, exist_ok=True)
        site = self.start(
            *(str(environment.PYTHON), "-m", "gunicorn", "academy.wsgi"),
            *("--bind", f"{HOST}:{self.port}", "--worker-class", "gthread"),
            *("--workers", "2", "--threads", "8", "--log-level", "warning"),
            *("--access-logfile", str(DATA / "logs" / "access.log")),
            *("--access-logformat", ACCESS_LINE),
        )
        worker = self.start_worker()
        try:
            if self.wait_for_site(site):
                self.greet()
            while not self.asked_to_end and site.poll() is None:
                if worker.poll() is not None:
                    end(worker)
                    say("The worker for PDFs and mail ended unexpectedly. Starting another.")
                    time.sleep(2)
                    worker = self.start_worker()
                time.sleep(0.3)
        finally:
            for child in (site, worker):
                child.send_signal(signal.SIGTERM)
            failed = [end(site), end(worker)][0]
        if self.asked_to_end:
            say("\nBlockwork has ended. `make run` starts it again with the same data.")
            return 0
        say("The web server ended unexpectedly; why stands above.")
        return failed or 1

    def end_soon(self, *_signal: object) -> None:
        self.asked_to_end = True

    def start(self, *command: str) -> subprocess.Popen[bytes]:
        # Ctrl-C reaches this process alone, which then ends its children in order.
        return subprocess.Popen(command, cwd=ROOT, env=self.variables, start_new_session=True)

    def start_worker(self) -> subprocess.Popen[bytes]:
        return self.start(str(environment.PYTHON), "manage.py", "worker")

    def wait_for_site(self, site: subprocess.Popen[bytes]) -> bool:
        """True as soon as the site answers; False if it ended or somebody pressed Ctrl-C."""
        for _ in range(START_SECONDS * 5):
            if self.asked_to_end or site.poll() is not None:
                return False
            with suppress(OSError, HTTPException):
                connection = HTTPConnection("127.0.0.1", self.port, timeout=10)
                connection.request("GET", "/account/login/", headers={"Host": "localhost"})
                if connection.getresponse().status < 500:
                    return True
            time.sleep(0.2)
        say(f"The site has not answered within {START_SECONDS} seconds; why may stand above.")
        return False

    def greet(self) -> None:
        address = f"http://localhost:{self.port}"
        say(f"\n  Blockwork is at  {address}/")
        if self.variables.get("BLOCKWORK_DEMO", "1") not in {"0", "false", "no", "off", ""}:
            say(f"  Sign in as one of the demo people at  {address}/demo/")
        say("  Mail is shown here. Ctrl-C ends it; the data stay.\n")
        if not self.pdf:
            line = environment.PDF_LINE.removeprefix("sudo ") if is_root() else environment.PDF_LINE
            say("  PDFs cannot be made yet: a library is missing. Run this, then start again:")
            say(f"    {line}\n")


def end(child: subprocess.Popen[bytes]) -> int:
    """Wait for a child that was asked to end; end its whole group by force if it does not."""
    try:
        child.wait(timeout=END_SECONDS)
    except subprocess.TimeoutExpired:
        say("A process did not end by itself and is ended by force.")
    # What a child left behind (the worker's own processes) ends with its group.
    with suppress(ProcessLookupError):
        os.killpg(child.pid, signal.SIGKILL)
    return child.wait()
