"""Pure rules of assembly: locks, proofs, steps, and what blocks a signature."""
