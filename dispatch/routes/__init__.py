"""Who drives where, when, and what is left undone: from a morning's calls to a plan of rigs."""
