"""What the database itself refuses to change: certificates and what happened to them."""

from __future__ import annotations

from academy.audit import triggers


def install() -> None:
    triggers.protect("awards_certificate", label="a certificate")
    triggers.protect("awards_certificatesignoff", label="the evidence of a certificate")
    triggers.protect("awards_certificateevent", label="an event of a certificate")
    triggers.protect("awards_certificatefile", label="an issued PDF")
