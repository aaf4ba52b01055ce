"""Books that mean harm or are broken, each built by a function of its own: bytes of a file."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Callable
from functools import partial

from tests.full import usual_or_full

CONTENT_TYPES = (
    '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Override PartName="/xl/workbook.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
    '<Override PartName="/xl/worksheets/sheet1.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>'
)
RELATIONS = (
    '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="r1" Target="{target}" '
    'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/{kind}"/></Relationships>'
)
WORKBOOK = (
    '<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" '
    'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">'
    '<sheets><sheet name="S" sheetId="1" r:id="r1"/></sheets></workbook>'
)
SHEET_START = (
    '<?xml version="1.0"?>{declaration}<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    '<dimension ref="{dimension}"/><sheetData>'
)
SHEET_END = "</sheetData></worksheet>"
HEADER = ("Part number", "Kind", "Thickness (mm)", "On hand")


def text_row(number: int, texts: tuple[str, ...]) -> str:
    cells = (
        f'<c r="{chr(65 + column)}{number}" t="inlineStr"><is><t>{text}</t></is></c>'
        for column, text in enumerate(texts)
    )
    return f'<row r="{number}">{"".join(cells)}</row>'


def xlsx_of(sheet: bytes, extra: dict[str, bytes] | None = None) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", CONTENT_TYPES)
        archive.writestr("_rels/.rels", RELATIONS.format(target="xl/workbook.xml", kind="officeDocument"))
        archive.writestr("xl/workbook.xml", WORKBOOK)
        archive.writestr(
            "xl/_rels/workbook.xml.rels", RELATIONS.format(target="worksheets/sheet1.xml", kind="worksheet")
        )
        archive.writestr("xl/worksheets/sheet1.xml", sheet)
        for name, part in (extra or {}).items():
            archive.writestr(name, part)
    return packed.getvalue()


def sheet_of(rows: str, declaration: str = "", dimension: str = "A1:D3") -> bytes:
    start = SHEET_START.format(declaration=declaration, dimension=dimension)
    return (start + text_row(1, HEADER) + text_row(2, ("B", "shim", "0.5", "1")) + rows + SHEET_END).encode()


def bomb() -> bytes:
    """Two GiB of blanks in a sheet of two MiB."""
    packed = io.BytesIO()
    squeeze = zlib.compressobj(9, zlib.DEFLATED, -15)
    blanks = b" " * (1 << 20)
    # After a full flush the next mebibyte is squeezed to the same bytes again.
    body = (squeeze.compress(blanks) + squeeze.flush(zlib.Z_FULL_FLUSH)) * 2048 + squeeze.flush()
    name = b"xl/worksheets/sheet1.xml"
    crc = 0
    for _ in range(4):
        crc = zlib.crc32(blanks, crc)
    size = 2048 << 20
    local = struct.pack("<4sHHHHHIIIHH", b"PK\3\4", 20, 0, 8, 0, 0x21, crc, len(body), size, len(name), 0) + name
    packed.write(local + body)
    start = packed.tell()
    packed.write(
        struct.pack(
            "<4sHHHHHHIIIHHHHHII", b"PK\1\2", 20, 20, 0, 8, 0, 0x21, crc, len(body), size, len(name), 0, 0, 0, 0, 0, 0
        )
        + name
    )
    packed.write(struct.pack("<4sHHHHIIH", b"PK\5\6", 0, 0, 1, 1, packed.tell() - start, start, 0))
    return packed.getvalue()


def lying_bomb() -> bytes:
    """The same, its directory claiming that it unpacks to a hundred bytes."""
    whole = bytearray(bomb())
    directory = whole.rindex(b"PK\1\2")
    whole[directory + 24 : directory + 28] = struct.pack("<I", 100)
    whole[22:26] = struct.pack("<I", 100)
    return bytes(whole)


def far_cell() -> bytes:
    return xlsx_of(sheet_of('<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'))


def far_row() -> bytes:
    return xlsx_of(sheet_of('<row r="1048576"><c r="Z1048576"><v>1</v></c></row>'))


def too_many_rows() -> bytes:
    """A text of 27 MiB whose every row is a part of its own."""
    return b"part number,kind,thickness (mm),on hand\n" + b"".join(b"B%d,shim,.5,1\n" % n for n in range(1_700_000))


def huge_dimension() -> bytes:
    return xlsx_of(sheet_of("", dimension="A1:XFD1048576"))


def entities() -> bytes:
    levels = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 10))
    declaration = f'<!DOCTYPE worksheet [<!ENTITY e0 "ha">{levels}]>'
    row = '<row r="3"><c r="A3" t="inlineStr"><is><t>&e9;</t></is></c></row>'
    return xlsx_of(sheet_of(row, declaration))


def outside_entity() -> bytes:
    declaration = '<!DOCTYPE worksheet [<!ENTITY file SYSTEM "file:///etc/passwd">]>'
    row = '<row r="3"><c r="A3" t="inlineStr"><is><t>&file;</t></is></c></row>'
    return xlsx_of(sheet_of(row, declaration))


def empty_rows() -> bytes:
    rows = "".join(f'<row r="{number}" s="1"/>' for number in range(3, 1_000_003))
    return xlsx_of(sheet_of(rows))


def blank_cells() -> bytes:
    numbers = range(3, usual_or_full(400_003, 1_000_003))
    rows = "".join(f'<row r="{n}"><c r="A{n}" s="0"/><c r="B{n}" s="0"/></row>' for n in numbers)
    return xlsx_of(sheet_of(rows))


def spaces() -> bytes:
    rows = "".join(
        f'<row r="{n}"><c r="A{n}" t="inlineStr"><is><t xml:space="preserve"> </t></is></c></row>'
        for n in range(3, 400_003)
    )
    return xlsx_of(sheet_of(rows))


def shared_text_bomb(prefix: str = "") -> bytes:
    """The second text has 30,000 letters, shown by two hundred thousand cells: 6 GB when each cell holds its own."""
    space = f"xmlns:{prefix}" if prefix else "xmlns"
    text = "<si><t>{}</t></si>"
    strings = f"<sst>{text.format('A')}{text.format('A' * 30_000)}</sst>"
    if prefix:
        strings = strings.replace("</", f"</{prefix}:").replace("<s", f"<{prefix}:s").replace("<t", f"<{prefix}:t")
    opened = f'sst {space}="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
    strings = '<?xml version="1.0"?>' + strings.replace("sst", opened, 1)
    rows = "".join(f'<row r="{n}"><c r="A{n}" t="s"><v>1</v></c></row>' for n in range(3, 200_003))
    extra = {"xl/sharedStrings.xml": strings.encode()}
    types = CONTENT_TYPES.replace(
        "</Types>",
        '<Override PartName="/xl/sharedStrings.xml" '
        'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>',
    )
    relations = RELATIONS.format(target="worksheets/sheet1.xml", kind="worksheet").replace(
        "</Relationships>",
        '<Relationship Id="r2" Target="sharedStrings.xml" '
        'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"/></Relationships>',
    )
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", types)
        archive.writestr("_rels/.rels", RELATIONS.format(target="xl/workbook.xml", kind="officeDocument"))
        archive.writestr("xl/workbook.xml", WORKBOOK)
        archive.writestr("xl/_rels/workbook.xml.rels", relations)
        archive.writestr("xl/worksheets/sheet1.xml", sheet_of(rows))
        for name, part in extra.items():
            archive.writestr(name, part)
    return packed.getvalue()


def macros_and_links() -> bytes:
    extra = {
        "xl/vbaProject.bin": b"\xd0\xcf\x11\xe0 not run",
        "xl/externalLinks/externalLink1.xml": b'<externalLink><externalBook r:id="rId1"/></externalLink>',
        "xl/externalLinks/_rels/externalLink1.xml.rels": b'<Relationships><Relationship Target="http://x"/></Relationships>',
    }
    return xlsx_of(sheet_of(""), extra)


def encrypted() -> bytes:
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 504 + "EncryptedPackage".encode("utf-16-le") + b"\0" * 2000


def truncated() -> bytes:
    whole = xlsx_of(sheet_of(""))
    return whole[: len(whole) // 2]


def pdf() -> bytes:
    return b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj<<>>endobj\n%%EOF\n"


def other_archive() -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("word/document.xml", "<x/>")
    return packed.getvalue()


def ods_of(rows: str) -> bytes:
    content = (
        '<?xml version="1.0"?><office:document-content '
        'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>'
        f'<table:table table:name="S">{rows}</table:table></office:spreadsheet></office:body></office:document-content>'
    )
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
        archive.writestr(
            "META-INF/manifest.xml",
            '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>',
        )
    return packed.getvalue()


def repeated_cells() -> bytes:
    cell = '<table:table-cell office:value-type="float" office:value="1" table:number-columns-repeated="16384"/>'
    return ods_of(f'<table:table-row table:number-rows-repeated="1048576">{cell}</table:table-row>')


REFUSED: dict[str, tuple[str, Callable[[], bytes]]] = {
    "bomb.xlsx": ("ordinary size", bomb),
    "lying.xlsx": ("whole book", lying_bomb),
    "far.xlsx": ("spanning 1048576 rows and 16384 columns", far_cell),
    "far-row.xlsx": ("rows", far_row),
    "entities.xlsx": ("DOCTYPE", entities),
    "outside.xlsx": ("DOCTYPE", outside_entity),
    "shared.xlsx": ("ordinary size", shared_text_bomb),
    "shared-with-prefix.xlsx": ("ordinary size", partial(shared_text_bomb, "x")),
    "long.csv": ("1700000 filled rows", too_many_rows),
    "encrypted.xlsx": ("password", encrypted),
    "truncated.xlsx": ("damaged or incomplete", truncated),
    "document.xlsx": ("a PDF document", pdf),
    "letter.xlsx": ("without sheets", other_archive),
    "repeated.ods": ("spanning", repeated_cells),
}
READ: dict[str, Callable[[], bytes]] = {
    "dimension.xlsx": huge_dimension,
    "empty-rows.xlsx": empty_rows,
    "blank-cells.xlsx": blank_cells,
    "spaces.xlsx": spaces,
    "macros.xlsx": macros_and_links,
}
