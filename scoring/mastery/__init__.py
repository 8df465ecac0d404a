"""People as numbers: what answers say of a person, how sure that is, and what it takes to know more."""
