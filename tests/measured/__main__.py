"""Prints what others measured beside what the template expects."""

from collections import defaultdict

import numpy as np

from .bands import compared

of_part = defaultdict(list)
print("| part | case | measured | expected | 95 % band | in it |\n|---|---|---|---|---|---|")
for row, measured, band, inside in compared():
    of_part[row["part"]].append(band.mean / measured)
    print(
        f"| {row['part']} | {row['case']} | {measured:.4g} | {band.mean:.3g} | {band.low:.3g} to {band.high:.3g} | "
        f"{'yes' if inside else 'no'} |"
    )
for part, shares in of_part.items():
    print(f"{part}: expected over measured {np.mean(shares):.2f}, from {min(shares):.2f} to {max(shares):.2f}")
