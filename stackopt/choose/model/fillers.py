"""Fillers: lines that no engine needs, bought because they cost less than the freight they save or reach a minimum.

What a supplier's fillers cost depends on nothing but the sum that is missing: the least sum of packs that reaches it.
The sums that can be reached, in whole cents up to what can pay, are the bits of one number, however long the list is.
A special order is a filler only where money counts before special orders: every line of them is counted, so it stands
in the model under its own number.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import NOTHING_USEFUL, OrderLine, Useful
from stackopt.parts.part_records import Offer, PriceTier, Supplier, Supply
from stackopt.parts.sources import Source

# Sums beyond this are not told apart: lines that reach all sums near it reach all higher ones, too.
MOST_CENTS = 1_000_000
# What stands in the model for a run of sums that follow one another: a line of which a pack costs a cent.
SUM_OF_FILLERS = ""
# Of useful lines so many are looked at when a sum is made up of lines.
MOST_USEFUL = 200


class Run(Struct, frozen=True):
    """Sums that can be reached, each a cent above the one before it, cents."""

    low_cents: int
    high_cents: int


class Fillers(Struct, frozen=True):
    """What one supplier's fillers can come to: bit n of `reached` is set where n cents can be.

    `lines` are as few as reach all these sums; `useful` are those of use, the most useful first, each with how many of
    its packs are. `special` are the special orders that may fill beside them.
    """

    supplier: Supplier
    reached: int
    limit_cents: int
    lines: tuple[Offer, ...]
    useful: tuple[tuple[Offer, int], ...] = ()
    special: tuple[Offer, ...] = ()

    def least_cents(self, missing_cents: int) -> int | None:
        """Return the least sum of fillers that is not below what is missing, cents; None where none is known."""
        above = self.reached >> max(0, missing_cents)
        return None if above == 0 else missing_cents + _lowest_bit(above)

    def runs(self) -> Iterator[Run]:
        """Yield the sums above zero that can be reached, those that follow one another as one."""
        rest, start = self.reached >> 1, 1
        while rest:
            gap = _lowest_bit(rest)
            rest, start = rest >> gap, start + gap
            length = _lowest_bit(~rest)
            yield Run(start, start + length - 1)
            rest, start = rest >> length, start + length

    def _count_runs(self) -> int:
        """Count the runs without laying them out: of long bit sets that takes seconds."""
        above_zero = self.reached & ~1
        return (above_zero & ~(above_zero << 1)).bit_count()

    def stand_ins(self) -> list[tuple[Offer, int, int]]:
        """Return lines that stand for the fillers in a model, each with the fewest and the most packs of it.

        They are the runs of sums, or the lines that reach all of them, whichever are fewer; then the special orders.
        """
        own = [(offer, offer.minimum_packs, _most_packs(offer, self.limit_cents)) for offer in self.special]
        return [*self._without_special(), *own]

    def _without_special(self) -> list[tuple[Offer, int, int]]:
        if self._count_runs() <= len(self.lines):
            one_cent = Offer(self.supplier.name, SUM_OF_FILLERS, (PriceTier(1, 1),))
            return [(one_cent, run.low_cents, run.high_cents) for run in self.runs()]
        return [(offer, offer.minimum_packs, _most_packs(offer, self.limit_cents)) for offer in self.lines]

    def pick(self, cents: int) -> tuple[OrderLine, ...]:
        """Return lines that come to exactly so much, which can be reached; of several sets that of the most use."""
        packs_of_use = dict(self.useful[:MOST_USEFUL])
        offers = list(dict.fromkeys([*packs_of_use, *self.lines]))
        rest = [1] * (len(offers) + 1)
        for place in range(len(offers) - 1, -1, -1):
            rest[place] = _with_line(rest[place + 1], offers[place], cents)
        picked = []
        for offer, after in zip(offers, rest[1:], strict=True):
            packs = next(
                packs for packs, own in _tried(offer, cents, packs_of_use.get(offer, 0)) if after >> (cents - own) & 1
            )
            cents -= packs and packs * offer.price_cents(packs)
            if packs:
                picked.append(OrderLine(offer, packs, filler_packs=packs))
        return tuple(picked)


def _tried(offer: Offer, cents: int, useful: int) -> Iterator[tuple[int, int]]:
    """Yield packs of a line with what they cost: as many as are of use first, then fewer, then more than that."""
    most = _most_packs(offer, cents)
    wanted = [packs for packs in range(min(useful, most), 0, -1) if packs >= offer.minimum_packs]
    more = range(max(useful + 1, offer.minimum_packs), most + 1)
    for packs in (*wanted, 0, *more):
        own = packs and packs * offer.price_cents(packs)
        if own <= cents:
            yield packs, own


def find_fillers(
    sources: Sequence[Source], needed: Collection[str], supply: Supply, *, special_too: bool = False
) -> dict[str, Fillers]:
    """Return by supplier what its fillers can come to, where it has a threshold that they may reach.

    Parameters
    ----------
    sources
        Every line that can be bought.
    needed
        The parts that engines may take: lines that bring any of them are in the model anyway.
    supply
        Where suppliers' terms are found.
    special_too
        Special orders may fill as well.
    """
    spare: dict[str, list[Source]] = defaultdict(list)
    asked = {name for name, terms in supply.suppliers.items() if terms.asks_for_a_sum}
    for source in sources:
        offer = source.offer
        may_fill = special_too or not offer.special_order
        if offer.supplier in asked and may_fill and source.pieces_per_pack.keys().isdisjoint(needed):
            spare[offer.supplier].append(source)
    found = (_most_fillers(supply.supplier(name), own) for name, own in spare.items())
    return {each.supplier.name: each for each in found if each.lines or each.special}


def _most_fillers(terms: Supplier, sources: Sequence[Source]) -> Fillers:
    """Return what fillers can come to where it is not known yet what is missing."""
    paid = _paid(sources)
    limit_cents = min(_most_that_pays(terms, [source.offer for source in paid]), MOST_CENTS)
    found = fillers_up_to(limit_cents, terms, [source for source in paid if not source.offer.special_order])
    special = [source for source in paid if source.offer.special_order]
    return replace(found, special=tuple(_worth_counting(special, found))) if special else found


def _worth_counting(special: Sequence[Source], found: Fillers) -> Iterator[Offer]:
    """Yield special orders with which a sum is reached that is not without them, or not with so few of them.

    Bit n of `reached[k]` is set where n cents can be with k special orders or fewer.
    """
    reached = [found.reached]
    for offer in _cheapest_first(special):
        wider = [_with_line(bits, offer, found.limit_cents) for bits in reached]
        after = [reached[0], *(more | bits for more, bits in zip(wider, [*reached[1:], wider[-1]], strict=True))]
        if after[-1] == reached[-1]:
            after.pop()
        if after != reached:
            yield offer
        reached = after


def _paid(sources: Sequence[Source]) -> list[Source]:
    return [source for source in sources if all(tier.price_cents > 0 for tier in source.offer.tiers)]


def fillers_up_to(
    limit_cents: int, terms: Supplier, sources: Sequence[Source], useful: Mapping[str, Useful] = NOTHING_USEFUL
) -> Fillers:
    """Return what lines can come to up to a sum.

    Parameters
    ----------
    limit_cents
        The sum.
    terms
        The supplier.
    sources
        His lines, in a fixed order.
    useful
        What parts are of use for beyond the engines, by part number.
    """
    bought = _paid(sources)
    reached = 1
    lines: list[Offer] = []
    for offer in _cheapest_first(bought):
        wider = _with_line(reached, offer, limit_cents)
        if wider != reached:
            lines.append(offer)
            reached = wider
    return Fillers(terms, reached, limit_cents, tuple(lines), tuple(_most_useful_first(bought, useful)))


def _cheapest_first(sources: Sequence[Source]) -> list[Offer]:
    """Return the lines by the least that they come to, one of those that cost alike."""
    alike = {(source.offer.tiers, source.offer.minimum_packs): source.offer for source in reversed(sources)}
    return sorted(alike.values(), key=lambda each: (_least_cents(each), each.part))


def _most_useful_first(sources: Sequence[Source], useful: Mapping[str, Useful]) -> list[tuple[Offer, int]]:
    """Return the lines of use with how many of their packs are, the most useful first."""
    ranked = []
    for source in sources:
        (part, pieces), *others = source.pieces_per_pack.items()
        use = useful.get(part)
        if use is not None and not others:
            ranked.append((use.rank, source.offer, max(1, use.wanted // pieces)))
    ranked.sort(key=lambda each: each[0], reverse=True)
    return [(offer, packs) for _, offer, packs in ranked]


def _most_that_pays(terms: Supplier, offers: Sequence[Offer]) -> int:
    """Return a sum above which fillers never pay, cents.

    For free freight that is less than the freight. For a minimum order it may be all of it, up to the next sum that
    can be reached; and on top of that what saves the freight.
    """
    saved = max(0, terms.freight_cents - 1) if terms.free_freight_over_cents is not None else 0
    if terms.minimum_order_cents == 0:
        return saved
    return terms.minimum_order_cents + saved + min(map(_least_cents, offers), default=0)


def _least_cents(offer: Offer) -> int:
    return offer.minimum_packs * offer.price_cents(offer.minimum_packs)


def _most_packs(offer: Offer, limit_cents: int) -> int:
    """Return the most packs of a line that cost no more than a sum."""
    starts = [tier.from_packs for tier in offer.tiers[1:]]
    ends: list[float] = [*(start - 1 for start in starts), float("inf")]
    most = [
        int(min(end, limit_cents // tier.price_cents))
        for tier, end in zip(offer.tiers, ends, strict=True)
        if max(tier.from_packs, offer.minimum_packs) * tier.price_cents <= limit_cents
    ]
    return max(most, default=0)


def _with_line(reached: int, offer: Offer, limit_cents: int) -> int:
    """Return the sums that can be reached with one line more, none of it among them, up to a limit."""
    everything = (1 << (limit_cents + 1)) - 1
    most, wider = _most_packs(offer, limit_cents), reached
    starts = [*(tier.from_packs for tier in offer.tiers[1:]), most + 1]
    for tier, following in zip(offer.tiers, starts, strict=True):
        fewest, last = max(tier.from_packs, offer.minimum_packs), min(following - 1, most)
        if fewest <= last:
            one_to_all = _repeated(reached, tier.price_cents, last - fewest)
            wider |= one_to_all << (fewest * tier.price_cents) & everything
    return wider


def _repeated(bits: int, step: int, times: int) -> int:
    """Return the bits shifted by none, one, and up to so many steps, all together."""
    done = 0
    while done < times:
        more = min(done + 1, times - done)
        bits |= bits << (more * step)
        done += more
    return bits


def _lowest_bit(bits: int) -> int:
    return (bits & -bits).bit_length() - 1
