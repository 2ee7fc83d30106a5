"""Declarations: strength, surge, supports."""
