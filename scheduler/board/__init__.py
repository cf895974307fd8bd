"""What the board asks of the farm, answered from its config, its records and the clock."""
