"""Books in and out: spreadsheets and engine files, read into checked records or Problems."""
