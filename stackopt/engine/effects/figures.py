"""One figure that comes out of a stack, to be shown and kept in a build's record; needs no NumPy to be read."""

from __future__ import annotations

from msgspec import Struct


class Figure(Struct, frozen=True):
    """One figure of one stack, to be shown.

    `unit` is empty for a ratio; `estimate` marks what does not follow from measures alone; `within` is False where a
    stated limit is passed, and `remark` says the limit or what the figure rests on.
    """

    name: str
    value: float
    unit: str
    remark: str
    estimate: bool
    within: bool

    def __str__(self) -> str:
        digits = 3 if self.unit == "mm" else 2
        words = [f"{self.name} {self.value:.{digits}f}{' ' if self.unit else ''}{self.unit}"]
        words += ["an estimate"] if self.estimate else []
        words += [self.remark] if self.remark else []
        return ", ".join(words)
