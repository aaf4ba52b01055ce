"""The trade-off between two objectives: the answers in which neither objective can be better unless the other is worse.

All of them block as few engines as possible. Each comes from two solves: the first minimises one objective while the
other stays below a ceiling, the second minimises the other objective with the first held. So the answer is proven to be
undominated. A ceiling is set half-way between two known answers, then just below the answer that was found, until no
further answer can lie between them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Request
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.objectives import OBJECTIVES, Changes
from stackopt.choose.model.passes import Solution
from stackopt.choose.patience import Patience
from stackopt.choose.solve.plan import make_task
from stackopt.choose.solve.task import Task
from stackopt.choose.why.pairs import (
    Ceiling,
    PairModel,
    PairToSolve,
    settle_point,
    settle_point_away,
    solve_pair,
    solve_pair_away,
)
from stackopt.parts.part_records import Supply
from stackopt.problems import InputError, Place, Problem
from stackopt.side_by_side import each, each_by

MOST_POINTS = 20
# A pass is proven to its step, and the solver keeps a row to a millionth: fractions must differ by more than that.
STEPS_APART = 10
# Boxes that are looked into side by side; the same on every machine, so that answers are, too.
BOXES_AT_A_TIME = 2

Pair = tuple[str, str]
Got = TypeVar("Got")


class FrontierPoint(Struct, frozen=True):
    """One answer of a frontier: what it reaches in the two objectives, in the order asked for, and the whole choice."""

    values: tuple[float, float]
    choice: Choice
    proven: bool


class Frontier(Struct, frozen=True):
    """The answers that nothing betters in both objectives, the least of the first objective first.

    `open_stretches` are pairs of neighbouring points between which there may be others, as not all was looked through.
    `cut_short` says that time ended it, and not the most points that were asked for. `depths_open` says that cuts of
    depths that were not tried may better a point, or lie between two: the depths that are tried are the best for one
    objective after another, not under a ceiling on a fraction.
    """

    objectives: Pair
    points: tuple[FrontierPoint, ...]
    open_stretches: tuple[tuple[FrontierPoint, FrontierPoint], ...]
    cut_short: bool
    depths_open: bool = False

    @property
    def complete(self) -> bool:
        """All there is was found, and proven."""
        return not (self.open_stretches or self.depths_open) and all(point.proven for point in self.points)


def check_pair(names: Sequence[str]) -> Pair:
    """Return the two objectives to be traded off.

    Raises
    ------
    InputError
        When they are not two, not known, the same, or one is ``blocked``.
    """
    known = [name for name in OBJECTIVES if name != Changes.name]
    expected = f"two of {', '.join(known)}, as spend,closeness"
    mend = "Fewest engines blocked comes first always, and is not traded." if "blocked" in names else ""
    if len(names) != 2 or len(set(names)) != 2 or not set(known) >= set(names):
        raise InputError(Problem(Place(item="--trade-off"), ",".join(names), expected, mend))
    return names[0], names[1]


def trade_off(request: Request, supply: Supply, names: Sequence[str], most: int = MOST_POINTS) -> Frontier:
    """Find what two objectives cost each other over all engines of a request.

    Parameters
    ----------
    request, supply
        What is asked and what there is; what `prefer` names beside the two settles what is equal in both.
    names
        The two objectives.
    most
        The most points that are looked for where one of the two is not a whole number; whole numbers have no limit.

    Raises
    ------
    InputError
        As `check_pair`, and where `prefer` names an objective that is not known.
    """
    pair = check_pair(names)
    others = tuple(name for name in request.prefer if name not in pair)
    task = make_task(replace(request, prefer=(*pair, *others)), supply)
    whole = all(OBJECTIVES[name].step == 1 for name in pair)
    return FrontierSearch(task, math.inf if whole else most).frontier(pair)


class SolvedPair(Struct, frozen=True):
    """A model solved for the two objectives, and what it reached in them."""

    model: PairModel
    solution: Solution
    values: tuple[float, float]
    proven: bool


class Box(Struct, frozen=True):
    """Two answers between which others may lie, and the ceiling to look under: on the objective at `on`, 0 or 1.

    `low` reaches less in the first objective, `high` less in the second.
    """

    low: SolvedPair
    high: SolvedPair
    on: int
    ceiling: float


class FrontierSearch(Struct):
    """A search for the points between two objectives, which come after the first in the task's."""

    task: Task
    most: float
    found: list[SolvedPair] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)

    def frontier(self, pair: Pair) -> Frontier:
        """Look through everything, the widest box first, until nothing is left, or time or points run out."""
        self._find_ends()
        given_up: list[Box] = []
        while self.boxes and len(self.found) < self.most and not self.task.patience.over:
            boxes = self._widest()
            for box, under in zip(boxes, self._solved([self._under(box) for box in boxes]), strict=True):
                if under.proven:
                    self._look_around(box, under)
                else:
                    given_up.append(box)
        left = [(box.low, box.high) for box in (*self.boxes, *given_up)]
        found = sorted(self.found, key=lambda one: one.values)
        points = dict(zip(map(id, found), self._points(found), strict=True))
        stretches = sorted({(low.values, high.values): (low, high) for low, high in left}.items())
        return Frontier(
            pair,
            tuple(points.values()),
            tuple((points[id(low)], points[id(high)]) for _, (low, high) in stretches),
            bool(given_up) or self.task.patience.over,
            self._depths_open,
        )

    def _widest(self) -> list[Box]:
        """Take out the widest boxes, as many as are solved side by side."""
        most = min(BOXES_AT_A_TIME, self.most - len(self.found))
        widest = sorted(self.boxes, key=self._extent, reverse=True)[: int(most)]
        self.boxes = [box for box in self.boxes if box not in widest]
        return widest

    @property
    def _depths_open(self) -> bool:
        fractions = all(objective.step < 1 for objective in self._pair)
        return any(job.apart is not None or (fractions and job.engine.levers.of_any_amount) for job in self.task.jobs)

    def _find_ends(self) -> None:
        low = self._end(0)
        high = self._end(1, low)
        if self._apart(low, high, 0) and self._apart(high, low, 1):
            self.found = [low, high]
            self._add_halved(low, high)
        else:
            self.found = [low if low.proven else high]

    def _look_around(self, box: Box, under: SolvedPair) -> None:
        """Put what lies under a ceiling among the points, and what may be left on its sides among the boxes."""
        if box.on == 1:
            if new := self._apart(under, box.high, 0):
                self._add_halved(under, box.high)
            else:
                under = box.high
            self._add(Box(box.low, under, 0, under.values[0] - self._least_apart(0)))
        elif new := self._apart(under, box.low, 1):
            self._add_halved(box.low, under)
        if new:
            self.found.append(under)

    def _add_halved(self, low: SolvedPair, high: SolvedPair) -> None:
        half = (low.values[1] + high.values[1]) / 2
        self._add(Box(low, high, 1, math.floor(half) if self._pair[1].step == 1 else half))

    def _add(self, box: Box) -> None:
        """Take a box up unless its answers are so near that nothing can lie between them."""
        room = [abs(box.high.values[at] - box.low.values[at]) >= 2 * self._least_apart(at) for at in (0, 1)]
        if all(room):
            self.boxes.append(box)

    def _extent(self, box: Box) -> float:
        """Return the share of all between the ends that lies in a box."""
        low, high = self.found[0].values, self.found[1].values
        return math.prod((box.high.values[at] - box.low.values[at]) / (high[at] - low[at]) for at in (0, 1))

    @property
    def _pair(self) -> Sequence[Objective]:
        return self.task.objectives[1:3]

    def _least_apart(self, at: int) -> float:
        step = self._pair[at].step
        return step if step == 1 else STEPS_APART * step

    def _apart(self, less: SolvedPair, more: SolvedPair, at: int) -> bool:
        return more.values[at] - less.values[at] > self._least_apart(at) / 2

    def _model(self, first: int, ceilings: tuple[Ceiling, ...]) -> PairModel:
        task = self.task
        order = (0, first + 1, 2 - first)
        return PairModel(
            tuple(replace(job, apart=None) for job in task.jobs),
            task.supply,
            tuple(task.sources),
            tuple(task.objectives),
            task.beside,
            order,
            ceilings,
        )

    def _end(self, first: int, start: SolvedPair | None = None) -> SolvedPair:
        """Make the objective at `first` least, then the other."""
        return self._solved([self._to_solve(first, (), start)])[0]

    def _under(self, box: Box) -> PairToSolve:
        """Return what finds the answer under a box's ceiling."""
        start = box.high if box.on == 1 else box.low
        return self._to_solve(1 - box.on, (Ceiling(box.on + 1, box.ceiling, "ceiling"),), start)

    def _to_solve(self, first: int, ceilings: tuple[Ceiling, ...], start: SolvedPair | None) -> PairToSolve:
        if start is None:
            return PairToSolve(self._model(first, ceilings), None, self.task.patience.seconds_left)
        # Whoever starts from a known answer has that to fall back on when time ends.
        before = Solution(start.solution.values, start.solution.passes[:1])
        fewest = Ceiling(0, before.passes[0].value, "fewest_blocked")
        return PairToSolve(self._model(first, (*ceilings, fewest)), before, self.task.patience.seconds_left)

    def _solved(self, asked: Sequence[PairToSolve]) -> list[SolvedPair]:
        solutions = self._each(solve_pair, solve_pair_away, asked)
        return [self._reached(one.model, solution) for one, solution in zip(asked, solutions, strict=True)]

    def _reached(self, model: PairModel, solution: Solution) -> SolvedPair:
        reached = {result.objective: result.value for result in solution.passes}
        values = reached[self._pair[0].name], reached[self._pair[1].name]
        return SolvedPair(model, solution, values, all(result.proven for result in solution.passes))

    def _points(self, found: Sequence[SolvedPair]) -> list[FrontierPoint]:
        """Settle all other objectives of answers, and read them."""
        seconds = self.task.patience.seconds_left
        asked = [PairToSolve(one.model, one.solution, seconds, whole=True) for one in found]
        choices = self._each(settle_point, settle_point_away, asked)
        return [
            FrontierPoint(one.values, choice, one.proven and not self._depths_open)
            for one, choice in zip(found, choices, strict=True)
        ]

    def _each(
        self,
        work: Callable[[PairToSolve, Patience], Got],
        work_away: Callable[[PairToSolve], Got],
        asked: Sequence[PairToSolve],
    ) -> list[Got]:
        """Return what a piece of work makes of each model: by others where there are, and the rest here."""
        came: list[Got | None] = [None for _ in asked]
        if self.task.executor is not None and len(asked) > 1 and not self.task.patience.over:
            came = each_by(self.task.executor, work_away, asked, self.task.patience.given_up)
        missing = [one for one, got in zip(asked, came, strict=True) if got is None]
        made = iter(each(lambda one: work(one, self.task.patience), missing))
        return [next(made) if got is None else got for got in came]
