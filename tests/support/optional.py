"""What a van, a trip or a result need not have."""

from __future__ import annotations

from typing import TypeVar

T = TypeVar("T")


def there(value: T | None) -> T:
    """The value, which the test knows to be there."""
    assert value is not None
    return value
