"""The ledger: attempts issued, answers given, grades made, entries voided; one verb per file."""
