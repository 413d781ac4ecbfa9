"""What ends a study early carries what was finished, through a pickle too."""

from __future__ import annotations

import pickle
from typing import Any

import pytest
import ridethrough as rt
from ridethrough.engine.interruption import attach_partial_result


@pytest.mark.parametrize(
    ("raised", "kind", "says"),
    [
        (KeyboardInterrupt(), rt.Interrupted, "a study stopped early; see .finished"),
        (ZeroDivisionError("by 0"), rt.StudyFailed, "a study: ZeroDivisionError: by 0"),
        (rt.InputError("trials = 0"), rt.InputError, "trials = 0"),
    ],
)
def test_the_partial_result_is_attached(raised: BaseException, kind: Any, says: str) -> None:
    with pytest.raises(kind) as ended, attach_partial_result("a study", lambda: [1, 2]):
        raise raised
    error: Any = ended.value
    assert str(error) == says and error.finished == [1, 2]
    if kind is not rt.InputError:
        twin: Any = pickle.loads(pickle.dumps(error))
        assert type(twin) is kind and str(twin) == says and twin.finished == [1, 2]
