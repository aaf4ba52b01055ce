"""Files written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from stackopt.problems import InputError, Place, Problem


def write_whole(path: Path, content: bytes, *, replace: bool) -> None:
    """Write a file under a temporary name beside it, then rename it.

    Parameters
    ----------
    path
        Where it goes.
    content
        The whole file.
    replace
        Whether a file that stands there may be replaced.

    Raises
    ------
    InputError
        When a file stands there that may not be replaced, or the folder cannot be written.
    """
    if not replace and path.exists():
        mend = "Give another name, or say --force to replace it."
        raise InputError(Problem(Place(str(path)), "a file that is there already", "a new file name", mend))
    try:
        _write_and_rename(path, content)
    except OSError as error:
        found = f"a place that cannot be written ({error.strerror})"
        raise InputError(Problem(Place(str(path)), found, "a folder that can be written")) from None


def _write_and_rename(path: Path, content: bytes) -> None:
    descriptor, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).chmod(0o666 & ~_mask())
        os.replace(temporary, path)
    except BaseException:  # whatever ends the writing, Ctrl-C too, nothing half-written stays
        Path(temporary).unlink(missing_ok=True)
        raise


def _mask() -> int:
    """Return the mask for new files: a temporary file is made readable by its owner alone."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
