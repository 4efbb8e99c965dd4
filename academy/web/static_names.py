"""Static files under names that hold a hash of what is in them, also where a script imports one."""

from __future__ import annotations

from whitenoise.storage import (  # type: ignore[import-untyped]
    CompressedManifestStaticFilesStorage,
)

_IMPORT = r"""(?P<matched>import(?P<import>(?s:\s*\{.*?\}\s*))from\s*"(?P<url>\./[^"]+)";)"""


class HashedStaticFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Our own scripts name the modules they import by their hash, so none is an old one.

    Django does this for every script or for none, and some of a library name what is not there.
    """

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("js/*.js", ((_IMPORT, 'import%(import)sfrom "%(url)s";'),)),
    )
