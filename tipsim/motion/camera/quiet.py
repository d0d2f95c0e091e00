"""One thread for small matrices.

A film is made of thousands of small matrix products. Spread over threads each waits for the
slowest: on a busy machine of two cores that made tracking eight times slower.
"""

from collections.abc import Callable
from functools import cache, wraps
from typing import ParamSpec, TypeVar

from threadpoolctl import ThreadpoolController

P = ParamSpec("P")
R = TypeVar("R")


@cache
def _controller() -> ThreadpoolController:
    return ThreadpoolController()


def one_thread(work: Callable[P, R]) -> Callable[P, R]:
    """Return a function that does its linear algebra in one thread."""

    @wraps(work)
    def quiet(*args: P.args, **kwargs: P.kwargs) -> R:
        with _controller().limit(limits=1, user_api="blas"):
            return work(*args, **kwargs)

    return quiet
