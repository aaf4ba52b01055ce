"""A PostgreSQL server of the tests' own, on loopback, out of Debian's package; it never touches a server that runs."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

SUPERUSER = "shop"


def server_programs() -> Path | None:
    """Return the folder with initdb and pg_ctl, the newest version that is installed."""
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda folder: int(folder.parent.name))
    found = [folder for folder in folders if (folder / "pg_ctl").exists()]
    if found:
        return found[-1]
    on_path = shutil.which("pg_ctl")
    return Path(on_path).parent if on_path and shutil.which("initdb") else None


def _run(command: list[str | Path]) -> None:
    # PostgreSQL refuses to run as root; Debian's package brings an account for it.
    account = {"user": "postgres", "group": "postgres"} if os.geteuid() == 0 else {}
    subprocess.run(
        command, check=True, stdout=subprocess.DEVNULL, cwd="/", extra_groups=[] if account else None, **account
    )


def _free_port() -> int:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return int(listener.getsockname()[1])


@contextmanager
def running_server(programs: Path, folder: Path) -> Iterator[str]:
    """Start a server whose files lie in an empty folder; yield its URL without a database; stop it."""
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres", "postgres")
    cluster, port = folder / "cluster", _free_port()
    _run([programs / "initdb", "-D", cluster, "-U", SUPERUSER, "-A", "trust", "-E", "UTF8", "--locale=C", "-N"])
    options = f"-c listen_addresses=127.0.0.1 -p {port} -k {folder} -c fsync=off -c max_connections=60"
    _run([programs / "pg_ctl", "-D", cluster, "-w", "-l", folder / "log", "-o", options, "start"])
    try:
        yield f"postgresql://{SUPERUSER}@127.0.0.1:{port}"
    finally:
        _run([programs / "pg_ctl", "-D", cluster, "-w", "-m", "immediate", "stop"])
