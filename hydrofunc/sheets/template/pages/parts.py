"""Parts: mass, money, and what a kilowatt-hour costs."""

PAGE = None
CHECKS = ()
