"""The policy in the long run: the demonstration shop, simulated for 1,000 weeks."""

from __future__ import annotations

from tests.benchmarks.restock_weeks import POLICY, share_bridged, simulate, yearly_costs

WEEKS = 1000


def test_policy_holds_its_service_level_at_less_than_the_stock_lists_levels_cost() -> None:
    """Within the simulation's own error, the 95 % interval of the share of lead times bridged."""
    run, supply = simulate(WEEKS, own_levels=False)
    listed, _ = simulate(WEEKS, own_levels=True)
    level, error = share_bridged(run)
    assert level >= POLICY.service_level - error
    assert sum(map(len, run.bridged.values())) > 40
    ours, theirs = (yearly_costs(each, supply, WEEKS) for each in (run, listed))
    assert sum(ours.values()) < sum(theirs.values())
    assert sum(ours.values()) - ours["goods"] < sum(theirs.values()) - theirs["goods"]
