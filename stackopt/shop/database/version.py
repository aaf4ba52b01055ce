"""The version of the ledger's tables that this program works with."""

# The number of the newest change in `migrations`; a test compares the two.
REVISION = "0014"
