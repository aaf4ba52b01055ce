"""Kinds of parts, and the words for nothing, in other languages than English."""

from __future__ import annotations

from collections.abc import Mapping

from stackopt.parts.part_records import Kind

_TEXTS: Mapping[Kind, tuple[str, ...]] = {
    Kind.BASE_GASKET: (
        "fußdichtung, fußdichtungen, fussdichtung, fussdichtungen, zylinderfußdichtung, zylinderfussdichtung",
        "zylinderfußdichtungen, joint d'embase, joints d'embase",
        "joint d embase, joint de pied de cylindre, joint d’embase",
        "guarnizione base, guarnizioni base, guarnizione base cilindro",
        "guarnizione di base, junta base, junta de base",
        "juntas de base, junta base cilindro, junta de base de cilindro, junta da base, junta da base do cilindro",
        "voetpakking, voetpakkingen, cilindervoetpakking, fotpackning, cylinderfotpackning, fodpakning, fotpakning",
        "bundpakning, uszczelka pod cylinder, uszczelka podstawy cylindra, těsnění pod válec",
    ),
    Kind.HEAD_GASKET: (
        "kopfdichtung, kopfdichtungen, zylinderkopfdichtung, zylinderkopfdichtungen, zkd, joint de culasse",
        "joints de culasse, guarnizione testa, guarnizioni testa, guarnizione testata, guarnizione di testa",
        "junta culata, junta de culata, juntas de culata",
        "junta da cabeça, junta do cabeçote, koppakking, koppakkingen",
        "cilinderkoppakking, topplockspackning, toppackning, topppakning, toppakning, uszczelka głowicy",
        "uszczelka pod głowicę, těsnění pod hlavu, těsnění hlavy",
    ),
    Kind.BASE_SHIM: (
        "fußscheibe, fussscheibe, distanzblech, ausgleichsblech",
        "cale d'embase, cale d’embase, spessore base, suplemento base",
    ),
    Kind.PISTON: (
        "kolben, pistons, pistone, pistoni, pistón, pistones, pistão, zuiger, zuigers, kolv, stempel, tłok, píst",
    ),
    Kind.KIT: (
        "satz, dichtsatz, dichtungssatz, pochette",
        "pochette de joints, jeu de joints, kit guarnizioni, serie guarnizioni",
        "juego de juntas, jogo de juntas, pakkingset, packningssats, pakningssæt, pakningssett, zestaw uszczelek",
    ),
}
KINDS_ABROAD: Mapping[str, Kind] = {
    word: kind for kind, texts in _TEXTS.items() for text in texts for word in text.split(", ")
}
