"""The same search for the best deals, through one model of all engines: it is ahead where there are many suppliers.

The one model is solved up to the last objective that deals enter, which shows the deals that come first. What comes
after it falls apart into groups again, once the deals stand. Then these deals are barred, and it is asked whether
others reach as much; when none do, the best that was found is proven.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count

from stackopt.choose.model.objectives import asked_by
from stackopt.choose.model.passes import first_solution, hold, lifted
from stackopt.choose.model.program import build_program
from stackopt.choose.model.purchase import Terms
from stackopt.choose.model.solver import minimise, relaxed, weighted_sum
from stackopt.choose.patience import Patience
from stackopt.choose.solve.deals import Deal, Deals
from stackopt.choose.solve.open_suppliers import Branch, DealSearch
from stackopt.choose.solve.progress import Progress
from stackopt.choose.solve.task import Task

# Of the time that is given, so much is kept to bound what counts after a pass that was cut short: a share, or what
# stating the one model of all engines takes, but never more than the larger share.
BOUNDING_TIME, MOST_BOUNDING_TIME, BOUNDING_SECONDS_A_JOB = 0.15, 0.35, 0.0015
# With so many engines the one model is not stated any more once time is over: that alone takes half a second.
MOST_JOBS_AFTERWARDS = 600


def searching_share(task: Task) -> float:
    """Return the share of the time that is given, 0 to 1, in which answers are searched for; the rest is for bounds."""
    wanted = BOUNDING_SECONDS_A_JOB * len(task.jobs)
    share = wanted / task.patience.seconds_left if task.patience.seconds_left > 0 else MOST_BOUNDING_TIME
    return 1 - min(MOST_BOUNDING_TIME, max(BOUNDING_TIME, share))


def state_whole(task: Task) -> Progress:
    """State the one model of all engines, nothing solved yet."""
    program = build_program(task.jobs, task.supply, task.sources, asked_by(task.objectives, beside=task.beside))
    return Progress(program, first_solution(program))


def search_in_one_model(progress: Progress, search: DealSearch, patience: Patience) -> None:
    """Find the deals that come first, and leave them with the search; it is cut short where time is over before."""
    search.cut_short = True
    deciding = search.objectives[: search.deciding() + 1]
    progress.solve(deciding, patience)
    for number in count():
        if patience.over:
            return
        Branch(search, _deals(progress, search), frozenset()).look_through()
        if patience.over:
            return
        _bar(progress, search, number)
        wanted = weighted_sum(deciding[-1].terms(progress.program))
        outcome = minimise(progress.program.problem, wanted, step=deciding[-1].step, patience=patience)
        if not outcome.found:
            search.cut_short = not outcome.proven
            return
        progress.take_values()


def _deals(progress: Progress, search: DealSearch) -> Deals:
    """Return on which terms the solution orders from the suppliers whose terms are to be settled."""
    deals: dict[str, Deal] = {}
    for columns in progress.program.purchases.suppliers:
        offered = search.open_deals.get(columns.supplier.name)
        if offered and progress.solution[columns.ordered]:
            waived = columns.waived is not None and progress.solution[columns.waived]
            deals[columns.supplier.name] = offered[-1] if waived else offered[0]
    return deals


def _bar(progress: Progress, search: DealSearch, number: int) -> None:
    """Let the same deals not come out again."""
    terms: Terms = []
    chosen = 0
    for columns in progress.program.purchases.suppliers:
        if columns.supplier.name not in search.open_deals:
            continue
        for column in (columns.ordered, columns.waived):
            if column is not None:
                is_chosen = progress.solution[column]
                chosen += is_chosen
                terms.append((column, -1 if is_chosen else 1))
    progress.program.problem.addConstraint(weighted_sum(terms) >= 1 - chosen, f"other_deals_{number}")


def bounds_below(task: Task, values: Sequence[float], known: Sequence[float]) -> list[float]:
    """Return below what no objective can be in answers that reach these values, or less, in all objectives before it.

    They are found with fractions allowed, which takes a moment; what is `known` stands where it is the value itself, or
    where there is no time for more.
    """
    if task.patience.over and len(task.jobs) > MOST_JOBS_AFTERWARDS:
        return list(known)
    patience = task.patience.afterwards()
    program = state_whole(task).program
    bounds = []
    for objective, value, bound in zip(task.objectives, values, known, strict=True):
        terms = objective.terms(program)
        if terms and bound < value and not patience.over:
            least = relaxed(program.problem, weighted_sum(terms), patience=patience)[0]
            bounds.append(max(bound, lifted(objective, least)))
        else:
            bounds.append(bound)
        hold(program, objective, value)
    return bounds
