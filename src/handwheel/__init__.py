"""From a drawing to a finished, measured, recorded part, at a lathe and a mill."""

__version__ = "0.1.0"
