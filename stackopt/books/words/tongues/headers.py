"""Headers of columns in German, French, Italian, Spanish, Portuguese, Dutch, Scandinavian, Polish, Czech and others.

A word stands under the column that it means in a list of parts or of prices. One that means two things there, as
"Lager", stands under none: its column is asked about.
"""

from __future__ import annotations

from collections.abc import Mapping

# Words that mean a part number only where no plainer word stands beside them.
VAGUE_ABROAD = frozenset(
    {
        "artikel",
        "teil",
        "nummer",
        "pièce",
        "codice",
        "código",
        "kod",
        "indeks",
        "référence",
        "referencia",
        "référ",
        "réf",
    }
)
_TEXTS: Mapping[str, tuple[str, ...]] = {
    "part number": (
        "artikelnummer, artikel number, artikelnr, art number",
        "artnr, teilenummer, teile number, teilenr, teil number",
        "ersatzteilnummer, ersatzteil number, sachnummer, materialnummer, bestellnummer, bestell number, best number",
        "bestellnr, artikel, teil, nummer, référence, réf, reférence, référence article, code article, n article",
        "numéro article, numéro d article, n d article, numéro de pièce, n pièce, n de pièce, pièce, codice",
        "codice articolo, cod articolo, codice ricambio, numero articolo",
        "articolo, referencia, código, código artículo",
        "numero de pieza, número de pieza, número de parte, artículo, referência, código da peça, número da peça",
        "onderdeelnummer, onderdeel number, onderdeelnr, varenummer, vare number, varenr, delenummer, del number",
        "reservdelsnummer, reservedelsnummer, numer części",
        "number części, numer katalogowy, number katalogowy, indeks",
        "kod, číslo dílu, katalogové číslo, tuotenumero, cikkszám, parça number, stok kodu, cat number",
    ),
    "kind": (
        "art, typ, teileart, art des teils, type de pièce, genre",
        "catégorie, nature, tipo, tipologia, categoria, tipo de",
        "tipo de pieza, clase, categoría, tipo de peça, soort, categorie, rodzaj, druh, tyyppi, típus, tip, slag",
    ),
    "fits": (
        "passend für, passend zu, passt zu, passt für, passt auf",
        "motor, motortyp, motorentyp, für motor, motorfamilie",
        "moteur, type moteur, pour moteur, compatible avec, compatibilité, convient à, convient pour, motore",
        "tipo motore, per motore, compatibile con, adatto per, adatto, applicazione, aplicación, para motor",
        "compatible con, tipo de motor, aplicação, serve para, geschikt voor, past op, toepassing, motortype",
        "passar, passar till, passer til, passer, pasuje do, silnik, moottori",
    ),
    "thickness": (
        "dicke, stärke, staerke, materialstärke, dicke verpresst, verpresste dicke, dicke eingebaut, einbaudicke",
        "eingebaute dicke, dicke montiert, épaisseur, epaisseur, ép, épaisseur comprimée, épaisseur serrée",
        "épaisseur montée, spessore, spessore schiacciato, spessore compresso, spessore montato, espesor, grosor",
        "espesor comprimido, espesor montado, espessura, dikte",
        "dikte gemonteerd, dikte ingedrukt, tjocklek, tykkelse",
        "tykkelse montert, grubość, grubosc, tloušťka, paksuus, vastagság, kalınlık",
    ),
    "free thickness": (
        "dicke unverpresst, unverpresste dicke, dicke frei, freie dicke, dicke neu, rohdicke, épaisseur libre",
        "épaisseur neuve, épaisseur non comprimée, spessore libero, espesor libre, espessura livre, dikte vrij",
    ),
    "thickness tolerance": ("toleranz, tolérance, tolleranza, tolerancia, tolerância, tolerantie, toleranse",),
    "opening": (
        "innendurchmesser, innen diameter, öffnung",
        "diamètre intérieur, diameter intérieur, ouverture, diametro interno",
        "diameter interno, diámetro interior, diámetro interno, diâmetro interno, binnendiameter, innerdiameter",
        "indvendig diameter, innvendig diameter, średnica wewnętrzna, vnitřní průměr",
    ),
    "material": ("werkstoff, matériau, matière, materiale, materiaal, materiał, materiál",),
    "description": (
        "bezeichnung, artikelbezeichnung, beschreibung, benennung, désignation, designation, description, libellé",
        "descrizione, denominazione, descripción, denominación, descrição, omschrijving, benämning, beskrivning",
        "beskrivelse, betegnelse, opis, nazwa, popis, název, nimike",
    ),
    "on hand": (
        "bestand, bestand stk, bestand stück, lagerbestand, ist bestand, istbestand, bestand ist",
        "vorrat, vorhanden, am lager, auf lager, stückzahl",
        "anzahl, menge, stück, stk, en stock, stock actuel",
        "stock réel, quantité, qté, qte, quantité en stock, quantità",
        "qtà, qta, giacenza, scorta, esistenza, existencias, cantidad, cant, stock actual, unidades, quantidade, qtd",
        "estoque, existência, stock atual, voorraad, op voorraad, aantal, lagersaldo, saldo, antal, antall, på lager",
        "beholdning, lagerbeholdning, ilość, stan, stan magazynowy",
        "skladem, množství, počet, varasto, määrä, készlet",
        "mennyiség, stok, adet",
    ),
    "reserved": (
        "reserviert, réservé, réservés, riservato, reservado, gereserveerd, reserverad, reserveret, reservert",
    ),
    "unit cost": (
        "einkaufspreis, ek, ek netto, ek preis, einstandspreis, stückkosten, kosten, prix d achat, coût",
        "coût unitaire, costo, costo unitario",
        "prezzo d acquisto, coste, coste unitario, precio de compra, custo, custo unitário",
        "inkoopprijs, kostprijs, inköpspris, indkøbspris, innkjøpspris, cena zakupu, nákupní cena",
    ),
    "on order": (
        "bestellt, im zulauf, offene bestellung, bestellbestand",
        "en commande, commandé, ordinato, ordinati, en pedido",
        "encomendado, besteld, beställt, bestilt, zamówione, objednáno",
    ),
    "expected": (
        "erwartet, erwartet am, liefertermin, lieferdatum, eintreffen, attendu, attendu le, date prévue",
        "previsto, fecha prevista, verwacht, ventet, förväntas",
    ),
    "min": (
        "mindestbestand, minimum bestand, meldebestand",
        "minimum lagerbestand, minimalbestand, stock mini, stock minimum",
        "stock minimal, seuil, scorta minima, minimo, stock mínimo, mínimo, estoque mínimo, minimum voorraad",
        "minimumvoorraad, minimumsbeholdning, stan minimalny, minimalny stan",
    ),
    "max": (
        "höchstbestand, maximum bestand, maximalbestand, stock maxi, stock maximum, stock maximal, scorta massima",
        "massimo, stock máximo, máximo, maximum voorraad, stan maksymalny",
    ),
    "bin": (
        "lagerplatz, lagerort, lagerfach, fach, regal, regalplatz, emplacement, casier, rayon, rangement, ubicazione",
        "scaffale, ubicación, estante, estantería, localização",
        "prateleira, locatie, magazijnlocatie, vak, plaats, schap",
        "plats, hylla, lagerplats, placering, plassering, hylde, hylle, lokalizacja, półka, umístění, hyllypaikka",
    ),
    "unit": ("mengeneinheit, unité, unità, um, unidad, unidade, eenheid, enhet, enhed, jednostka, jednotka",),
    "currency": ("devise, monnaie, moneda, divisa, moeda, valuta, waluta, měna",),
    "status": ("zustand, statut, état, stato, estado",),
    "supplier": (
        "lieferant, anbieter, fournisseur, fornitore, proveedor, fornecedor, leverancier, leverantör, leverandør",
        "dostawca, dodavatel, toimittaja, beszállító, tedarikçi",
    ),
    "supplier part number": (
        "lieferantenartikelnummer, lieferanten artikelnummer, lieferanten artikel number, artikelnummer lieferant",
        "réf fournisseur, référence fournisseur, ref fournisseur, codice fornitore, referencia proveedor",
        "artikelnummer leverancier, leverandørens varenummer, numer dostawcy",
    ),
    "price": (
        "preis, nettopreis, netto preis, preis netto, listenpreis, ek, ek preis, ek netto, einkaufspreis, händlerpreis",
        "preis excluding vat, preis including vat, preis mit vat, prix, prix net, prix ht, prix ttc, tarif",
        "tarif ht, prix catalogue, prezzo, prezzo netto",
        "prezzo listino, prezzo di listino, prezzo senza vat, prezzo vat inclusa, prezzo vat esclusa",
        "precio, precio neto, precio sin vat, precio con vat, preço sem vat, preço com vat",
        "precio de lista, preço, preço líquido, prijs",
        "nettoprijs, prijs excluding vat, pris, nettopris, pris excluding vat, pris including vat",
        "cena, cena netto, hinta, ár, fiyat",
    ),
    "price each": (
        "stückpreis, einzelpreis, preis pro stück, preis je stück, prix unitaire, prix unitaire ht, pu, pu ht",
        "prix à l unité, prix la pièce, prezzo unitario, precio unitario, preço unitário, stuksprijs, prijs per stuk",
        "styckpris, stykpris, stykkpris, cena jednostkowa, cena za sztukę, cena za kus",
    ),
    "pack": (
        "packung, packungsgröße, packungsinhalt, stück pro packung, stück je packung",
        "conditionnement, pièces par paquet, confezione, pezzi per confezione, unidades por paquete, embalagem",
        "verpakking, stuks per verpakking, per verpakking, förpackning, pakning størrelse, opakowanie, balení",
    ),
    "minimum quantity": (
        "mindestbestellmenge, mindestmenge, mindestabnahme, quantité minimum, quantité minimale, qté minimum",
        "quantità minima, cantidad mínima, quantidade mínima, minimum afname, minimale afname, minsta antal",
        "minsteantall, minimumsantal, minimalna ilość",
    ),
    "minimum order sum": ("mindestbestellwert, valore minimo ordine, importe mínimo",),
    "lead days": (
        "lieferzeit, lieferfrist, délai, délai de livraison, délai livraison, consegna, tempi di consegna",
        "tempo di consegna, plazo, plazo de entrega, entrega, prazo, prazo de entrega, levertijd, leveranstid",
        "leveringstid, czas dostawy, termin dostawy, dodací lhůta, dodací doba, toimitusaika, szállítási idő",
    ),
    "special order": (
        "sonderbestellung, auf bestellung, sur commande, su ordinazione, bajo pedido, sob encomenda, op bestelling",
    ),
    "discontinued": (
        "ausgelaufen, auslaufartikel, nicht mehr lieferbar, arrêté, supprimé, fuori produzione, descatalogado",
        "descontinuado, vervallen, utgått, utgået, utgått av sortiment, wycofany",
    ),
    "superseded by": ("ersetzt durch, nachfolgeartikel, remplacé par, sostituito da, sustituido por, vervangen door",),
    "discount": ("remise, sconto, descuento, dto, desconto, korting, sleva, alennus",),
    "price per": ("preiseinheit, preis pro, preis je, prix pour, prezzo per, precio por",),
    "freight": (
        "fracht, frachtkosten, versand, versandkosten, porto, frais de port, trasporto, spese di trasporto, portes",
        "vrachtkosten, verzendkosten, fragt, frakt",
    ),
    "free freight over": ("frachtfrei ab, versandfrei ab, franco, franco de port, porto franco",),
    "date": ("datum, date, data, fecha, dato, päivä, entnahmedatum, entnommen am, verbraucht am, ausgabedatum",),
    "quantity": (
        "entnommen, verbraucht, verbrauch, entnahmemenge, ausgegeben, sortie, consommé",
        "menge, anzahl, stück, quantité, qté, quantità, cantidad, quantidade, aantal, antal, antall, ilość",
    ),
    "kit": ("satz, dichtsatz, dichtungssatz, pochette, jeu, kit guarnizioni, juego, jogo, pakkingset",),
}
HEADERS_ABROAD: Mapping[str, tuple[str, ...]] = {
    name: tuple(word for text in texts for word in text.split(", ")) for name, texts in _TEXTS.items()
}
