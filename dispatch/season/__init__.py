"""A simulated season: invented weather, fields and rigs to compare rules of spraying on.

Weather and the crop's response are simulated here. A rule sees forecasts and counts only; the
calls and the order of the rule that is ours are made by the same functions as a real morning.
"""
