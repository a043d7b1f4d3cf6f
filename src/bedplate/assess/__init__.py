"""The bridge: standing readings to fits with verdicts, and what is questionable in a new value."""
