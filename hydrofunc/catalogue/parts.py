"""Declarations: mass and money."""
