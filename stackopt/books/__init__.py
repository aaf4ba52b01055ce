"""Books in and out: spreadsheets and engine files, read into checked records or Problems.

`read.read_books` takes files and gives `records.Books`: a file (`files`) is read as sheets of cells as written
(`sheets`), a sheet's role and columns are told from its headers (`headers`, `roles`, `vocabulary`), its rows become a
table (`tables`), each column is read to values (`columns`, `cells`, `amounts`), rows to records (`stock`, `offers`,
`engines`, `terms`), all together in `gather`. `engine_file.read_engine_file` reads one engine from a TOML text.

Nothing is imported here, so that the files can be read while the rest is still being imported.
"""
