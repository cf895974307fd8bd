"""The board: pages and JSON for those who would rather look than read."""
