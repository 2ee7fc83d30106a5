"""Strength: pipe wall, surge, bends, supports, freezing."""

PAGE = None
CHECKS = ()
