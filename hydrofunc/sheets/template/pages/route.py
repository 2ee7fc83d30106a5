"""Route: ground, pipe and grade line, point by point."""

PAGE = None
CHECKS = ()
