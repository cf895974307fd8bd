"""After a killing freeze: when to look at a field, and what to look for."""

#: Days after a killing freeze from which its effect shows, and up to which a look should have
#: been taken [days]. North Carolina State: nothing is spent on a defoliant until then (S24).
INSPECT_DAYS = (5, 8)

#: What the look is: flicked leaves that fall will shed, those that hold are stuck (S24); bolls
#: that are brown inside are dead (S24b).
WHAT_TO_LOOK_FOR = (
    "Flick the leaves: where they fall they will shed, where they hold they are stuck. "
    "Cut bolls: brown inside is dead."
)
