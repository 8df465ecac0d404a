"""A year of an invented firm, so that every board has something to show. It never touches a real firm.

Simulated: who the people are, how able they are on each skill and how that grows with practice and fades without, on
which days they were at it, whether an answer would be a good or a weak one, what trainers saw, what was decided, what
had to be shot again.

Real: every case is one that the engine made and would issue; every answer was graded by the engine, and opens as it
was graded. A modest pool of cases and graded answers is shared by all invented people, so they see a case more than
once, which real people never do. What they hold of it, the ledger holds in the same rows as for anybody.

The same seed and the same pool give the same year.
"""
