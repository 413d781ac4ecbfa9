"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import shutil
from collections.abc import Sequence
from os import PathLike
from pathlib import Path

from ..model.errors import bad_input


def target_path(path: object, endings: Sequence[str], such: str) -> Path:
    """The path of a file that is to be written; InputError, before any work, where its name or folder won't do.

    ``such`` is an example of a name that will.
    """
    if not isinstance(path, (str, PathLike)):
        raise bad_input("path", path, allowed=f"the path of the file, such as {such}")
    found = Path(path)
    if found.suffix.lower() not in endings:
        raise bad_input("path", str(path), allowed=f"a name that ends in {', '.join(endings)}")
    if not found.parent.is_dir():
        raise bad_input(str(found), reason=f"No such file or directory: {found.parent}")
    if found.is_dir():
        raise bad_input(str(found), reason="there is a folder of that name")
    return found


def write_whole(path: Path, text: str, *, overwrite: bool) -> None:
    """The whole file or nothing: a file that is there stays as it is until another can take its place."""
    fresh = path.with_name(f".{path.name}.{os.getpid()}") if overwrite else path
    try:
        with fresh.open("xb") as file:
            file.write(text.encode("utf-8"))
        if overwrite:
            if path.exists():
                shutil.copymode(path, fresh)
            os.replace(fresh, path.resolve())  # of a link, what it leads to
    except FileExistsError:
        raise bad_input(str(path), reason="there is such a file", hint="overwrite=True replaces it") from None
    except OSError as error:
        if overwrite:
            fresh.unlink(missing_ok=True)
        raise bad_input(str(path), reason=str(error.strerror or error)) from None
