"""The pages that are looked at: by rules of access, in pictures, and by the keyboard alone."""

#: Main pages of the board, by a name for pictures; the demo's farm has something on each.
MAIN_PAGES = {
    "order": "/",
    "field": "/fields/creek-bottom",
    "map": "/map",
    "rigs": "/rigs",
    "after": "/after",
    "scout": "/scout",
    "visit": "/scout/creek-bottom",
    "sky": "/sky",
    "sent": "/sent",
}
