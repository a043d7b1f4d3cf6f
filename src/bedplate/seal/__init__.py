"""Keys, signatures and what they show."""
