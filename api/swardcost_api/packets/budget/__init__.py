"""The budget packet: where the money of a budget stands at the end of a month, why, and where it goes."""
