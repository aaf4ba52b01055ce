"""What cells say of a part itself, its kind, families and cylinder; and the columns that describe an engine."""
