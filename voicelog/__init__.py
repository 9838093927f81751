"""Hands-free, offline voice log for tracheostomy suctioning at home."""

__version__ = "0.1.0"
