"""A browser without scripts: gets pages of the app, fills in their forms as they stand, and presses their buttons."""

from __future__ import annotations

from collections.abc import Mapping
from html.parser import HTMLParser
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse


class Form:
    """One form of a page: where it leads, its fields as they stand, and its buttons."""

    def __init__(self, action: str, method: str) -> None:
        self.action, self.method = action, method
        self.fields: list[tuple[str, str]] = []
        self.files: list[str] = []
        self.buttons: list[str] = []


class Forms(HTMLParser):
    """Finds the forms of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self._select: str | None = None
        self._options: list[tuple[str, bool]] = []
        self._text: list[str] | None = None
        self._of = ""
        self.headings: list[str] = []
        self.labels: list[str] = []
        self._attributes: dict[str, str | None] = {}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if tag == "form":
            self.forms.append(Form(found.get("action") or "", (found.get("method") or "get").lower()))
        elif tag == "input" and self.forms and found.get("name"):
            self._input(self.forms[-1], found)
        elif tag == "select":
            self._select, self._options = found.get("name"), []
        elif tag == "option" and self._select is not None:
            self._options.append((found.get("value") or "", "selected" in found))
            if "value" not in found:
                self._begin("option")
        elif tag in ("button", "h1", "textarea"):
            self._attributes = found
            self._begin(tag)

    def _begin(self, tag: str) -> None:
        self._text, self._of = [], tag

    @staticmethod
    def _input(form: Form, found: dict[str, str | None]) -> None:
        name, kind = found["name"] or "", found.get("type")
        if kind == "file":
            form.files.append(name)
        elif kind not in ("radio", "checkbox") or "checked" in found:
            form.fields.append((name, found.get("value") or ""))

    def handle_data(self, data: str) -> None:
        if self._text is not None:
            self._text.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "select" and self._select is not None:
            chosen = [value for value, selected in self._options if selected] or [v for v, _ in self._options[:1]]
            self.forms[-1].fields += [(self._select, value) for value in chosen]
            self._select = None
        if self._text is None or tag not in (self._of, "select"):
            return
        text = "".join(self._text)
        if self._of == "button" and self.forms:
            self.forms[-1].buttons.append(" ".join(text.split()))
        elif self._of == "h1":
            self.headings.append(" ".join(text.split()))
        elif self._of == "option":
            self._options[-1] = (text.strip(), self._options[-1][1])
        elif self._of == "textarea" and self._attributes.get("name"):
            self.forms[-1].fields.append((self._attributes["name"] or "", text))
        self._text = None


class Browser:
    """One person's browser."""

    def __init__(self, app: Flask, name: str = "") -> None:
        self.client: FlaskClient = app.test_client()
        self.name = name
        self.at = ""
        self.response: TestResponse | None = None

    @property
    def text(self) -> str:
        assert self.response is not None
        return self.response.get_data(as_text=True)

    @property
    def status(self) -> int:
        assert self.response is not None
        return self.response.status_code

    @property
    def parsed(self) -> Forms:
        forms = Forms()
        forms.feed(self.text)
        return forms

    @property
    def heading(self) -> str:
        (heading,) = self.parsed.headings
        return heading

    def open(self, path: str) -> Browser:
        self.response = self.client.get(path, follow_redirects=True)
        self.at = self.response.request.full_path.rstrip("?")
        return self

    def form(self, button: str, leading_to: str = "") -> Form:
        found = [f for f in self.parsed.forms if button in f.buttons and leading_to in f.action]
        assert found, f"no button {button!r} on {self.at}: {[f.buttons for f in self.parsed.forms]}"
        return found[0]

    def press(
        self, button: str, fill: Mapping[str, Any] | None = None, leading_to: str = "", form: Form | None = None
    ) -> Browser:
        """Fill in and send the form of a button; what is filled in takes the place of what stands there."""
        form = form or self.form(button, leading_to)
        typed: dict[str, Any] = {}
        for name, value in form.fields:
            typed.setdefault(name, []).append(value)
        typed |= fill or {}
        send = self.client.post if form.method == "post" else self.client.get
        kind = {"data": typed} if form.method == "post" else {"query_string": typed}
        if form.files:
            kind["content_type"] = "multipart/form-data"
        self.response = send(form.action, follow_redirects=True, **kind)  # type: ignore[operator]
        self.at = self.response.request.full_path.rstrip("?")
        return self
