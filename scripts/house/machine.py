"""What the machine must bring: Debian packages, with the right to install them or without."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
NATIVE = ROOT / ".native"


class CannotGoOnError(Exception):
    """A sentence that says what is missing and the line that brings it."""


def say(text: str) -> None:
    print(text, flush=True)


def is_root() -> bool:
    return os.geteuid() == 0


def has_apt() -> bool:
    return shutil.which("apt-get") is not None


def quietly(*command: str, **options: object) -> subprocess.CompletedProcess[str]:
    """Run a command without showing what it prints; the caller looks at its code and output."""
    return subprocess.run(command, capture_output=True, text=True, check=False, **options)  # type: ignore[call-overload,no-any-return]


def apt_install(*packages: str) -> bool:
    """Install Debian packages when that is allowed here; False when it is not or fails."""
    if not (is_root() and has_apt()):
        return False
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    # Another apt may be at work, as on a machine that has just started.
    options = ["-o", "DPkg::Lock::Timeout=300", "-o", "Acquire::Retries=3"]
    install = ["apt-get", *options, "install", "--yes", "--no-install-recommends", *packages]
    say(f"Installing {', '.join(packages)} with apt-get.")
    if quietly(*install, env=environment).returncode == 0:
        return True
    quietly("apt-get", *options, "update", env=environment)
    answer = quietly(*install, env=environment)
    if answer.returncode != 0:
        say(answer.stderr.strip())
    return answer.returncode == 0


def unpack_packages(*packages: str) -> bool:
    """Unpack Debian packages and what they need into .native, which takes no rights at all."""
    if not has_apt():
        return False
    # Only what the machine lacks: the plan of an installation that is not carried out.
    plan = quietly("apt-get", "--simulate", "--no-install-recommends", "install", *packages)
    wanted = [line.split()[1] for line in plan.stdout.splitlines() if line.startswith("Inst ")]
    if plan.returncode != 0 or not wanted:
        return False
    archives = NATIVE / "archives"
    archives.mkdir(parents=True, exist_ok=True)
    say(f"Fetching {len(wanted)} Debian packages into .native (no rights needed).")
    if quietly("apt-get", "download", *wanted, cwd=archives).returncode != 0:
        return False
    return all(
        quietly("dpkg", "-x", str(archive), str(NATIVE)).returncode == 0
        for archive in archives.glob("*.deb")
    )


def library_path() -> str:
    """The folders of .native that hold libraries, for LD_LIBRARY_PATH; empty where none are."""
    folders = {str(found.parent) for found in NATIVE.glob("**/*.so.*")}
    inherited = os.environ.get("LD_LIBRARY_PATH", "")
    return ":".join([*sorted(folders), *([inherited] if inherited else [])])
