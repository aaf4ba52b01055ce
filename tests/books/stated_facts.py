"""Made-up facts of a shop, for books that are built, written, read and compared."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from stackopt.books.facts.book_records import Books, Service
from stackopt.engine.engine_records import Cylinder, Engine, Match, Window
from stackopt.parts.part_records import Kind, Kit, Offer, Part, PriceTier, StockLine, Supplier, Supply, Usage
from tests.books.whole_books import records_by_role

LETTERS = "ABCDEFGHKLMNPRSTUVXZ"
FAMILIES = ("KV82", "RK88", "PT72", "SV95")
SUPPLIERS = ("Quillhaven", "Dorfmoos", "Varnik", "=Nine & Sons", "@Ober-Rieth")
HARMLESS = st.text(alphabet=LETTERS.lower() + " -/()", min_size=1, max_size=12).map(
    lambda text: " ".join(f"x{text}x".split())
)
TROUBLE = st.sampled_from(
    ["=1+1", "+41 79", "-5 % in May", "@SUM(A1)", "'quoted'", 'say "thick"', "a;b,c|d", "Größe 3"]
)
TEXTS = HARMLESS | TROUBLE

# None eight times another, which would be asked about.
hundredths = st.integers(21, 160).map(lambda n: n / 100)
# None forty times another, which would be asked about.
cents = st.integers(400, 12_000)


def numbers(prefix: str) -> st.SearchStrategy[str]:
    """Part numbers as shops write them: some with dashes and blanks, some with leading zeros, some like a formula."""
    shapes = st.sampled_from(["{p}-{n}", "{p} {n}", "{p}{n}/2", "0{n}{p}", "+{p}-{n}", "={p}{n}"])
    return st.builds(lambda shape, n: shape.format(p=prefix, n=n), shapes, st.integers(10, 9999))


families = st.frozensets(st.sampled_from(FAMILIES), min_size=1, max_size=3) | st.just(frozenset({"*"}))


@st.composite
def parts(draw: st.DrawFn, prefix: str) -> Part:
    kind = draw(st.sampled_from(Kind))
    number = draw(numbers(prefix))
    described = draw(st.just("") | TEXTS)
    if kind in (Kind.KIT, Kind.PISTON):
        crown = draw(st.none() | st.integers(-80, 80).map(lambda n: n / 10)) if kind is Kind.PISTON else None
        return Part(number, kind, draw(families), crown_volume_cc=crown, description=described)
    opening = draw(st.none() | st.integers(700, 1100).map(lambda n: n / 10)) if kind is Kind.HEAD_GASKET else None
    return Part(
        number,
        kind,
        draw(families),
        thickness_mm=draw(hundredths),
        tolerance_mm=draw(st.sampled_from([0.0, 0.02, 0.03])),
        opening_mm=opening,
        covers=draw(st.sampled_from([1, 1, 2])),
        position=draw(st.sampled_from(["", "", "front", "rear"])),
        material=draw(st.sampled_from(["", "aramid", "steel"])),
        description=described,
    )


@st.composite
def stock_lines(draw: st.DrawFn, number: str) -> StockLine:
    on_order = draw(st.sampled_from([0, 0, 0, 4]))
    return StockLine(
        number,
        draw(st.integers(0, 40)),
        unit_cost_cents=draw(st.just(0) | cents),
        minimum=draw(st.none() | st.integers(0, 9)),
        maximum=draw(st.none() | st.integers(0, 20)),
        bin=draw(st.sampled_from(["", "A1-2", "B7"])),
        on_order=on_order,
        expected=draw(st.sampled_from([None, date(2027, 2, 12)])) if on_order else None,
    )


@st.composite
def offers(draw: st.DrawFn, part: str) -> Offer:
    breaks = draw(st.lists(st.integers(2, 20), unique=True, max_size=2).map(sorted))
    return Offer(
        draw(st.sampled_from(SUPPLIERS)),
        part,
        (PriceTier(1, draw(cents)), *(PriceTier(start, draw(cents)) for start in breaks)),
        supplier_part=draw(st.just("") | numbers("Q")),
        pack=draw(st.sampled_from([1, 2, 10])),
        minimum_packs=draw(st.sampled_from([1, 3])),
        lead_days=draw(st.integers(0, 60)),
        special_order=draw(st.booleans()),
        discontinued=draw(st.booleans()),
        superseded_by=draw(st.just("") | numbers("N")),
    )


def window(low: int, high: int, scale: int) -> st.SearchStrategy[Window]:
    ends = st.lists(st.integers(low, high), min_size=3, max_size=3).map(sorted)
    return ends.map(lambda three: Window(three[0] / scale, three[2] / scale, three[1] / scale))


@st.composite
def engines(draw: st.DrawFn, name: str) -> Engine:
    def cylinder(called: str) -> Cylinder:
        quench = draw(st.none() | window(50, 120, 100))
        compression = draw(window(80, 120, 10)) if quench is None else draw(st.none() | window(80, 120, 10))
        return Cylinder(
            called,
            draw(st.integers(700, 1050)) / 10,
            78.0,
            draw(st.integers(-40, 40)) / 100,
            chamber_volume_cc=draw(st.integers(250, 900)) / 10,
            piston_volume_cc=draw(st.integers(-60, 90)) / 10,
            band_recess_mm=draw(st.sampled_from([0.0, 0.2, -0.1])),
            quench=quench,
            compression=compression,
        )

    names = draw(st.sampled_from([("front", "rear"), ("left", "right")]))
    return Engine(
        name,
        draw(st.sampled_from(FAMILIES)),
        tuple(map(cylinder, names)),
        due=draw(st.none() | st.dates(date(2027, 1, 1), date(2028, 1, 1))),
        priority=draw(st.integers(1, 5)),
        shims=draw(st.sampled_from([0, 2])),
        opening_margin_mm=draw(st.sampled_from([0.0, 1.0])),
        match=Match(draw(st.sampled_from([None, 0.13])), draw(st.sampled_from([None, 0.1]))),
        pinned=draw(st.sampled_from([{}, {names[0]: ("BG-1", "HG-2")}])),
    )


def _unlike(one: object, key: str) -> str:
    return str(getattr(one, key)).casefold()


@st.composite
def shops(draw: st.DrawFn) -> Books:
    """Return everything that a shop's books may say; every part offered is described by the shelf or by the offer."""
    stocked = draw(st.lists(parts("S"), max_size=6, unique_by=lambda part: _unlike(part, "number")))
    bought = draw(st.lists(parts("B"), max_size=4, unique_by=lambda part: _unlike(part, "number")))
    everything = {part.number: part for part in [*stocked, *bought]}
    lines = {part.number: draw(stock_lines(part.number)) for part in stocked}
    offered = [draw(offers(number)) for number in everything if number not in lines or draw(st.booleans())]
    kits = {
        part.number: Kit(part.number, {content.number: draw(st.integers(1, 4)) for content in stocked[:2]})
        for part in everything.values()
        if part.kind is Kind.KIT and stocked
    }
    suppliers = {
        name: Supplier(name, draw(cents), draw(st.none() | cents), draw(st.just(0) | cents))
        for name in draw(st.sets(st.sampled_from(SUPPLIERS)))
    }
    names = draw(st.lists(numbers("J"), max_size=2, unique_by=str.casefold))
    supply = Supply(everything, lines, tuple(offered), suppliers, kits)
    usage = draw(
        st.lists(
            st.builds(Usage, numbers("U"), st.dates(date(2025, 1, 1), date(2027, 1, 1)), st.integers(1, 9)), max_size=3
        )
    )
    services = [Service("head cut", draw(cents), "cylinder")] if draw(st.booleans()) else []
    return made_up(supply, tuple(draw(engines(name)) for name in names), tuple(usage), tuple(services))


def made_up(
    supply: Supply, engines: tuple[Engine, ...], usage: tuple[Usage, ...], services: tuple[Service, ...]
) -> Books:
    """Return books whose supply is made up, not read."""
    books = Books(engines=engines, usage=usage, services=services)
    books.__dict__["supply"] = supply  # where a supply stands that was worked out before
    return books


def is_empty(books: Books) -> bool:
    return not any(records_by_role(books).values())


def made_up_shops(most: int) -> list[Books]:
    """The same shops in every run, none of them empty, so that a failure can be looked at."""
    made: list[Books] = []

    @settings(
        max_examples=most,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(shops())
    def make(said: Books) -> None:
        if not is_empty(said):
            made.append(said)

    make()
    return made


def exact(number: float) -> str:
    """Return a number as a person writes it, with a point and no more digits than it has."""
    return format(Decimal(repr(number)).normalize(), "f")
