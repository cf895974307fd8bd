"""The benchmarks watch the steps of a morning by their names."""

import pytest

from benchmarks import delivery
from benchmarks import morning as benchmark_of_a_morning
from scheduler import morning


@pytest.mark.parametrize("benchmark", [delivery, benchmark_of_a_morning])
def test_every_step_that_a_benchmark_watches_is_one_of_the_morning(benchmark: object) -> None:
    lost = [name for name in benchmark.STEPS if not callable(getattr(morning, name, None))]

    assert lost == []
