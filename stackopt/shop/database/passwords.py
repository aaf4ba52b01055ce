"""Addresses of ledgers as they may be shown: without their passwords."""

from __future__ import annotations

import re

# ana:word@host, however many strokes stand before it, and password=word; a password may hold an @ of its own.
_BEFORE_HOST = re.compile(r"(:/{1,3}[^/@:\s]*):[^/\s]*@")
_AS_OPTION = re.compile(r"((?:password|passfile|sslpassword)\s*=\s*)('[^']*'|[^&\s']+)", re.IGNORECASE)


def without_password(text: str) -> str:
    """Return a text with *** in place of the passwords of the addresses in it."""
    return _AS_OPTION.sub(r"\1***", _BEFORE_HOST.sub(r"\1:***@", text))
