"""The summary as data, and the renderers that show it."""
