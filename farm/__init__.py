"""The nouns of the farm: frozen records, no behaviour, nothing of ours imported."""
