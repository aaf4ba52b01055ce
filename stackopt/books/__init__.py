"""Books in and out: spreadsheets and engine files, read into checked records or Problems.

`read_books` takes files and gives `Books`: a file (`files`) is read as sheets of cells as written (`sheets`), a sheet's
role and columns are told from its headers (`headers`, `vocabulary`), its rows become a table (`tables`), each column is
read to values (`columns`, `cells`), rows to records (`stock`, `offers`, `engines`, `terms`), all together in `gather`.
`read_engine_file` reads one engine from a TOML text.
"""

from stackopt.books.read import examine_books, read_books, remember_columns
from stackopt.books.records import Books

__all__ = ["Books", "examine_books", "read_books", "remember_columns"]
