"""What every declaration says."""

import inspect

import pytest
import ridethrough as rt
from every_class import EVERY_CLASS, build
from ridethrough import _core
from ridethrough.model.classes import CLASSES


def fields_of(cls):
    return _core.Configuration._classes[cls.__name__]._declaration.fields


@EVERY_CLASS
def test_declarations_are_complete(cls):
    taken = {name for name in dir(rt.Configuration) if not name.startswith("__")} | {"kind", "per"}
    names = [field.name for field in fields_of(cls)]
    assert len(set(names)) == len(names)
    for field in fields_of(cls):
        assert field.name.isidentifier()
        assert field.name not in taken
        assert field.doc
        assert f"\n{field.name} : " in (inspect.getdoc(cls) or "")
        assert set(field.choices) <= set(CLASSES) or field.type == "choice"
        if field.type in ("number", "integer", "numbers", "bearings"):
            assert field.low < field.high
            assert field.source or field.required
        if field.type == "integer":
            assert -(2**31) <= field.low <= field.high < 2**31
    with pytest.raises(rt.InputError, match=f"{cls.__name__}.{names[0]}x: no such field; did you mean {names[0]}?"):
        build(cls, **{names[0] + "x": 1})
