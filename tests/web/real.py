"""The page in a real browser: a server of its own in a process, and Debian's chromium led by Playwright."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PHONE, DESKTOP = {"width": 390, "height": 844}, {"width": 1366, "height": 900}
STARTS_WITHIN_SECONDS = 60.0


class Server:
    """``stackopt serve`` as it is started by hand."""

    def __init__(self, ledger: Path, *options: str, environment: dict[str, str] | None = None) -> None:
        self.ledger, self.options = ledger, options
        self.environment = {**os.environ, **(environment or {})}
        self.process: subprocess.Popen[str] | None = None
        self.address = ""
        self.port = "0"

    def start(self) -> Server:
        call = [sys.executable, "-m", "stackopt", "serve", "--ledger", str(self.ledger), "--who", "Ann"]
        self.process = subprocess.Popen(
            [*call, "--port", self.port, *self.options],
            stdout=subprocess.PIPE,
            text=True,
            env=self.environment,
            start_new_session=True,
        )
        assert self.process.stdout is not None
        told = self.process.stdout.readline()
        match = re.search(r"http://\S+:(\d+)/", told)
        assert match, told
        self.port, self.address = match[1], f"http://127.0.0.1:{match[1]}"
        return self

    def kill(self) -> None:
        assert self.process is not None
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()
        assert self.process.stdout is not None
        self.process.stdout.close()


@contextmanager
def served(ledger: Path, *options: str) -> Iterator[Server]:
    """Serve a ledger for as long as it is needed."""
    server = Server(ledger, *options).start()
    try:
        yield server
    finally:
        server.kill()


def wait_until(is_so: object, seconds: float = 20.0) -> None:
    """Wait until something holds."""
    ends = time.monotonic() + seconds
    while not is_so():  # type: ignore[operator]
        assert time.monotonic() < ends
        time.sleep(0.1)


def new_folder() -> Path:
    return Path(tempfile.mkdtemp(prefix="stackopt-page-"))
