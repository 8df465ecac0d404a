"""The projection: what the ledger says about each person and skill, pulled and never pushed."""
