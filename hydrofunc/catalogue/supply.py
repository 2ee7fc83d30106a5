"""Declarations: supply of water over the year."""
