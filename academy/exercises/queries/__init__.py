"""What the pages about papers show, each in a fixed number of queries."""

from __future__ import annotations
