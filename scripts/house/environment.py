"""The Python environment in .venv, and the libraries that PDFs need."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import time
from importlib.util import find_spec
from pathlib import Path

from house.machine import (
    NATIVE,
    ROOT,
    CannotGoOnError,
    apt_install,
    is_root,
    library_path,
    quietly,
    say,
    unpack_packages,
)

VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
PAUSES = (2, 8)
PDF_PACKAGES = ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0")
PDF_LINE = f"sudo apt-get install {' '.join(PDF_PACKAGES)}"


def variables() -> dict[str, str]:
    """The environment for everything that Blockwork starts."""
    found = {**os.environ, "PYTHONUNBUFFERED": "1"}
    found["FONTCONFIG_FILE"] = str(ROOT / "static" / "fonts" / "pdf" / "fonts.conf")
    if NATIVE.exists():
        found["LD_LIBRARY_PATH"] = library_path()
    return found


def ensure(lock: str) -> None:
    """See that .venv holds exactly what requirements/<lock>.txt names; no network if it does."""
    path = ROOT / "requirements" / f"{lock}.txt"
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    stamp = VENV / f"{lock}.sha256"
    if works() and stamp.exists() and stamp.read_text() == digest:
        return
    if not works():
        make_environment()
    install(path)
    stamp.write_text(digest)


def works() -> bool:
    """Whether .venv has a Python that starts (it does not after a move or an upgrade)."""
    code = "import sys; sys.exit(sys.version_info < (3, 11))"
    return PYTHON.exists() and quietly(str(PYTHON), "-c", code).returncode == 0


def make_environment() -> None:
    say("Making the Python environment in .venv.")
    if VENV.exists():
        shutil.rmtree(VENV)
    uv = shutil.which("uv")
    if uv and quietly(uv, "venv", "--quiet", "--python", sys.executable, str(VENV)).returncode == 0:
        return
    if find_spec("ensurepip") is None:
        apt_install("python3-venv")
    answer = quietly(sys.executable, "-m", "venv", str(VENV))
    if answer.returncode == 0:
        return
    shutil.rmtree(VENV, ignore_errors=True)
    if quietly(sys.executable, "-m", "venv", "--without-pip", str(VENV)).returncode != 0:
        raise CannotGoOnError(f"Python cannot make an environment:\n{answer.stdout}")
    if not unpacked_pip() and not unpack_packages("python3-pip-whl"):
        shutil.rmtree(VENV)
        raise CannotGoOnError(
            "Python has no venv module here. Run this, then try again:\n"
            "  sudo apt-get install python3-venv"
        )


def unpacked_pip() -> Path | None:
    """The pip of Debian's own wheel, where python3-venv is missing and could not be installed."""
    for root in (NATIVE, Path("/")):
        for wheel in root.glob("usr/share/python-wheels/pip-*.whl"):
            return wheel
    return None


def installers(lock: Path) -> list[list[str]]:
    """The commands that can install a lock file here, the fastest first."""
    found = []
    hashed = ["--require-hashes", "--requirement", str(lock)]
    if uv := shutil.which("uv"):
        found.append([uv, "pip", "install", "--quiet", "--python", str(PYTHON), *hashed])
    pip = [str(PYTHON), "-m", "pip"]
    if wheel := unpacked_pip():
        pip = [str(PYTHON), f"{wheel}/pip"]
    if quietly(*pip, "--version").returncode == 0:
        quiet = ["--quiet", "--disable-pip-version-check", "--timeout", "60"]
        found.append([*pip, "install", *quiet, *hashed])
    return found


def install(lock: Path) -> None:
    """Install a lock file, trying again when a download breaks off."""
    say(f"Installing the packages of {lock.relative_to(ROOT)} (about half a minute).")
    # A hash that does not fit stays wrong; an interrupted download mends itself.
    environment = {**os.environ, "UV_HTTP_TIMEOUT": "120"}
    trouble = "there is neither uv nor pip."
    for command in installers(lock):
        for pause in (*PAUSES, None):
            answer = subprocess.run(
                command, env=environment, capture_output=True, text=True, check=False
            )
            if answer.returncode == 0:
                return
            trouble = answer.stderr.strip()
            if pause is not None:
                say(f"That did not work. Trying again in {pause} seconds.")
                time.sleep(pause)
    raise CannotGoOnError(f"The packages could not be installed:\n{trouble}")


def pdf_works() -> bool:
    """Whether PDFs can be made. In a process of its own: a missing font would end this one."""
    code = "from weasyprint import HTML; HTML(string='<p>1').write_pdf()"
    return quietly(str(PYTHON), "-c", code, env=variables()).returncode == 0


def ensure_pdf() -> bool:
    """Bring the libraries for PDFs if they are missing; the site also starts without them."""
    if pdf_works():
        return True
    if is_root():
        apt_install(*PDF_PACKAGES)
    else:
        unpack_packages(*PDF_PACKAGES)
    return pdf_works()
