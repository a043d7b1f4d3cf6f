"""The job: its entries, the file they are kept in and what they add up to."""
