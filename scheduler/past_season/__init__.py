"""A past season run again from recorded issues of its forecasts."""
