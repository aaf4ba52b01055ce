"""One JSON document on standard output: every command with --json prints through here."""

from __future__ import annotations

import json
from typing import Any

import click


def print_json(document: dict[str, Any] | list[dict[str, Any]]) -> None:
    """Print one document; a number that JSON does not have would be a fault of the program, never "NaN" in the text."""
    click.echo(json.dumps(document, allow_nan=False, indent=1))
