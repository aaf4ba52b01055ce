"""A previous answer, as `--json` printed it: which pieces it fitted where."""

from __future__ import annotations

import json
from pathlib import Path

from stackopt.choose.choice_records import Fitted
from stackopt.problems import InputError, Place, Problem

EXPECTED = "an answer of stackopt plan --json or fit --json"


def read_previous(path: Path) -> Fitted:
    """Return what an answer fitted, by engine and cylinder; engines that were blocked in it are left out.

    Raises
    ------
    InputError
        When the file cannot be read, or holds no such answer.
    """
    try:
        answer = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(Problem(Place(str(path)), error.strerror or str(error), EXPECTED)) from None
    except ValueError:
        raise InputError(Problem(Place(str(path)), "no JSON document", EXPECTED)) from None
    try:
        return {
            engine["engine"]: {
                cylinder["cylinder"]: tuple(str(piece["part"]) for piece in cylinder["pieces"])
                for cylinder in engine["cylinders"]
            }
            for engine in answer["engines"]
            if engine["cylinders"]
        }
    except (KeyError, TypeError):
        mend = "Write one with: stackopt plan --json > plan.json"
        raise InputError(Problem(Place(str(path)), "another JSON document", EXPECTED, mend)) from None
