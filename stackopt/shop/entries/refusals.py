"""A command that cannot be carried out with what is there: a value that names who has the pieces."""

from __future__ import annotations

from msgspec import Struct

from stackopt.problems import InputError, Place, Problem


class Taker(Struct, frozen=True):
    """Who has pieces of a part, or took them last.

    `act` is held, used, scrapped …; `engine` is empty where none was concerned; `at` is the time in UTC.
    """

    engine: str
    quantity: int
    act: str
    who: str
    at: str

    def __str__(self) -> str:
        engine = f" for {self.engine}" if self.engine else ""
        return f"{self.quantity} {self.act}{engine} by {self.who} on {self.at}"


class Shortage(Struct, frozen=True):
    """What a command would have brought below zero.

    Parameters
    ----------
    part
        The part number.
    short
        How many pieces are too few.
    measure
        What would have fallen below zero, in words.
    on_hand
        Pieces on the shelf before the command.
    takers
        Who has the pieces, or took them last.
    """

    part: str
    short: int
    measure: str
    on_hand: int
    takers: tuple[Taker, ...] = ()

    @property
    def problem(self) -> Problem:
        """The shortage as a problem of the command."""
        takers = "; ".join(map(str, self.takers)) or "nobody has any"
        found = f"{self.on_hand} on the shelf; {takers}"
        mend = "Nothing was stored. Choose again, or have some released or received first."
        return Problem(Place(self.part), found, f"{self.short} more {self.measure}", mend)


class Refusal(Struct, frozen=True):
    """A command that was not carried out, and what stood against it; nothing was stored."""

    shortages: tuple[Shortage, ...]

    def __str__(self) -> str:
        return "\n".join(str(shortage.problem) for shortage in self.shortages)


class RefusedError(InputError):
    """A command cannot be carried out with what is there. Raised inside the transaction, which ends with it."""

    def __init__(self, *shortages: Shortage) -> None:
        super().__init__(*(shortage.problem for shortage in shortages))
        self.refusal = Refusal(shortages)
