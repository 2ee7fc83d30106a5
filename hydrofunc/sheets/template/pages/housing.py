"""Housing: cups clear of the water, and an outlet that drains."""

PAGE = None
CHECKS = ()
