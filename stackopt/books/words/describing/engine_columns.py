"""The columns of an engines sheet: one row a cylinder, its measures and its windows."""

from __future__ import annotations

from stackopt.books.words.vocabulary import Column, Measure, RoleColumns, by_name, either

ENGINES = RoleColumns(
    by_name(
        Column("engine", ("engine number", "job", "job number", "engine name")),
        Column("family", ("engine family", "family code", "engine code")),
        Column("cylinder", ("cylinder name", "position")),
        Column("bore", ("cylinder bore", "bore diameter"), Measure.LENGTH),
        Column("stroke", (), Measure.LENGTH),
        Column("deck", ("deck height", "deck reading", "piston deck", "deck measure"), Measure.LENGTH),
        Column("deck side", ("side", "proud below", "proud or below", "above below")),
        Column(
            "rod length", either("rod, connecting rod, connecting rod length, conrod, conrod length"), Measure.LENGTH
        ),
        Column(
            "chamber volume",
            either("chamber, head volume, combustion chamber, combustion chamber volume"),
            Measure.VOLUME,
        ),
        Column(
            "piston volume",
            either(
                "crown volume, piston crown volume, piston crown, piston, crown, dome, dome volume, dome dish, "
                "piston dome, piston dome volume"
            ),
            Measure.VOLUME,
        ),
        Column(
            "dish volume",
            either("dish, piston dish, piston dish volume, relief volume, valve relief volume, valve pocket volume"),
            Measure.VOLUME,
        ),
        Column("crevice volume", ("crevice",), Measure.VOLUME),
        Column("band recess", ("quench recess", "recess", "quench band recess"), Measure.LENGTH),
        Column("quench min", ("quench minimum", "minimum quench", "quench from"), Measure.LENGTH),
        Column("quench max", ("quench maximum", "maximum quench"), Measure.LENGTH),
        Column("quench aim", ("aim quench", "quench target", "target quench"), Measure.LENGTH),
        Column("quench band", ("band",)),
        Column("quench chance", ("least quench chance", "chance", "least chance")),
        Column("compression min", ("compression minimum", "minimum compression", "compression ratio minimum")),
        Column("compression max", ("compression maximum", "maximum compression", "compression ratio maximum")),
        Column(
            "compression aim", either("aim compression, compression target, target compression, compression ratio aim")
        ),
        Column("match quench", ("quench match",), Measure.LENGTH),
        Column("match compression", ("compression match",)),
        Column("shims", ("base shims", "shims allowed")),
        Column("opening margin", ("gasket opening margin",), Measure.LENGTH),
        Column("due", ("due date", "due on", "wanted by", "needed by")),
        Column("priority", ("weight",)),
        Column("pinned", ("already fitted", "pinned part")),
    ),
    key="engine",
    weight=("cylinder",),
    marks=(frozenset({"bore"}), frozenset({"cylinder"})),
    required=(("engine",), ("family",), ("cylinder",), ("bore",), ("stroke",), ("deck",)),
    grouping=("engine", "family"),
)
