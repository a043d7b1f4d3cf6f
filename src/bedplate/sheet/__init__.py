"""The build sheet: what a unit consists of, what is measured on it and what limits hold."""
