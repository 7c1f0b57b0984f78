"""Write a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from builder.errors import MachineError


def write_whole(path: Path, content: bytes | str) -> None:
    """Put *content* at *path* by way of a neighbouring temporary file; raise MachineError when the machine refuses."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    handle = -1
    temporary = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except OSError as error:
        if temporary and os.path.exists(temporary):
            os.unlink(temporary)
        raise MachineError(
            f"{path}: could not be written ({error.strerror or error})",
            "check the folder, its permissions and the space left",
        ) from error
