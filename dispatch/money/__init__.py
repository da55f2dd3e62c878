"""Money of a bid: rates, fees, sharing, mark-ups, prices. Decimal rates, exact sums, whole cents; no floats."""
