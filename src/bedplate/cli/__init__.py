"""The command line: parse, call, show. No rule of the trade lives here."""
