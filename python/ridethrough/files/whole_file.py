"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from ..model.errors import bad_input


def require_folder(path: Path) -> None:
    """InputError where a file cannot be written as its folder is not there, or a folder has its name."""
    if not path.parent.is_dir():
        raise bad_input(str(path), reason=f"No such file or directory: {path.parent}")
    if path.is_dir():
        raise bad_input(str(path), reason="there is a folder of that name")


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
