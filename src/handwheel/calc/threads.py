"""Threads: the sizes of a thread and the limits of its tolerance class."""

from handwheel.calc.designations import ThreadSize, parse_thread

__all__ = ["ThreadSize", "parse_thread"]
