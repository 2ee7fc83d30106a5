"""What stands on a page of a PDF, as a reader measures it with a ruler."""

import math


def sizes(page):
    """{size of letters in points: some of the words of that size} of a page as pypdf reads it."""
    found = {}

    def visit(text, place, matrix, font, size):
        if text.strip():
            across = math.hypot(matrix[2], matrix[3]) * math.hypot(place[2], place[3])
            found.setdefault(round(size * across, 1), text.strip())

    page.extract_text(visitor_text=visit)
    return found
