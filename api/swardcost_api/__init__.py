"""The swardcost service."""

__version__ = "0.1.0"
