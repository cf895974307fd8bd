"""Which exit code wins."""

import pytest

from scheduler import exit_codes
from scheduler.exit_codes import worst


@pytest.mark.parametrize(
    ("codes", "wanted"),
    [
        ([], 0),
        ([0, 0], 0),
        ([0, 3], 3),
        ([3, 69], 69),
        ([69, 4], 4),
        ([4, 65], 65),
        ([65, 75], 75),
        ([75, 70], 70),
        ([70, 74], 74),
        ([74, 64], 64),
        ([64, 78], 78),
        ([0, 3, 4, 64, 65, 69, 70, 74, 75, 78], 78),
    ],
)
def test_the_gravest_code_wins(codes, wanted):
    assert worst(codes) == wanted
    assert worst(reversed(codes)) == wanted


def test_a_number_that_is_no_exit_code_is_refused():
    with pytest.raises(ValueError, match=r"got \[1\], wanted some of 78"):
        worst([0, 1])


def test_every_named_code_has_its_place():
    named = {value for name, value in vars(exit_codes).items() if isinstance(value, int)}
    assert named == set(exit_codes.PRECEDENCE)
