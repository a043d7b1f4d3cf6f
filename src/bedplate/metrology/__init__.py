"""Numbers in, numbers out: the clearance arithmetic, exact and without side effects."""
