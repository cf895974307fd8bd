"""An invented co-op and an invented week of weather, so that everything can be tried offline."""
