"""The tour that `make demo` gives: an invented club, its course, catalog, scope and ledger."""
